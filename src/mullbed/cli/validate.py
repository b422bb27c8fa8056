"""``mullbed validate``: the model against every open data set of a folder."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen, SeedOption


def validate(
    data: Annotated[Path, typer.Option("--data", metavar="FOLDER", help="The folder that holds the open data sets.")],
    only: Annotated[
        str | None, typer.Option("--set", metavar="NAME", help="Run only this set; without it, all that are found.")
    ] = None,
    members: Annotated[
        int, typer.Option("--members", metavar="NUMBER", min=20, max=4096, help="Members behind every band.")
    ] = 100,
    seed: SeedOption = 1,
    report: Annotated[
        Path | None,
        typer.Option("--report", metavar="FOLDER", help="Folder for scores.json, VALIDATION.md and its charts."),
    ] = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Hold the model against open data and show how far off it is.

    Nothing is fitted: one set of numbers serves all sets, and its hash is shown. A set whose file is not in the
    folder is named and skipped.
    """
    from mullbed.reports.validation_document import validation_document
    from mullbed.reports.validation_table import validation_text
    from mullbed.usecases.validate_model import validate_model

    screen = Screen(as_json, plain)
    found = validate_model(data, only=only, members=members, seed=seed, progress=screen.progress)
    if report is not None:
        from mullbed.reports.plan_folder import write_folder
        from mullbed.reports.validation_report import report_files

        write_folder(report, report_files(found))
    screen.show(lambda style: validation_text(found, style), lambda: validation_document(found))
