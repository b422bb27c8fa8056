"""Price the candidates: run every recipe of every week on every class of beds, the same members each time.

Only weekly sums are kept. A layer runs from the day it is laid, against the same bed without it. A starting cover is
run once from its laying; what is left of it on a day lies there when a run begins on that day.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.residue import Residue
from mullbed.domain.season_plan import OutcomesCount
from mullbed.plan.bed_classes import PLACE, BedClass
from mullbed.plan.candidates import Candidate
from mullbed.plan.offers import BedOffers
from mullbed.plan.recipes import Recipe, WeekRecipes, recipes_of, weight_table
from mullbed.plan.scenarios import MemberWeeks
from mullbed.plan.terms import DAYS_A_WEEK, PlanTerms, Series
from mullbed.simulate import layout as at
from mullbed.simulate.bed_case import laid_lift
from mullbed.simulate.case import BedCase, Lay
from mullbed.simulate.ensemble import GROUPS, Members, draw_lifts, draw_members
from mullbed.simulate.learned import Learned
from mullbed.simulate.run import Outcome, Packed, pack, run_packed

#: Cover of the layer itself is told up to this, as -ln(bare share). [1]
DEEPEST = 6.0


@dataclass(frozen=True, slots=True)
class Ensemble:
    """How the candidates are run."""

    members: int = 16
    seed: int = 1
    threads: int = 2
    override: tuple[tuple[str, float], ...] = ()
    """Middle values of the model's parameters that replace its own, by name."""
    chosen: tuple[int, ...] = ()
    """Which of the members are run; all where empty."""
    learned: Learned | None = None
    """What observations taught; members are drawn from it where it tells something."""

    @property
    def count(self) -> int:
        """Number of members that are run."""
        return len(self.chosen) or self.members


def drawn_members(case: BedCase, ensemble: Ensemble) -> Members:
    """Return the members of a case that are run."""
    drawn = draw_members(
        case, ensemble.members, ensemble.seed, place=PLACE, override=dict(ensemble.override), learned=ensemble.learned
    )
    if not ensemble.chosen:
        return drawn
    rows = list(ensemble.chosen)
    return Members(drawn.records[rows], drawn.draws[rows], np.ascontiguousarray(drawn.year_of[rows]))


@dataclass(frozen=True, slots=True, eq=False)
class Priced:
    """Weekly results of the recipes of one class; rows are (week, recipe)."""

    given: Series
    """(rows, members, weeks) [g m-2]"""
    ammonia: Series
    """(rows,) [g m-2]"""
    leached: Series
    """(rows,) [g m-2]"""
    cover_depth: Series
    """(rows, weeks) [1]"""
    thickness: Series
    """(rows, weeks) [m]"""


def cover_depth_of(outcome: Outcome) -> Series:
    """Return the mean cover by week as -ln(bare share); zero before the run. (weeks,)"""
    cover = np.nan_to_num(outcome.daily["cover"].mean(axis=0))
    return np.asarray(np.minimum(DEEPEST, -np.log(np.maximum(1e-6, 1.0 - cover))))


def with_layer_on(base: Packed, layer: Packed, day: int, start_day: int) -> Packed:
    """Return a class's case with one more layer, laid on a day, run from another.

    Lifts of the layer follow those of the starting cover, in the kernel's arrays and in the members' draws.
    """
    lifts, sublayers = base.residue.shape[0], base.sublayers
    values = layer.event_values.copy()
    values[layer.event_kind == at.LAY, 0] += lifts
    days = np.concatenate((base.event_day, np.full(len(layer.event_day), day, dtype=np.int64)))
    order = np.argsort(days, kind="stable")
    return replace(
        base,
        residue=np.concatenate((base.residue, layer.residue)),
        cohort_lift=np.concatenate((base.cohort_lift, layer.cohort_lift + lifts)),
        cohort_sublayer=np.concatenate((base.cohort_sublayer, layer.cohort_sublayer + sublayers)),
        cohort_part=np.concatenate((base.cohort_part, layer.cohort_part)),
        sublayers=sublayers + layer.sublayers,
        event_day=days[order],
        event_kind=np.concatenate((base.event_kind, layer.event_kind))[order],
        event_values=np.concatenate((base.event_values, values))[order],
        start_day=start_day,
    )


def weekly(outcome: Outcome, name: str) -> Series:
    """Return a cumulative output by week, zero before the run. (members, weeks)"""
    return np.nan_to_num(outcome.daily[name])


