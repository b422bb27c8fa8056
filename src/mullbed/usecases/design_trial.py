"""Draw the layout of a trial, say what it can show, and lock it before the first reading."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

from mullbed.domain.field_check import FieldCheck
from mullbed.domain.trial import Arrangement, Deviation, Scale, TrialPlan
from mullbed.domain.trial_answers import TrialDesign
from mullbed.errors import Fault, InputFault
from mullbed.files.trial_file import read_trial, trial_text
from mullbed.reference.field_checks import all_field_checks
from mullbed.trials.layout import laid_out, locked, swapped, warnings
from mullbed.trials.power import detectable, power


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
    return _told(plan, checks)


def _told(plan: TrialPlan, checks: dict[str, FieldCheck]) -> TrialDesign:
    """Return a plan with what it can show."""
    square = plan.arrangement is Arrangement.SQUARE
    treatments = len(plan.treatments)

    def smallest(variation: float, scale: Scale) -> float:
        return detectable(
            plan.blocks,
            variation,
            correlation=plan.correlation,
            alpha=plan.alpha,
            treatments=treatments,
            scale=scale,
            square=square,
        )

    chance = power(
        plan.blocks,
        plan.worthwhile,
        plan.primary.variation,
        correlation=plan.correlation,
        alpha=plan.alpha,
        treatments=treatments,
        scale=plan.primary.scale,
        square=square,
    )
    seen = tuple((one.key, smallest(one.variation, one.scale)) for one in plan.measures)
    return TrialDesign(
        plan, seen, chance, warnings(plan), tuple(checks[one.key] for one in plan.measures if one.key in checks)
    )


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
    return _told(sealed, checks)


def swap_sides(path: Path) -> TrialDesign:
    """Return a drawn plan with the sides of every pair swapped for the next season; its file stays.

    Raises
    ------
    InputFault
        When it is not in pairs, or a measure stays in the ground: last year's treatment would be measured.
    """
    checks = all_field_checks()
    plan, _ = _drawn(path, checks)
    return _told(swapped(plan), checks)


def note_deviation(path: Path, day: date, what: str, why: str) -> tuple[TrialPlan, tuple[Deviation, ...]]:
    """Write down in a locked plan's file what was done otherwise, and why; the plan itself stays.

    Raises
    ------
    InputFault
        When the plan is not locked, or what or why are missing.
    """
    plan, deviations = _drawn(path, all_field_checks())
    faults = []
    if plan.locked_on is None:
        faults.append(Fault(str(path), "an open plan", "a locked one", "Change the plan itself, or lock it first."))
    faults += [
        Fault(name, "empty", "a sentence", "Say it in a few words.")
        for name, words in (("what was changed", what), ("why", why))
        if not words.strip()
    ]
    if faults:
        raise InputFault(faults)
    kept = (*deviations, Deviation(day, what.strip(), why.strip()))
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
