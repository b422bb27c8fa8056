"""Hold the model against every open data set of a folder.

Reads the folder, writes nothing. Nothing is fitted: one set of numbers serves all, and its hash is told.
Raises InputFault when the folder, the name of a set or a table is at fault.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np

from mullbed.domain.validation import Comparison, MissingSet, SetResult, Validation
from mullbed.errors import Fault, InputFault
from mullbed.evidence.datasets import FAMILIES, Family, learning_family
from mullbed.evidence.doubt import MEMBERS, Ensemble, draw_ensemble, fingerprint
from mullbed.evidence.scores import group_scores, score
from mullbed.evidence.yardsticks import yardsticks
from mullbed.learn.update import drawn, learnt_course


def validate_model(
    folder: Path,
    *,
    only: str | None = None,
    members: int = MEMBERS,
    seed: int = 1,
    progress: Callable[[str], None] = lambda sentence: None,
) -> Validation:
    """Return the score of every set found in a folder; sets whose files are not there are named.

    Raises
    ------
    InputFault
        When there is no such folder, no set is called so, or a table can't be read.
    """
    families = (*FAMILIES, learning_family(learnt_course, drawn))
    _refuse(folder, only, families)
    ensemble = draw_ensemble(members, seed)
    sets: list[SetResult] = []
    missing: list[MissingSet] = []
    for family in families:
        keys = [key for key in family.keys if only in (None, key)]
        absent = family.missing(folder)
        if absent is not None:
            missing += [MissingSet(key, absent) for key in keys]
        elif keys:
            progress(f"Comparing {', '.join(keys)} ...")
            for one in _compared(family, folder, ensemble):
                if one.key in keys and one.seen.size > 0:
                    sets.append(_result(one))
                elif one.key in keys:
                    missing.append(MissingSet(one.key, family.files[0], there=True))
    return Validation(tuple(sets), tuple(missing), fingerprint(), members, seed)


def _compared(family: Family, folder: Path, ensemble: Ensemble) -> list[Comparison]:
    """Return the comparisons of a family; a table that lacks a column or holds no numbers is at fault."""
    try:
        return family.compare(folder, ensemble)
    except KeyError as error:
        fault = Fault(", ".join(family.files), f"there is no column {error}", "the columns of the open data set",
                      "Compare its first line with the published one.")  # fmt: skip
    except ValueError as error:
        fault = Fault(", ".join(family.files), str(error), "numbers, or nothing where a value is missing",
                      "Mend the table.")  # fmt: skip
    raise InputFault([fault])


def _result(compared: Comparison) -> SetResult:
    if not np.isfinite(compared.predicted).all():
        raise InputFault([
            Fault(compared.key, "the model gave no number for some rows", "numbers in every column it needs",
                  "Look for impossible values in its table.")
        ])  # fmt: skip
    return SetResult(compared, score(compared), group_scores(compared), yardsticks().get(compared.key, ()))


def _refuse(folder: Path, only: str | None, families: tuple[Family, ...]) -> None:
    faults = []
    known = [key for family in families for key in family.keys]
    if not folder.is_dir():
        faults.append(Fault("--data", f"there is no folder {folder}", "a folder of open data", "Name another one."))
    if only is not None and only not in known:
        faults.append(Fault("--set", f"no set is called '{only}'", ", ".join(known), "Choose one of these."))
    if faults:
        raise InputFault(faults)
