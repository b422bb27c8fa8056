"""``mullbed honest``: how well past forecasts did here."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen, UnitsOption
from mullbed.cli.signing import RecordOption, WhichOption, where
from mullbed.domain.garden import UnitSystem


def honest(
    bed: Annotated[
        str | None, typer.Option("--bed", metavar="NAME", help="Look at this bed alone; without it, at all.")
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FOLDER", help="Folder for honest.json and honest.html with a chart."),
    ] = None,
    record: RecordOption = None,
    garden: WhichOption = None,
    units: UnitsOption = UnitSystem.METRIC,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Tell how well past forecasts did here.

    Holds what you wrote down against what was forecast before, and tells by how much the next bands are widened.
    Keep forecasts with: mullbed forecast --keep.
    """
    from mullbed.reports.honest_document import honest_document, honest_page
    from mullbed.reports.honest_text import honest_text
    from mullbed.usecases.check_forecasts import check_forecasts

    screen = Screen(as_json, plain)
    found = check_forecasts(where(record, garden), bed=bed)
    if out is not None:
        from mullbed.reports.document_text import rendered
        from mullbed.reports.plan_folder import write_folder

        write_folder(
            out,
            {
                "honest.json": rendered(honest_document(found.check, found.forecasts, found.garden)),
                "honest.html": honest_page(found.check, found.forecasts, garden=found.garden, units=units),
            },
        )
    screen.show(
        lambda style: honest_text(found.check, found.forecasts, units=units, style=style),
        lambda: honest_document(found.check, found.forecasts, found.garden),
    )
