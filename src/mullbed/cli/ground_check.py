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
        list[str] | None, typer.Argument(metavar="VALUES", help='What was read, one a repeat: 9, 3:20, "few drops".')
    ] = None,
    bore: Annotated[
        str | None,
        typer.Option("--bore", metavar="LENGTH", help="Inner width of the ring, 6 in; values are then seconds."),
    ] = None,
    strip: Annotated[
        str | None,
        typer.Option("--strip", metavar="UNIT", help="What a strip reads: nitrate or nitrate-N; needed for nitrate."),
    ] = None,
    column: Annotated[
        str, typer.Option("--column", metavar="LENGTH", help="Height of the water in a jar, for `jar`.")
    ] = "10 cm",
    warmth: Annotated[
        float, typer.Option("--warmth", metavar="DEGREES", min=0.0, max=45.0, help="Of the water in a jar. [C]")
    ] = 20.0,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Score field checks: mean, range, class, spoilers.

    \b
    mullbed ground
    mullbed ground worms 6 9 12
    mullbed ground infiltration --bore "6 in" 180 240 200
    mullbed ground nitrate --strip nitrate 50 60
    mullbed ground layer_moisture "few drops" crackles
    mullbed ground jar --column "12 cm" --warmth 18
    mullbed ground ring --bore "6 in"
    """
    from mullbed.reports.terminal_trial import checks_text, scored_text
    from mullbed.reports.trial_document import checks_document, scored_document
    from mullbed.usecases.score_check import list_field_checks, score_typed

    screen = Screen(as_json, plain)
    if check is None:
        rows = list_field_checks()
        screen.show(lambda style: checks_text(rows, style), lambda: checks_document(rows))
        return
    read = values or []
    key = check.strip().casefold()
    if key == "ring" or (key == "jar" and not read):
        _beforehand(key, screen, column, warmth, bore)
        return
    from mullbed.units import Kind, parse_as

    width = parse_as(bore, Kind.LENGTH, "--bore") if bore is not None else None
    scored = score_typed(check, read, bore=width, reads=strip or "")
    screen.show(lambda style: scored_text(scored, style), lambda: scored_document(scored))


def _beforehand(key: str, screen: Screen, column: str, warmth: float, bore: str | None) -> None:
    """Tell when to read a jar, or how much water one inch in a ring is."""
    from mullbed.units import Kind, parse_as
    from mullbed.usecases.score_check import jar_times, ring_inch

    if key == "jar":
        height = parse_as(column, Kind.LENGTH)
        if not 0.02 <= height <= 0.6:
            raise InputFault([Fault("--column", column, "2 to 60 cm", "Measure the water above the bottom.")])
        sand, silt = jar_times(height, warmth)
        told = (
            f"Read the sand (0.05 mm) after {sand:.0f} seconds and the silt (0.002 mm) after {silt / 3600:.1f} hours.\n"
            "By Stokes; right to about ten points of a hundred.\n"
        )
        screen.show(lambda style: told, lambda: {"sand_seconds": sand, "silt_seconds": silt})
        return
    if bore is None:
        raise InputFault([Fault("--bore", "left out", "the inner width of the ring", 'Measure it: --bore "6 in".')])
    litres = ring_inch(parse_as(bore, Kind.LENGTH))
    screen.show(lambda style: f"One inch of water is {1000 * litres:.0f} mL.\n", lambda: {"litres_per_inch": litres})
