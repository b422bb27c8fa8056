"""Set what is done on beds into seasons it was not made with, supplies that fail included, and count what it comes to.

Nothing is taken from the planner's own outcomes: every bed is run with what could be done in each season, and the
weekly nitrogen and cover of that run go into the ledger of goals. All books are kept against the same bed, in the same
season, left alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields, replace

import numpy as np

from mullbed.domain.plan_worth import PlanInYears
from mullbed.domain.residue import Residue
from mullbed.domain.season_plan import PlannedLayer, SeasonPlan
from mullbed.plan.acts import Act, as_planned, with_acts
from mullbed.plan.candidates import disturbed
from mullbed.plan.choice_model import COVERED
from mullbed.plan.outcomes import DEEPEST, Ensemble, drawn_members, weekly
from mullbed.plan.scenarios import Scenarios
from mullbed.plan.season import Problem
from mullbed.plan.terms import DAYS_A_WEEK, BedTerms, PlanTerms, Series
from mullbed.plan.uncertain import scenario_ledger, tail_mean
from mullbed.simulate import layout as at
from mullbed.simulate.case import BedCase
from mullbed.simulate.run import Outcome, simulate

#: Share of the soil that has to be covered for a day to count as covered. [fraction]
COVERED_SHARE = 0.8
#: Nitrogen fed beyond its ceiling that does not count as past it. [g m-2, judgement]
UNTOLD_FED = 0.5


@dataclass(frozen=True, slots=True, eq=False)
class InYears:
    """A way of gardening in unseen seasons, by season. (seasons,) each, whole garden or one bed."""

    cost: Series
    """All goals together. [g]"""
    short: Series
    """Crop want not met. [g]"""
    over: Series
    """Lost from the soil's mineral nitrogen or left in it. [g]"""
    ammonia: Series
    """Lost to the air from layers. [g]"""
    lost: Series
    """Lost to air and water beyond the bed left alone: ammonia, nitrate washed down, denitrified. [g]"""
    nitrogen_kept: Series
    """Of what was given, what is still there at the end of the season. [g]"""
    carbon_kept: Series
    """[g]"""
    bare: Series
    """Bed-weeks, as far as less than four fifths is covered. [week]"""
    covered_days: Series
    """Days with at least four fifths covered, times area. [d m2]"""
    fed: Series
    """Nitrogen given by the soil and by what is done. [g]"""
    past_ceiling: Series
    """Area fed beyond the ceiling (R11), or beyond the soil alone where that is more. [m2]"""
    minutes: Series
    litres: Series

    def summary(self, layers: int, tail: float = 0.1) -> PlanInYears:
        """Return the means, and the mean of the dearest tenth."""
        return PlanInYears(
            layers,
            float(self.cost.mean()),
            float(tail_mean(self.cost, tail)),
            float(self.short.mean()),
            float(self.over.mean()),
            float(self.ammonia.mean()),
            float(self.bare.mean()),
            float(self.minutes.mean()),
        )


def together(beds: Sequence[InYears]) -> InYears:
    """Return the sum over beds."""
    return InYears(*(np.sum([getattr(bed, one.name) for bed in beds], axis=0) for one in fields(InYears)))


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


def acts_of(plan: SeasonPlan, terms: PlanTerms) -> tuple[tuple[Act, ...], ...]:
    """Return a plan as what is done on each bed."""
    found: dict[str, list[Act]] = {bed.name: [] for bed in terms.beds}
    for planned in plan.layers:
        taken = stocks_taken(planned, terms)
        bought = sum(count for stock, count in taken.items() if terms.stocks[stock].bought_in)
        found[planned.layer.bed].append(as_planned(planned, taken, bought))
    return tuple(tuple(found[bed.name]) for bed in terms.beds)


def came(act: Act, terms: PlanTerms, scenarios: Scenarios) -> Series:
    """Return whether something could be done in each season: at least half of all it takes was there. (seasons,)"""
    week = (act.day - terms.weeks[0].monday).days // DAYS_A_WEEK
    shares = [scenarios.came[stock][:, week] for stock, _ in act.taken]
    if not shares:
        return np.ones(scenarios.count)
    return np.asarray(np.minimum.reduce(shares) >= 0.5, dtype=np.float64)


def depth_of(outcome: Outcome) -> Series:
    """Return the cover by member and week as -ln(bare share). (members, weeks)"""
    bare = np.maximum(1e-6, 1.0 - np.nan_to_num(outcome.daily["cover"]))
    return np.asarray(np.minimum(DEEPEST, -np.log(bare)))


class BedLeftAlone:
    """One bed in its seasons without anything done; kept, because every way is held against it."""

    def __init__(self, case: BedCase, bed: BedTerms, ensemble: Ensemble, first_day: int) -> None:
        self.case, self.bed, self.ensemble = case, bed, ensemble
        self.skipped = first_day // DAYS_A_WEEK
        self.run = simulate(case, drawn_members(case, ensemble), every=DAYS_A_WEEK, threads=1)
        self.given, self.cover = weekly(self.run, "soil_side_nitrogen"), depth_of(self.run)


def lost_in(outcome: Outcome) -> Series:
    """Return the nitrogen lost to air and water. (members,) [g m-2]"""
    columns = (at.NH3, at.N2O_LAYER, at.N2O_SOIL, at.N2, at.LEACHED)
    return np.asarray(sum(outcome.final(column) for column in columns))


def carbon_in(outcome: Outcome) -> Series:
    """Return the carbon that came less what went. (members,) [g m-2]"""
    went = outcome.final(at.CO2_LAYER) + outcome.final(at.CO2_SOIL) + outcome.final(at.REMOVED_C)
    return np.asarray(outcome.final(at.LAID_C) - went)


