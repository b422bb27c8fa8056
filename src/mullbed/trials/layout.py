"""Lay out a trial by chance from a seed: paired strips, randomised blocks, a Latin square; then seal the plan."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, replace
from datetime import date

import numpy as np

from mullbed.domain.trial import Arrangement, Plot, TrialPlan
from mullbed.errors import Fault, InputFault

FEWEST_BLOCKS = 2
MOST_PLOTS = 400


def laid_out(plan: TrialPlan) -> TrialPlan:
    """Return the plan with its plots drawn by chance.

    Plot codes count in walking order and tell nothing of the treatment, so that who scores can stay blind.

    Raises
    ------
    InputFault
        With every fault of the plan; nothing is drawn then.
    """
    faults = plan_faults(plan)
    if faults:
        raise InputFault(faults)
    generator = np.random.default_rng(np.random.SeedSequence([plan.seed, 7001]))
    codes = [treatment.code for treatment in plan.treatments]
    if plan.arrangement is Arrangement.SQUARE:
        rows = _square(len(codes), generator)
        order = [[codes[place] for place in row] for row in rows]
    else:
        order = [[codes[place] for place in generator.permutation(len(codes))] for _ in range(plan.blocks)]
    plots: list[Plot] = []
    for block, treatments in enumerate(order, start=1):
        for position, treatment in enumerate(treatments, start=1):
            bed = _bed_of(plan, block, position)
            plots.append(Plot(f"P{len(plots) + 1:02d}", block, position, treatment, bed))
    return replace(plan, plots=tuple(plots))


def _bed_of(plan: TrialPlan, block: int, position: int) -> str:
    """Return the bed of a plot: one bed a plot where so many are named, else one a block, else several blocks a bed."""
    treatments, beds = len(plan.treatments), plan.beds
    if len(beds) >= plan.blocks * treatments:
        return beds[(block - 1) * treatments + position - 1]
    if len(beds) >= plan.blocks:
        return beds[block - 1]
    return beds[(block - 1) * len(beds) // plan.blocks] if beds else ""


def _square(size: int, generator: np.random.Generator) -> list[list[int]]:
    """Return a Latin square: a cyclic one with rows, columns and treatments shuffled."""
    rows, columns, names = (generator.permutation(size) for _ in range(3))
    return [[int(names[(row + column) % size]) for column in columns] for row in rows]


def plan_faults(plan: TrialPlan) -> list[Fault]:
    """Return all that keeps a plan from being laid out."""
    place = f"trial {plan.name}"
    faults: list[Fault] = []
    codes = [treatment.code for treatment in plan.treatments]
    count = len(codes)
    if count < 2 or len(set(codes)) != count:
        faults.append(
            Fault(place, f"treatments {codes}", "two or more, each with its own code", "Name what to compare.")
        )
    if plan.control not in codes:
        faults.append(Fault(place, f"control '{plan.control}'", ", ".join(codes), "Say which one the others meet."))
    if plan.arrangement is Arrangement.PAIRS and count != 2:
        faults.append(Fault(place, f"{count} treatments", "2 in pairs", "Take blocks for three or more."))
    if plan.arrangement is Arrangement.SQUARE and not (3 <= count <= 12 and plan.blocks == count):
        faults.append(
            Fault(place, f"{plan.blocks} rows of {count}", "as many rows as treatments, 3 to 12", "Or take blocks.")
        )
    if plan.blocks < FEWEST_BLOCKS or plan.blocks * max(count, 1) > MOST_PLOTS:
        faults.append(
            Fault(place, f"{plan.blocks} blocks", f"2 or more, {MOST_PLOTS} plots at most", "Repeat every treatment.")
        )
    if not plan.measures:
        faults.append(Fault(place, "no measure", "one at least", "Say what will be measured; the first one decides."))
    for measure in plan.measures:
        if not 0.0 < measure.variation < 3.0:
            faults.append(
                Fault(
                    f"{place}, {measure.key}",
                    f"variation {measure.variation:g}",
                    "above 0, below 3",
                    "Give a fraction.",
                )
            )
    if not 0.0 < plan.alpha < 0.5:
        faults.append(Fault(place, f"alpha {plan.alpha:g}", "above 0, below 0.5", "Five in a hundred is usual: 0.05."))
    if not 0.0 <= plan.correlation < 1.0:
        faults.append(Fault(place, f"correlation {plan.correlation:g}", "0 to below 1", "0.3 is usual within a pair."))
    if not 0.0 < plan.worthwhile <= 5.0:
        faults.append(
            Fault(place, f"worthwhile {plan.worthwhile:g}", "above 0, a fraction of the control", "0.2 means a fifth.")
        )
    return faults


def seal_of(plan: TrialPlan) -> str:
    """Return the digest of everything that was fixed, whatever its own seal says."""
    content = asdict(replace(plan, locked_on=None, seal=""))
    return hashlib.sha256(json.dumps(content, sort_keys=True, default=str).encode()).hexdigest()


def locked(plan: TrialPlan, day: date) -> TrialPlan:
    """Return the plan locked on a day; later changes show because the seal no longer fits.

    Raises
    ------
    InputFault
        When it is locked already, or has no plots yet.
    """
    if plan.locked_on is not None:
        raise InputFault(
            [Fault(f"trial {plan.name}", f"locked on {plan.locked_on}", "an open plan", "Write a change down as such.")]
        )
    if not plan.plots:
        raise InputFault([Fault(f"trial {plan.name}", "no plots", "a layout", "Draw the layout first.")])
    return replace(plan, locked_on=day, seal=seal_of(plan))


def seal_holds(plan: TrialPlan) -> bool:
    """Tell whether a locked plan is still what was locked."""
    return plan.locked_on is not None and plan.seal == seal_of(plan)


def warnings(plan: TrialPlan) -> tuple[str, ...]:
    """Return what a plan can't show or may spoil, in plain sentences."""
    told = []
    if plan.arrangement is not Arrangement.SQUARE and 2.0 / 2.0**plan.blocks > plan.alpha:
        what = "pairs" if plan.arrangement is Arrangement.PAIRS else "blocks"
        told.append(
            f"With {plan.blocks} {what} a test by turning signs can't fall below {2.0 / 2.0**plan.blocks:.3g}; "
            f"six {what} are the fewest that can pass 0.05."
        )
    if plan.arrangement is Arrangement.SQUARE and len(plan.treatments) < 5:
        told.append("A square this small leaves few degrees of freedom for the error; repeat it or take blocks.")
    return tuple(told)


def swapped(plan: TrialPlan) -> TrialPlan:
    """Return the plan with sides swapped for the next season (crossover), for yield only.

    Raises
    ------
    InputFault
        When it is not in pairs, or a measure stays in the ground: last year's treatment would be measured.
    """
    faults = []
    if plan.arrangement is not Arrangement.PAIRS:
        faults.append(
            Fault(f"trial {plan.name}", plan.arrangement.value, Arrangement.PAIRS.value, "Swap sides of pairs.")
        )
    faults += [
        Fault(
            f"trial {plan.name}",
            f"swap with {measure.key}",
            "measures of the crop",
            "Soil remembers last year's treatment: leave soil plots where they are.",
        )
        for measure in plan.measures
        if measure.ground_stays
    ]
    if faults:
        raise InputFault(faults)
    other = {plan.treatments[0].code: plan.treatments[1].code, plan.treatments[1].code: plan.treatments[0].code}
    plots = tuple(replace(plot, treatment=other[plot.treatment]) for plot in plan.plots)
    return replace(plan, plots=plots, locked_on=None, seal="")
