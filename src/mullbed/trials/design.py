"""What a drawn plan can show, and what is done otherwise than locked; the same for a file, the record and a page."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from mullbed.domain.field_check import FieldCheck
from mullbed.domain.trial import Arrangement, Deviation, Fairness, Measure, Reading, Scale, Treatment, TrialPlan, Way
from mullbed.domain.trial_answers import ExpectedEffect, TrialDesign
from mullbed.errors import Fault, InputFault
from mullbed.trials.layout import warnings
from mullbed.trials.plot_values import BASELINE
from mullbed.trials.power import ALPHA, CORRELATION, detectable, power


def told_design(
    plan: TrialPlan, checks: Mapping[str, FieldCheck], expected: Iterable[ExpectedEffect] = ()
) -> TrialDesign:
    """Return a plan with what it can show, beside what others found for the measure that decides."""
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
    read = tuple(checks[one.key] for one in plan.measures if one.key in checks)
    found = tuple(one for one in expected if one.measure == plan.primary.key)
    return TrialDesign(plan, seen, chance, warnings(plan), read, found)


def measure_of(check: FieldCheck, variation: float | None = None) -> Measure:
    """Return a field check as a measure; the variation of one's own repeats goes before the table's."""
    if variation is not None:
        return Measure(check.key, check.unit, check.scale, variation, "own repeats", check.ground_stays)
    return Measure(check.key, check.unit, check.scale, check.variation, "from memory", check.ground_stays)


def plan_of(
    name: str,
    question: str,
    ways: Iterable[Way],
    control: Way,
    fairness: Fairness,
    blocks: int,
    measures: Iterable[Measure],
    worthwhile: float,
    seed: int,
    *,
    arrangement: Arrangement | None = None,
    beds: Iterable[str] = (),
    words: Mapping[Way, str] | None = None,
    seasons: int = 1,
) -> TrialPlan:
    """Return an open plan of what was chosen; two ways make pairs, more make blocks.

    Raises
    ------
    InputFault
        When name or question are missing, or the control is none of the ways.
    """
    chosen = tuple(dict.fromkeys(ways))
    faults = [
        Fault(place, "empty", "a few words", "Say it in a few words.")
        for place, text in (("name of the trial", name), ("question", question))
        if not text.strip()
    ]
    if control not in chosen:
        allowed = ", ".join(chosen) or "two ways"
        faults.append(Fault("the way the others meet", control.value, allowed, "Choose it among the ways compared."))
    if faults:
        raise InputFault(faults)
    codes = {way: "ABCDEFGHIJKL"[place] for place, way in enumerate(chosen)}
    told = words or {}
    return TrialPlan(
        name=" ".join(name.split()),
        question=" ".join(question.split()),
        treatments=tuple(Treatment(code, way, told.get(way, "")) for way, code in codes.items()),
        control=codes[control],
        arrangement=arrangement or (Arrangement.PAIRS if len(chosen) == 2 else Arrangement.BLOCKS),
        fairness=fairness,
        blocks=blocks,
        measures=tuple(measures),
        alpha=ALPHA,
        correlation=CORRELATION,
        worthwhile=worthwhile,
        seed=seed,
        plots=(),
        beds=tuple(beds),
        seasons=seasons,
    )


def seen_deviations(plan: TrialPlan, readings: Iterable[Reading]) -> tuple[str, ...]:
    """Return what the readings themselves show to be otherwise than locked, in plain sentences.

    Nobody has to confess these: measures read too early, not at all, beside the plan, or for more seasons.
    """
    kept = tuple(readings)
    told = []
    keys = {one.key for one in plan.measures}
    read = {one.measure for one in kept if one.value is not None}
    extra = sorted({one.measure for one in kept} - keys)
    if extra:
        told.append(f"Read though not planned, and left out: {', '.join(extra)}.")
    missing = [one.key for one in plan.measures if one.key not in read]
    if missing and kept:
        told.append(f"Planned and not read: {', '.join(missing)}.")
    for one in plan.measures[1:]:
        plots = {
            row.plot for row in kept if row.measure == one.key and row.value is not None and row.season != BASELINE
        }
        if one.key in read and 0 < len(plots) < 2 * len(plan.treatments):
            told.append(f"Read on too few plots to compare: {one.key}.")
    if plan.locked_on is not None:
        early = {
            one.measure
            for one in kept
            if one.day is not None and one.day < plan.locked_on and one.season != BASELINE and one.measure in keys
        }
        if early:
            told.append(f"Read before the plan was locked: {', '.join(sorted(early))}.")
    seasons = {one.season for one in kept if one.season != BASELINE}
    if len(seasons) > plan.seasons:
        told.append(f"Read in {len(seasons)} seasons, planned for {plan.seasons}.")
    for measure in plan.measures:
        counts = {
            code: sum(1 for one in kept if one.plot == code and one.measure == measure.key and one.value is not None)
            for code in (plot.code for plot in plan.plots)
        }
        taken = sorted(set(counts.values()) - {0})
        if len(taken) > 1:
            told.append(f"Plots were not read equally often for {measure.key}: {taken[0]} to {taken[-1]} times.")
    return tuple(told)


def with_deviation(
    plan: TrialPlan, deviations: tuple[Deviation, ...], day: date, what: str, why: str
) -> tuple[Deviation, ...]:
    """Return the deviations of a locked plan with one more.

    Raises
    ------
    InputFault
        When the plan is not locked, or what or why are missing.
    """
    faults = []
    if plan.locked_on is None:
        remedy = "Change the plan itself, or lock it first."
        faults.append(Fault(f"trial {plan.name}", "an open plan", "a locked one", remedy))
    faults += [
        Fault(name, "empty", "a sentence", "Say it in a few words.")
        for name, words in (("what was changed", what), ("why", why))
        if not words.strip()
    ]
    if faults:
        raise InputFault(faults)
    return (*deviations, Deviation(day, what.strip(), why.strip()))


def redrawn(plan: TrialPlan, seed: int) -> TrialPlan:
    """Return an open plan without its plots, to be drawn from another seed; raises InputFault for a locked one."""
    if plan.locked_on is not None:
        fault = Fault(f"trial {plan.name}", "locked", "an open plan", "What was drawn and locked stays.")
        raise InputFault([fault])
    return replace(plan, plots=(), seed=seed)
