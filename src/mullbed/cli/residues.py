"""``mullbed residues``: what is known of residues, with ranges and sources."""

from __future__ import annotations

from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen, UnitsOption
from mullbed.domain.garden import UnitSystem


def residues(
    words: Annotated[
        list[str] | None, typer.Argument(help="Words of the name, such as: straw. None shows every residue.")
    ] = None,
    units: UnitsOption = UnitSystem.METRIC,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Show residues: what is in them, how sure, and from where.

    Many are shown with a line each; one or two with every number and its source.
    """
    from mullbed.reports.residue_table import residues_document, residues_text
    from mullbed.usecases.list_residues import list_residues

    found = list_residues(" ".join(words or ()))
    Screen(as_json, plain).show(
        lambda style: residues_text(found, us=units is UnitSystem.US, style=style), lambda: residues_document(found)
    )
