"""Draw the layout of a trial, say what it can show, and lock it before the first reading."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

from mullbed.domain.field_check import FieldCheck
from mullbed.domain.trial import Deviation, TrialPlan
from mullbed.domain.trial_answers import TrialDesign
from mullbed.errors import Fault, InputFault
from mullbed.files.trial_file import read_trial, trial_text
from mullbed.reference.field_checks import all_field_checks
from mullbed.reference.trial_effects import all_trial_effects
from mullbed.trials.design import told_design, with_deviation
from mullbed.trials.layout import laid_out, locked, swapped


def design_trial(path: Path, *, seed: int | None = None) -> TrialDesign:
    """Return the layout a trial file asks for; a file drawn before is returned as it is.

    Raises
    ------
    InputFault
        With every fault of the file.
    """
    checks = all_field_checks()
    plan, _ = read_trial(path, checks)
    if not plan.plots:
        plan = laid_out(plan if seed is None else replace(plan, seed=seed))
    return told_design(plan, checks, all_trial_effects())


def trial_file_text(plan: TrialPlan) -> str:
    """Return a drawn plan as the text of its file."""
    return trial_text(plan)


def lock_trial(path: Path, day: date) -> TrialDesign:
    """Lock a drawn plan in its file.

    Raises
    ------
    InputFault
        When the file holds no drawn plan, or a locked one.
    """
    checks = all_field_checks()
    plan, deviations = _drawn(path, checks)
    sealed = locked(plan, day)
    _written(path, trial_text(sealed, deviations))
    return told_design(sealed, checks, all_trial_effects())


def swap_sides(path: Path) -> TrialDesign:
    """Return a drawn plan with the sides of every pair swapped for the next season; its file stays.

    Raises
    ------
    InputFault
        When it is not in pairs, or a measure stays in the ground: last year's treatment would be measured.
    """
    checks = all_field_checks()
    plan, _ = _drawn(path, checks)
    return told_design(swapped(plan), checks, all_trial_effects())


def note_deviation(path: Path, day: date, what: str, why: str) -> tuple[TrialPlan, tuple[Deviation, ...]]:
    """Write down in a locked plan's file what was done otherwise, and why; the plan itself stays.

    Raises
    ------
    InputFault
        When the plan is not locked, or what or why are missing.
    """
    plan, deviations = _drawn(path, all_field_checks())
    kept = with_deviation(plan, deviations, day, what, why)
    _written(path, trial_text(plan, kept))
    return plan, kept


def _drawn(path: Path, checks: dict[str, FieldCheck]) -> tuple[TrialPlan, tuple[Deviation, ...]]:
    """Return the drawn plan of a file."""
    plan, deviations = read_trial(path, checks)
    if not plan.plots:
        fault = Fault(str(path), "no layout", "a file that mullbed trial lay-out wrote", "Draw the layout first.")
        raise InputFault([fault])
    return plan, deviations


def _written(path: Path, text: str) -> None:
    """Replace a file in one step, so that it is never half-written."""
    beside = path.with_name(path.name + ".new")
    _guarded(lambda: beside.write_text(text, encoding="utf-8"), path)
    _guarded(lambda: beside.replace(path), path)


def _guarded(action: Callable[[], object], path: Path) -> None:
    """Turn a failed write into a fault."""
    try:
        action()
    except OSError as error:
        fault = Fault(str(path), error.strerror or "not writable", "a place that can be written", "Choose another.")
        raise InputFault([fault]) from error
