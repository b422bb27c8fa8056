"""Set a finished plan into seasons it was not made with, supplies that fail included, and count what it comes to.

Nothing is taken from the planner's own outcomes: every bed is run with the layers that could be laid in each season,
and the weekly nitrogen and cover of that run go into the ledger of goals.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from mullbed.domain.plan_worth import PlanInYears
from mullbed.domain.residue import Residue
from mullbed.domain.season_plan import PlannedLayer, SeasonPlan
from mullbed.plan.candidates import disturbed
from mullbed.plan.choice_model import COVERED
from mullbed.plan.outcomes import DEEPEST, Ensemble, drawn_members, weekly
from mullbed.plan.rehearse import with_layers
from mullbed.plan.scenarios import Scenarios
from mullbed.plan.season import Problem
from mullbed.plan.terms import DAYS_A_WEEK, BedTerms, PlanTerms, Series
from mullbed.plan.uncertain import scenario_ledger, tail_mean
from mullbed.simulate import layout as at
from mullbed.simulate.case import BedCase
from mullbed.simulate.run import Outcome, simulate


@dataclass(frozen=True, slots=True, eq=False)
class InYears:
    """A plan in unseen seasons, by season. (seasons,) each, whole garden."""

    layers: int
    cost: Series
    short: Series
    over: Series
    ammonia: Series
    bare: Series
    minutes: Series

    def summary(self, tail: float = 0.1) -> PlanInYears:
        """Return the means, and the mean of the dearest tenth."""
        return PlanInYears(
            self.layers,
            float(self.cost.mean()),
            float(tail_mean(self.cost, tail)),
            float(self.short.mean()),
            float(self.over.mean()),
            float(self.ammonia.mean()),
            float(self.bare.mean()),
            float(self.minutes.mean()),
        )


def stocks_taken(planned: PlannedLayer, terms: PlanTerms) -> dict[int, float]:
    """Return the containers a planned layer takes, by stock."""
    taken: dict[int, float] = {}
    for lift in planned.layer.lifts:
        for number, stock in enumerate(terms.stocks):
            unit = stock.unit
            if (unit.residue, unit.container, unit.fresh) == (lift.residue, lift.container, lift.fresh):
                taken[number] = taken.get(number, 0.0) + lift.count
                break
    return taken


def came(planned: PlannedLayer, terms: PlanTerms, scenarios: Scenarios) -> Series:
    """Return whether a layer could be laid in each season: at least half of all it takes was there. (seasons,)"""
    week = (planned.layer.day - terms.weeks[0].monday).days // DAYS_A_WEEK
    shares = [scenarios.came[stock][:, week] for stock in stocks_taken(planned, terms)]
    if not shares:
        return np.ones(scenarios.count)
    return np.asarray(np.minimum.reduce(shares) >= 0.5, dtype=np.float64)


def depth_of(outcome: Outcome) -> Series:
    """Return the cover by member and week as -ln(bare share). (members, weeks)"""
    bare = np.maximum(1e-6, 1.0 - np.nan_to_num(outcome.daily["cover"]))
    return np.asarray(np.minimum(DEEPEST, -np.log(bare)))


def one_bed(
    case: BedCase,
    bed: BedTerms,
    planned: Sequence[PlannedLayer],
    terms: PlanTerms,
    scenarios: Scenarios,
    residues: Mapping[str, Residue],
    ensemble: Ensemble,
    first_day: int,
) -> tuple[Series, ...]:
    """Return what one bed comes to by season: cost, short, over, ammonia, bare weeks, minutes."""
    skipped = first_day // DAYS_A_WEEK
    there = np.array([came(one, terms, scenarios) for one in planned]).reshape(len(planned), scenarios.count)
    base = simulate(case, drawn_members(case, ensemble), every=DAYS_A_WEEK, threads=1)
    before, covered = weekly(base, "soil_side_nitrogen"), depth_of(base)
    given = np.zeros((scenarios.count, bed.weeks))
    cover, ammonia = np.zeros_like(given), np.zeros(scenarios.count)
    patterns, of_season = np.unique(there, axis=1, return_inverse=True)
    for number in range(patterns.shape[1]):
        seasons = np.flatnonzero(of_season.ravel() == number)
        laid = [one.layer for one, is_there in zip(planned, patterns[:, number], strict=True) if is_there]
        if not laid:
            continue
        rows = scenarios.member[seasons]
        with_them = with_layers(case, laid, residues)
        members = drawn_members(with_them, replace(ensemble, chosen=tuple(int(row) for row in rows)))
        ran = simulate(with_them, members, every=DAYS_A_WEEK, threads=1)
        side = weekly(ran, "soil_side_nitrogen") - before[rows]
        given[seasons] = np.diff(side, axis=1, prepend=0.0)[:, skipped:]
        cover[seasons] = np.maximum(0.0, depth_of(ran) - covered[rows])[:, skipped:]
        ammonia[seasons] = ran.final(at.NH3) - base.final(at.NH3)[rows]
    soil = bed.soil_given[scenarios.member]
    weights = terms.weights
    short, over = short_and_over(bed, soil, given)
    bare = np.clip(1.0 - (bed.cover_depth + cover) / COVERED, 0.0, 1.0).sum(axis=1)
    minutes = np.array([one.minutes for one in planned]) @ there if planned else np.zeros(scenarios.count)
    extra = [
        weights.disturbed * bed.area * disturbed(bed, one.layer.day, terms.limits.days_disturbing)
        + weights.bought
        * sum(count for stock, count in stocks_taken(one, terms).items() if terms.stocks[stock].bought_in)
        for one in planned
    ]
    cost = scenario_ledger(bed, soil, given, cover, terms) + weights.lost * bed.area * ammonia
    cost += weights.minute * minutes + (np.array(extra) @ there if planned else 0.0)
    return cost, bed.area * short, bed.area * over, bed.area * ammonia, bare, minutes


def short_and_over(bed: BedTerms, soil: Series, given: Series) -> tuple[Series, Series]:
    """Return what crops missed, and what was lost from the pool or left in it, by season. (seasons,) [g m-2]"""
    before, short, over = (np.zeros(given.shape[0]) for _ in range(3))
    for week in range(bed.weeks):
        there = np.maximum(0.0, before + soil[:, week] + given[:, week])
        short += np.maximum(0.0, bed.want[week] - there)
        pool = np.maximum(0.0, there - bed.want[week])
        before = pool * bed.kept[week]
        over += pool - before if week < bed.weeks - 1 else pool
    return short, over


def in_unseen_seasons(
    plan: SeasonPlan, problem: Problem, scenarios: Scenarios, residues: Mapping[str, Residue], ensemble: Ensemble
) -> InYears:
    """Return what a plan comes to in seasons it was not made with.

    Parameters
    ----------
    plan : SeasonPlan
    problem : Problem
        The garden with the unseen weather; its terms hold what the beds give by themselves there, by member.
    scenarios : Scenarios
        Drawn for the problem's members.
    residues : mapping
    ensemble : Ensemble
        The members of the problem.
    """
    terms = problem.terms

    def one(number: int) -> tuple[Series, ...]:
        bed = terms.beds[number]
        planned = [layer for layer in plan.layers if layer.layer.bed == bed.name]
        return one_bed(problem.cases[number], bed, planned, terms, scenarios, residues, ensemble, problem.first_day)

    with ThreadPoolExecutor(ensemble.threads) as pool:
        found = list(pool.map(one, range(len(terms.beds))))
    sums = [np.sum([of_bed[place] for of_bed in found], axis=0) for place in range(6)]
    return InYears(len(plan.layers), *sums)