def one_bed(
    alone: BedLeftAlone, acts: Sequence[Act], terms: PlanTerms, scenarios: Scenarios, residues: Mapping[str, Residue]
) -> InYears:
    """Return what one bed comes to by season.

    Parameters
    ----------
    alone : BedLeftAlone
    acts : sequence of Act
        What is done on it, where what it takes came.
    terms : PlanTerms
    scenarios : Scenarios
    residues : mapping
    """
    bed, base, skipped = alone.bed, alone.run, alone.skipped
    there = np.array([came(act, terms, scenarios) for act in acts]).reshape(len(acts), scenarios.count)
    given, cover = np.zeros((scenarios.count, bed.weeks)), np.zeros((scenarios.count, bed.weeks))
    ammonia, lost, kept, carbon = (np.zeros(scenarios.count) for _ in range(4))
    patterns, of_season = np.unique(there, axis=1, return_inverse=True)
    for number in range(patterns.shape[1]):
        seasons = np.flatnonzero(of_season.ravel() == number)
        done = [act for act, is_there in zip(acts, patterns[:, number], strict=True) if is_there]
        if not done:
            continue
        rows = scenarios.member[seasons]
        with_them = with_acts(alone.case, done, residues)
        members = drawn_members(with_them, replace(alone.ensemble, chosen=tuple(int(row) for row in rows)))
        ran = simulate(with_them, members, every=DAYS_A_WEEK, threads=1)
        side = weekly(ran, "soil_side_nitrogen") - alone.given[rows]
        given[seasons] = np.diff(side, axis=1, prepend=0.0)[:, skipped:]
        cover[seasons] = np.maximum(0.0, depth_of(ran) - alone.cover[rows])[:, skipped:]
        ammonia[seasons] = ran.final(at.NH3) - base.final(at.NH3)[rows]
        lost[seasons] = lost_in(ran) - lost_in(base)[rows]
        came_in = sum(ran.final(column) - base.final(column)[rows] for column in (at.LAID_N, at.FED_N))
        eaten = ran.final(at.CROP_N) - base.final(at.CROP_N)[rows]
        kept[seasons] = came_in - lost[seasons] - eaten
        carbon[seasons] = carbon_in(ran) - carbon_in(base)[rows]
    return _counted(bed, acts, there, (given, cover, ammonia, lost, kept, carbon), terms, scenarios)


def _counted(
    bed: BedTerms, acts: Sequence[Act], there: Series, ran: tuple[Series, ...], terms: PlanTerms, scenarios: Scenarios
) -> InYears:
    """Put what the runs showed into the ledger of goals and the sums of one bed."""
    given, cover, ammonia, lost, kept, carbon = ran
    weights, soil = terms.weights, bed.soil_given[scenarios.member]
    short, over = short_and_over(bed, soil, given)
    deep = bed.cover_depth + cover
    minutes, litres, extra = (
        np.array(values, dtype=np.float64) @ there
        for values in (
            [act.minutes for act in acts],
            [act.litres for act in acts],
            [_in_the_way(bed, act, terms) + weights.bought * act.bought for act in acts],
        )
    )
    cost = scenario_ledger(bed, soil, given, cover, terms) + weights.lost * bed.area * ammonia
    alone = soil.sum(axis=1)
    allowed = np.maximum(bed.nitrogen_fed_ceiling, alone)
    return InYears(
        cost=cost + weights.minute * minutes + extra,
        short=bed.area * short,
        over=bed.area * over,
        ammonia=bed.area * ammonia,
        lost=bed.area * lost,
        nitrogen_kept=bed.area * kept,
        carbon_kept=bed.area * carbon,
        bare=np.clip(1.0 - deep / COVERED, 0.0, 1.0).sum(axis=1),
        covered_days=bed.area * DAYS_A_WEEK * (1.0 - np.exp(-deep) >= COVERED_SHARE - 1e-9).sum(axis=1),
        fed=bed.area * (alone + given.sum(axis=1)),
        past_ceiling=bed.area * (alone + given.sum(axis=1) > allowed + UNTOLD_FED),
        minutes=minutes,
        litres=litres,
    )


def _in_the_way(bed: BedTerms, act: Act, terms: PlanTerms) -> float:
    """R24: return what a layer costs that is laid close to sowing, planting or harvest. [g]"""
    if act.layer is None:
        return 0.0
    return terms.weights.disturbed * bed.area * disturbed(bed, act.day, terms.limits.days_disturbing)


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


class GardenInYears:
    """A garden in seasons nobody planned with; ways of gardening are tried in it one after the other."""

    def __init__(
        self, problem: Problem, scenarios: Scenarios, residues: Mapping[str, Residue], ensemble: Ensemble
    ) -> None:
        self.terms, self.scenarios, self.residues, self.ensemble = problem.terms, scenarios, residues, ensemble

        def alone(number: int) -> BedLeftAlone:
            return BedLeftAlone(problem.cases[number], problem.terms.beds[number], ensemble, problem.first_day)

        with ThreadPoolExecutor(ensemble.threads) as pool:
            self.alone = tuple(pool.map(alone, range(len(problem.terms.beds))))
        self.year_of = drawn_members(problem.cases[0], ensemble).year_of[scenarios.member]

    def of_bed(self, number: int, acts: Sequence[Act]) -> InYears:
        """Return what one bed comes to."""
        return one_bed(self.alone[number], acts, self.terms, self.scenarios, self.residues)

    def tried(self, acts: Sequence[Sequence[Act]]) -> InYears:
        """Return what a way of gardening comes to, given what is done on each bed."""
        with ThreadPoolExecutor(self.ensemble.threads) as pool:
            return together(list(pool.map(self.of_bed, range(len(self.alone)), acts)))
