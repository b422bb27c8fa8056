"""``mullbed crops``: what crops want, with ranges and sources."""

from __future__ import annotations

from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen, UnitsOption
from mullbed.domain.garden import UnitSystem


def crops(
    words: Annotated[
        list[str] | None, typer.Argument(help="Words of the name, such as: bean. None shows every crop.")
    ] = None,
    units: UnitsOption = UnitSystem.METRIC,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Show crops: what they want, how sure, and from where.

    Many are shown with a line each; one or two with every number and its source.
    """
    from mullbed.reports.crop_table import crops_document, crops_text
    from mullbed.usecases.list_crops import list_crops

    found = list_crops(" ".join(words or ()))
    Screen(as_json, plain).show(
        lambda style: crops_text(found, us=units is UnitSystem.US, style=style), lambda: crops_document(found)
    )
