"""Fit the numbers of the model to open data in folds, and show what they reach on what they had not seen.

Reads the folder, writes nothing, changes nothing of the model: the numbers in use stay those of the parameter table.
Raises InputFault when the folder or a table is at fault.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from mullbed.domain.validation import CalibrationResult, FittedNumber
from mullbed.errors import Fault, InputFault
from mullbed.evidence.calibrate import FOLDS, FREE, SET_FACTORS, calibrate, numbers_of
from mullbed.evidence.calibration_targets import absent_files, targets
from mullbed.evidence.folded_sets import folded_sets
from mullbed.simulate.parameters import COLUMN, PARAMETERS


def calibrate_model(
    folder: Path, *, folds: int = FOLDS, progress: Callable[[str], None] = lambda sentence: None
) -> CalibrationResult:
    """Return the numbers fitted to all data and in every fold, and the scores of what was held out.

    Raises
    ------
    InputFault
        When there is no such folder, or too little in it to deal into folds.
    """
    if not folder.is_dir():
        raise InputFault(
            [Fault("--data", f"there is no folder {folder}", "a folder of open data", "Name another one.")]
        )
    used = targets(folder)
    if len({target.fold_unit for target in used}) < folds:
        told = f"{folder} holds too few sites and studies"
        raise InputFault([Fault("--data", told, f"at least {folds}", "Add data or ask for fewer folds.")])
    found = calibrate(used, folds=folds, progress=progress)
    names = [one.name for one in FREE] + [f"factor of {name}" for name in SET_FACTORS]
    whole = numbers_of(found.values)
    by_fold = [numbers_of(values) for values in found.by_fold]
    numbers = tuple(
        FittedNumber(
            name,
            PARAMETERS[COLUMN[name]].middle if name in COLUMN else None,
            whole[place],
            min(one[place] for one in by_fold),
            max(one[place] for one in by_fold),
        )
        for place, name in enumerate(names)
    )
    return CalibrationResult(numbers, folded_sets(found), folds, tuple(absent_files(folder)))
