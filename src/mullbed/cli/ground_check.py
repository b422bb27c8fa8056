"""``mullbed ground``: score what was read in the ground."""

from __future__ import annotations

from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen
from mullbed.errors import Fault, InputFault


def ground(
    check: Annotated[
        str | None, typer.Argument(metavar="CHECK", help="Which check; leave it out to see them all.")
    ] = None,
    values: Annotated[
        list[float] | None, typer.Argument(metavar="VALUES", help="What was read, one number a repeat.")
    ] = None,
    bore: Annotated[
        str | None,
        typer.Option("--bore", metavar="LENGTH", help="Inner width of the ring, 6 in; values are then seconds."),
    ] = None,
    strip: Annotated[
        str | None,
        typer.Option("--strip", metavar="UNIT", help="What a strip reads: nitrate or nitrate-N; needed for nitrate."),
    ] = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Score field checks: mean, range, class and what spoils them.

    \b
    mullbed ground
    mullbed ground worms 6 9 12
    mullbed ground infiltration --bore "6 in" 180 240 200
    mullbed ground nitrate --strip nitrate 50 60
    """
    from mullbed.reports.terminal_trial import checks_text, scored_text
    from mullbed.reports.trial_document import checks_document, scored_document
    from mullbed.usecases.score_check import list_field_checks, score_check, score_ring, score_strips

    screen = Screen(as_json, plain)
    if check is None:
        rows = list_field_checks()
        screen.show(lambda style: checks_text(rows, style), lambda: checks_document(rows))
        return
    read = values or []
    key = check.strip().casefold()
    if key == "infiltration" and bore is not None:
        from mullbed.units import Kind, parse_as

        scored = score_ring(parse_as(bore, Kind.LENGTH), read)
    elif key == "nitrate":
        if strip is None:
            raise InputFault(
                [Fault("--strip", "left out", "nitrate or nitrate-N", "It is printed on the tube; a factor of four.")]
            )
        scored = score_strips(read, strip)
    else:
        scored = score_check(check, read)
    screen.show(lambda style: scored_text(scored, style), lambda: scored_document(scored))