class ClassRuns:
    """Every recipe of every week on one class of beds."""

    def __init__(
        self, bed_class: BedClass, terms: PlanTerms, residues: Mapping[str, Residue], ensemble: Ensemble, first_day: int
    ) -> None:
        self.bed_class, self.terms, self.first_day = bed_class, terms, first_day
        self.ensemble = ensemble
        case = bed_class.case
        self.packed = pack(case)
        self.members = drawn_members(case, ensemble)
        self.residues = residues
        self.left = np.ones(case.weather.days // DAYS_A_WEEK + 1)
        if bed_class.starts_covered:
            whole = run_packed(self.packed, self.members, every=DAYS_A_WEEK, name=case.name)
            there, laid = whole.daily["carbon_left"].mean(axis=0), whole.daily["laid_carbon"].mean(axis=0)
            self.left[1:] = np.clip(there / np.maximum(1e-9, laid), 0.02, 1.0)
        self.layers: dict[Recipe, tuple[Packed, Series]] = {}
        self.bare: dict[int, Outcome] = {}

    def prepared(self, recipe: Recipe) -> tuple[Packed, Series]:
        """Return a recipe as the engine lays it, and its draws."""
        known = self.layers.get(recipe)
        if known is None:
            lifts = tuple(laid_lift(lift, self.residues) for lift in recipe.lifts(self.terms.stocks))
            case = replace(self.bed_class.case, events=(Lay(0, lifts, recipe.water),))
            draws = draw_lifts(
                lifts, self.ensemble.members, self.ensemble.seed, GROUPS, self.ensemble.learned, case.weather.known
            )
            if self.ensemble.chosen:
                draws = draws[list(self.ensemble.chosen)]
            known = self.layers[recipe] = (pack(case), draws)
        return known

    def begun(self, start_day: int) -> tuple[Packed, Series]:
        """Return the class's case begun on a day, and its draws: what is left of a starting cover lies there."""
        packed = self.packed
        laid = packed.event_kind == at.LAY
        days = np.where(laid, np.maximum(packed.event_day, start_day), packed.event_day)
        order = np.argsort(days, kind="stable")
        draws = self.members.draws.copy()
        draws[:, :, at.D_MASS] *= self.left[start_day // DAYS_A_WEEK]
        begun = replace(
            packed,
            start_day=start_day,
            event_day=days[order],
            event_kind=packed.event_kind[order],
            event_values=packed.event_values[order],
        )
        return begun, draws

    def without(self, start_day: int) -> Outcome:
        """Return the run of the class without a new layer from a day on."""
        known = self.bare.get(start_day)
        if known is None:
            packed, draws = self.begun(start_day)
            members = Members(self.members.records, draws, self.members.year_of)
            known = run_packed(packed, members, every=DAYS_A_WEEK, name=self.bed_class.case.name)
            self.bare[start_day] = known
        return known

    def run(self, day: int, recipe: Recipe) -> tuple[Series, float, float, Series, Series]:
        """Return what one recipe laid on a day gives: nitrogen by member and week, losses, cover and thickness."""
        layer, draws = self.prepared(recipe)
        base, lying = self.begun(day)
        packed = with_layer_on(base, layer, day, day)
        members = Members(self.members.records, np.concatenate((lying, draws), axis=1), self.members.year_of)
        with_layer = run_packed(packed, members, every=DAYS_A_WEEK, name=self.bed_class.case.name)
        without = self.bare[day]
        skipped = self.first_day // DAYS_A_WEEK
        side = weekly(with_layer, "soil_side_nitrogen") - weekly(without, "soil_side_nitrogen")
        given = np.diff(side, axis=1, prepend=0.0)[:, skipped:]
        ammonia = float((with_layer.final(at.NH3) - without.final(at.NH3)).mean())
        leached = float((with_layer.final(at.LEACHED) - without.final(at.LEACHED)).mean())
        cover = (cover_depth_of(with_layer) - cover_depth_of(without))[skipped:]
        thick = (
            np.nan_to_num(with_layer.daily["thickness"]).mean(axis=0)
            - np.nan_to_num(without.daily["thickness"]).mean(axis=0)
        )[skipped:]
        return given, ammonia, leached, np.maximum(0.0, cover), np.maximum(0.0, thick)

    def all(self, jobs: Sequence[tuple[int, Recipe]]) -> tuple[Priced, int]:
        """Run every job and return the results, and how many member seasons were simulated."""
        for day, recipe in jobs:
            self.prepared(recipe)
            self.without(day)
        with ThreadPoolExecutor(self.ensemble.threads) as pool:
            results = list(pool.map(lambda job: self.run(*job), jobs))
        count, members, weeks = len(jobs), self.ensemble.count, len(self.terms.weeks)
        found = Priced(
            np.array([result[0] for result in results]).reshape(count, members, weeks),
            np.array([result[1] for result in results]),
            np.array([result[2] for result in results]),
            np.array([result[3] for result in results]).reshape(count, weeks),
            np.array([result[4] for result in results]).reshape(count, weeks),
        )
        return found, (count + len(self.bare)) * members


def day_index(week: int, terms: PlanTerms, first_day: int) -> int:
    """Return the day index of a week's usual laying day."""
    day = terms.weeks[week].laying_day
    if day is None:
        raise ValueError(f"week {week} has no laying day")
    return first_day + (day - terms.weeks[0].monday).days


def priced(
    classes: Sequence[BedClass],
    terms: PlanTerms,
    candidates: Sequence[tuple[Candidate, ...]],
    residues: Mapping[str, Residue],
    ensemble: Ensemble,
    first_day: int,
    progress: Callable[[str], None] = lambda sentence: None,
) -> tuple[tuple[BedOffers, ...], OutcomesCount]:
    """Return what the simulation says of every candidate, and how much was run for it.

    Parameters
    ----------
    classes : sequence of BedClass
    terms : PlanTerms
    candidates : sequence
        By bed.
    residues : mapping
        Residue table by key.
    ensemble : Ensemble
    first_day : int
        Day index of the Monday of the season's first week.
    progress : callable
        Told a sentence now and then.
    """
    used = sorted({candidate.week for of_bed in candidates for candidate in of_bed})
    by_week: dict[int, WeekRecipes] = {week: recipes_of(terms.weeks[week], terms) for week in used}
    candidates = [
        tuple(candidate for candidate in of_bed if by_week[candidate.week].knows(candidate, terms.stocks))
        for of_bed in candidates
    ]
    first_row: dict[int, int] = {}
    jobs: list[tuple[int, Recipe]] = []
    for week in used:
        first_row[week] = len(jobs)
        jobs.extend((day_index(week, terms, first_day), recipe) for recipe in by_week[week].recipes)
    tables = [weight_table(of_bed, by_week, first_row, terms.stocks) for of_bed in candidates]
    offers: dict[int, BedOffers] = {}
    seasons = 0
    for place, bed_class in enumerate(classes):
        needed = sorted(
            {
                int(row)
                for bed in bed_class.beds
                for row, weight in zip(tables[bed][0].flat, tables[bed][1].flat, strict=True)
                if weight > 0.0
            }
        )
        progress(
            f"Trying {len(needed)} layers on beds like {terms.beds[bed_class.beds[0]].name}, "
            f"{place + 1} of {len(classes)}."
        )
        runs = ClassRuns(bed_class, terms, residues, ensemble, first_day)
        outcome, ran = runs.all([jobs[row] for row in needed])
        seasons += ran
        for bed in bed_class.beds:
            rows, weights = tables[bed]
            own = np.searchsorted(needed, rows) if needed else rows
            offers[bed] = read_off(candidates[bed], outcome, np.where(weights > 0.0, own, 0), weights)
    most = max((len(by_week[week].recipes) for week in used), default=0)
    count = OutcomesCount(len(classes), most, ensemble.count, seasons)
    return tuple(offers[bed] for bed in range(len(terms.beds))), count


def representative(
    bed_class: BedClass, terms: PlanTerms, residues: Mapping[str, Residue], large: Ensemble, count: int, first_day: int
) -> tuple[int, ...]:
    """Return so many of the members that stand for all: one of each stratum of `strata_of`, which see."""
    return middle_of(strata_of(bed_class, terms, residues, large, count, first_day))


def middle_of(strata: Sequence[NDArray[np.int64]]) -> tuple[int, ...]:
    """Return one member of each stratum."""
    return tuple(int(stratum[(len(stratum) - number % 2) // 2]) for number, stratum in enumerate(strata))


def strata_of(
    bed_class: BedClass, terms: PlanTerms, residues: Mapping[str, Residue], large: Ensemble, count: int, first_day: int
) -> tuple[NDArray[np.int64], ...]:
    """Return the members in so many equal strata of what a typical layer gives.

    Few members drawn at random miss the rich tail that ceilings are about; strata do not.

    Parameters
    ----------
    bed_class : BedClass
        Where the typical layer is tried.
    terms : PlanTerms
    residues : mapping
    large : Ensemble
        The members to choose from.
    count : int
        How many.
    first_day : int
        Day index of the season's first Monday.
    """
    open_weeks = [week.index for week in terms.weeks if week.laying_day is not None]
    recipes = [(week, recipe) for week in open_weeks for recipe in recipes_of(terms.weeks[week], terms).recipes]
    fertile = [pair for pair in recipes if pair[1].soft is not None] or recipes
    if count >= large.members or not fertile:
        return tuple(np.array([member], dtype=np.int64) for member in range(min(count, large.members)))
    totals = np.zeros(large.members)
    runs = ClassRuns(bed_class, terms, residues, large, first_day)
    for share in (0.2, 0.4, 0.6):
        week, recipe = fertile[int(share * len(fertile))]
        outcome, _ = runs.all([(day_index(week, terms, first_day), recipe)])
        given = outcome.given[0].sum(axis=1)
        totals += given / max(1e-6, float(np.std(given)))
    return tuple(np.array_split(np.argsort(totals, kind="stable"), count))


def read_off(candidates: tuple[Candidate, ...], outcome: Priced, rows: NDArray[np.int64], weights: Series) -> BedOffers:
    """Return the outcomes of a bed's candidates between those of the recipes."""
    count = len(candidates)
    totals, mean = outcome.given.sum(axis=2), outcome.given.mean(axis=1)

    def mixed(values: Series) -> Series:
        found = np.zeros((count, *values.shape[1:]))
        for corner in range(4):
            weight = weights[:, corner].reshape(-1, *([1] * (values.ndim - 1)))
            if count:
                found += weight * values[rows[:, corner]]
        return found

    return BedOffers(
        candidates,
        mixed(mean),
        mixed(totals),
        mixed(outcome.ammonia),
        mixed(outcome.leached),
        mixed(outcome.cover_depth),
        mixed(outcome.thickness),
        MemberWeeks(outcome.given, rows, weights),
    )
