"""``mullbed calibrate``: fit the numbers of the model to open data, in folds."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen


def calibrate(
    data: Annotated[Path, typer.Option("--data", metavar="FOLDER", help="The folder that holds the open data sets.")],
    folds: Annotated[int, typer.Option("--folds", metavar="NUMBER", min=2, max=20, help="Number of folds.")] = 5,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Fit the numbers of the model to open data, in folds.

    Whole sites, studies and sources are held out at a time. Takes minutes. Changes nothing: the numbers in use stay
    those of the parameter table.
    """
    from mullbed.reports.validation_folds import calibration_document, calibration_text
    from mullbed.usecases.calibrate_model import calibrate_model

    screen = Screen(as_json, plain)
    found = calibrate_model(data, folds=folds, progress=screen.progress)
    screen.show(lambda style: calibration_text(found, style), lambda: calibration_document(found))
