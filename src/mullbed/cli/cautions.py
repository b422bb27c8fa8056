"""``mullbed cautions``: the rules of safety in force, with sources and dates."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen
from mullbed.domain.garden import Profile


def cautions(
    garden: Annotated[
        Path | None, typer.Argument(metavar="[GARDEN]", help="A garden file: what is refused there is told first.")
    ] = None,
    site: Annotated[
        Profile | None, typer.Option("--site", help="Who gardens there; without it that of the garden, or home.")
    ] = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Show the rules of safety in force, sources and dates.

    With a garden file it tells first what is refused there, what somebody set aside and why, and loads to halve.
    Local codes decide.
    """
    from mullbed.reports.safety_rules import safety_document, safety_text
    from mullbed.usecases.list_cautions import list_cautions

    found = list_cautions(garden, site)
    Screen(as_json, plain).show(
        lambda style: safety_text(
            found.rules,
            found.refusals,
            found.set_aside,
            [(heavy.supply, heavy.container, heavy.load) for heavy in found.heavy],
            site=found.profile,
            garden=found.garden,
            style=style,
        ),
        lambda: safety_document(
            found.rules,
            found.refusals,
            found.set_aside,
            [(heavy.supply, heavy.container, heavy.load) for heavy in found.heavy],
            site=found.profile,
            garden=found.garden,
        ),
    )
