"""The choice of layers as a mixed-integer model: each rule is one function that adds its rows.

A candidate is a 0/1 column: it is laid or not. Everything else follows from the choice: stocks used, nitrogen in the
soil by week, what crops miss, what is left over, which weeks lie bare. Rule numbers are those of
docs/topics/planning-rules.md; a rule left out by name is simply not built, which is how each one's test works.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from math import inf, log

import numpy as np
from numpy.typing import NDArray

from mullbed.plan.offers import BedOffers
from mullbed.plan.rows import Model, RowName
from mullbed.plan.terms import BedTerms, PlanTerms, Series

#: Four fifths of the soil covered, as -ln(bare share). [1]
COVERED = -log(1.0 - 0.8)
#: Share of members whose mean stands for the 90th percentile: the highest fifth. [fraction]
TAIL = 0.2
#: Where the soil alone is past the ceiling, layers may still add so little that no test could tell it, or no bed on
#: rich soil could ever be covered: a share of the ceiling, at most so much. [fraction, g m-2; judgement]
UNTOLD_SHARE, UNTOLD_MOST = 0.03, 0.5

Columns = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class BedColumns:
    """Columns of one bed."""

    lay: Columns
    pool: Columns
    short: Columns
    debt: Columns
    bare: Columns


@dataclass(frozen=True, slots=True, eq=False)
class Usage:
    """Columns of one stock: containers of one arrival laid in one week."""

    arrival: NDArray[np.int64]
    week: NDArray[np.int64]
    column: Columns
    spoilt: Columns
    """Containers of each arrival that spoil unused; empty for what keeps."""


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """A built model and where its columns are."""

    model: Model
    terms: PlanTerms
    offers: tuple[BedOffers, ...]
    beds: tuple[BedColumns, ...]
    stocks: tuple[Usage, ...]

    def chosen(self, values: Series) -> tuple[tuple[int, ...], ...]:
        """Return the candidates laid by bed, as indices into its offers."""
        return tuple(tuple(int(i) for i in np.flatnonzero(values[bed.lay] > 0.5)) for bed in self.beds)


def highest_fifth(totals: Series) -> NDArray[np.int64]:
    """Return the members with the highest totals: their mean stands for the 90th percentile."""
    count = max(1, round(TAIL * totals.shape[0]))
    return np.argsort(totals, kind="stable")[-count:]


def fed_limit(bed: BedTerms) -> float:
    """Return the nitrogen the highest fifth of members may be fed: the ceiling, or what the soil gives anyhow. [g m-2]

    R11 can only forbid layers; where the soil alone is past the ceiling, layers must not add to it.
    """
    totals = bed.soil_given.sum(axis=1)
    alone = float(totals[highest_fifth(totals)].mean())
    return max(alone, max(bed.nitrogen_fed_ceiling, alone + untold(bed)) - bed.fed_lowered)


def untold(bed: BedTerms) -> float:
    """Return what layers may add where the soil alone is past its ceiling. [g m-2]"""
    return min(UNTOLD_MOST, UNTOLD_SHARE * bed.nitrogen_fed_ceiling) + 0.02


# -- rules of one bed ----------------------------------------------------------------------------------------------


def one_layer_a_week(choice: Choice) -> None:
    """R1: at most one layer on a bed in a week."""
    for number, (bed, offers) in enumerate(zip(choice.beds, choice.offers, strict=True)):
        weeks = offers.weeks_of_laying
        for week in np.unique(weeks):
            lay = bed.lay[weeks == week]
            choice.model.add_row(RowName("R1", number, int(week)), lay, np.ones(len(lay)), upper=1.0)


def spaced_layers(choice: Choice) -> None:
    """R2: layers on a bed are so many days apart, those already lying included."""
    gap = choice.terms.limits.days_between_layers
    for number, (bed, offers) in enumerate(zip(choice.beds, choice.offers, strict=True)):
        days = np.array([candidate.day.toordinal() for candidate in offers.candidates], dtype=np.int64)
        last_laid = choice.terms.beds[number].last_laid
        reach = 0
        for day in np.unique(days):
            inside = (days >= day) & (days < day + gap)
            if inside.any() and days[inside].max() > reach:  # else the window of an earlier day holds all of this one
                reach = int(days[inside].max())
                columns = bed.lay[inside]
                choice.model.add_row(RowName("R2", number), columns, np.ones(len(columns)), upper=1.0)
        if last_laid is not None:
            early = bed.lay[days - last_laid.toordinal() < gap]
            if len(early):
                choice.model.add_row(RowName("R2", number), early, np.ones(len(early)), upper=0.0)


def cover_not_too_thick(choice: Choice) -> None:
    """R6: the settled cover stays under its thickest."""
    for number, (bed, offers) in enumerate(zip(choice.beds, choice.offers, strict=True)):
        base = choice.terms.beds[number].thickness
        for week in np.unique(offers.weeks_of_laying):
            room = max(0.0, choice.terms.limits.thickest_cover - float(base[week]))
            heights = offers.thickness[:, week]
            if most_together(heights, offers.weeks_of_laying, choice.terms.limits.days_between_layers // 7) <= room:
                continue  # the thickest that spacing allows still fits: the row could never bite
            laid = offers.weeks_of_laying == week
            if float(base[week]) >= choice.terms.limits.thickest_cover:
                choice.model.add_row(RowName("R6", number, int(week)), bed.lay[laid], np.ones(laid.sum()), upper=0.0)
                continue
            choice.model.add_row(RowName("R6", number, int(week)), bed.lay, heights, upper=room)


def most_together(heights: Series, weeks: NDArray[np.int64], gap: int) -> float:
    """Return a bound on the summed height of layers that are at least so many weeks apart. [m]"""
    blocks = weeks // max(1, gap)
    return float(sum(heights[blocks == block].max() for block in np.unique(blocks)))


def nitrogen_laid(choice: Choice) -> None:
    """R10: total nitrogen laid stays under the year's ceiling, and under the law's where one is entered."""
    for number, (bed, offers) in enumerate(zip(choice.beds, choice.offers, strict=True)):
        loads = [candidate.nitrogen for candidate in offers.candidates]
        ceiling = max(0.0, choice.terms.beds[number].nitrogen_ceiling)
        choice.model.add_row(RowName("R10", number), bed.lay, loads, upper=ceiling)


def fed_within_ceiling(choice: Choice, highest: Sequence[Sequence[NDArray[np.int64]]] = ()) -> None:
    """R11: nitrogen fed in the season stays under its ceiling in the highest fifth of the members.

    The highest fifth depends on the plan. Its mean is the largest mean over all fifths of members, so any fifth
    gives a valid row; the fifth of the typical layer is taken first and the fifth of a found plan is added when
    that plan turns out to be past the ceiling (`choose.solved` repeats until none is).
    """
    for number, (bed, offers) in enumerate(zip(choice.beds, choice.offers, strict=True)):
        if not offers.candidates:
            continue
        terms = choice.terms.beds[number]
        soil = terms.soil_given.sum(axis=1)
        fifths = [*first_fifths(soil, offers), *(highest[number] if highest else ())]
        for fifth in fifths:
            given = offers.given_by_member[:, fifth].mean(axis=1)
            room = fed_limit(terms) - float(soil[fifth].mean())
            choice.model.add_row(RowName("R11", number), bed.lay, given, upper=room)


def first_fifths(soil: Series, offers: BedOffers) -> list[NDArray[np.int64]]:
    """Return the highest fifths to begin with: of the soil alone, of a typical plan, and of one rich in each stock."""
    totals = [soil, soil + 3.0 * offers.given_by_member.mean(axis=0)]
    softs = np.array([-1 if c.soft is None else c.soft.stock for c in offers.candidates])
    totals.extend(soil + 2.0 * offers.given_by_member[softs == stock].mean(axis=0) for stock in np.unique(softs))
    found: dict[tuple[int, ...], NDArray[np.int64]] = {}
    for total in totals:
        fifth = highest_fifth(total)
        found.setdefault(tuple(sorted(int(member) for member in fifth)), fifth)
    return list(found.values())


def phosphorus_laid(choice: Choice) -> None:
    """R12: phosphorus laid stays under its ceiling by removal and soil test."""
    for number, (bed, offers) in enumerate(zip(choice.beds, choice.offers, strict=True)):
        loads = [candidate.phosphorus for candidate in offers.candidates]
        ceiling = max(0.0, choice.terms.beds[number].phosphorus_ceiling)
        choice.model.add_row(RowName("R12", number), bed.lay, loads, upper=ceiling)


def wanted_layers(choice: Choice) -> None:
    """R26: a layer the grower wants kept is laid."""
    for number, (bed, offers) in enumerate(zip(choice.beds, choice.offers, strict=True)):
        for place, candidate in enumerate(offers.candidates):
            if candidate.wanted:
                choice.model.add_row(RowName("R26", number, candidate.week), bed.lay[[place]], [-1.0], upper=-1.0)


def bare_soil(choice: Choice) -> None:
    """R19: a week in which less than four fifths of the soil is covered costs by what is missing."""
    for number, (bed, offers) in enumerate(zip(choice.beds, choice.offers, strict=True)):
        base = choice.terms.beds[number].cover_depth
        for week, column in enumerate(bed.bare):
            missing = 1.0 - float(base[week]) / COVERED
            if missing <= 0.0:
                continue
            index = np.concatenate(([column], bed.lay))
            value = np.concatenate(([1.0], offers.cover_depth[:, week] / COVERED))
            choice.model.add_row(RowName("R19", number, week), index, value, lower=missing)


def fed_when_wanted(choice: Choice) -> None:
    """R20: soil and layers give to a pool that loses some each week; a crop takes its want from it or goes short."""
    for number, (bed, offers) in enumerate(zip(choice.beds, choice.offers, strict=True)):
        terms = choice.terms.beds[number]
        soil = terms.soil_given.mean(axis=0)
        for week in range(terms.weeks):
            index = [int(bed.pool[week]), int(bed.short[week]), int(bed.debt[week])]
            value = [1.0, -1.0, -1.0]
            if week:
                index.append(int(bed.pool[week - 1]))
                value.append(-float(terms.kept[week - 1]))
            early = offers.weeks_of_laying <= week
            index.extend(bed.lay[early].tolist())
            value.extend((-offers.given[early, week]).tolist())
            right = float(soil[week] - terms.want[week])
            choice.model.add_row(RowName("R20", number, week), index, value, lower=right, upper=right)


# -- rules all beds share ------------------------------------------------------------------------------------------


def stock_used(choice: Choice) -> None:
    """R3: what layers take in a week comes from arrivals that are there (R4 still good, R5 not held)."""
    taken: dict[tuple[int, int], tuple[list[int], list[float]]] = {}
    for bed, offers in zip(choice.beds, choice.offers, strict=True):
        for column, candidate in zip(bed.lay, offers.candidates, strict=True):
            for portion in candidate.portions:
                index, value = taken.setdefault((portion.stock, candidate.week), ([], []))
                index.append(int(column))
                value.append(float(portion.count))
    for stock, usage in enumerate(choice.stocks):
        for week in sorted({*usage.week.tolist(), *(at for which, at in taken if which == stock)}):
            index, value = taken.get((stock, week), ([], []))
            columns = usage.column[usage.week == week].tolist()
            choice.model.add_row(
                RowName("R3", week=week, stock=stock),
                [*index, *columns],
                [*value, *[-1.0] * len(columns)],
                lower=0.0,
                upper=0.0,
            )
    for number, (stock_terms, usage) in enumerate(zip(choice.terms.stocks, choice.stocks, strict=True)):
        for place, arrival in enumerate(stock_terms.arrivals):
            of_arrival = usage.arrival == place
            columns = usage.column[of_arrival]
            shares = []
            for week in usage.week[of_arrival]:
                day = choice.terms.stock_days[number][int(week)]
                shares.append(1.0 / stock_terms.kept(arrival, day) if day is not None else inf)
            if usage.spoilt.size:
                choice.model.add_row(
                    RowName("R3", stock=number),
                    [*columns.tolist(), int(usage.spoilt[place])],
                    [*shares, 1.0],
                    lower=arrival.count,
                    upper=arrival.count,
                )
            elif len(columns):
                choice.model.add_row(RowName("R3", stock=number), columns, shares, upper=arrival.count)


def reserve_of_browns(choice: Choice) -> None:
    """R21: until the end of summer a share of the dry matter of browns stays in store, for a cap in need."""
    terms = choice.terms
    until = terms.limits.reserve_until
    if until is None or terms.limits.reserve_share <= 0.0:
        return
    for week in terms.weeks:
        if week.laying_day is None or week.laying_day > until:
            continue
        index: list[int] = []
        value: list[float] = []
        come = 0.0
        for number, (stock, usage) in enumerate(zip(terms.stocks, choice.stocks, strict=True)):
            day = terms.stock_days[number][week.index]
            if stock.soft_fresh or day is None:
                continue
            come += sum(a.count for a in stock.arrivals if stock.usable_on(a, day)) * stock.unit.dry_matter / 1000.0
            early = usage.column[usage.week <= week.index]
            index.extend(early.tolist())
            value.extend([stock.unit.dry_matter / 1000.0] * len(early))
        if index:
            share = (1.0 - terms.limits.reserve_share) * come
            choice.model.add_row(RowName("R21", week=week.index), index, value, upper=share)


def work_of_a_day(choice: Choice) -> None:
    """R16: the work of a laying day stays within its minutes."""
    within_a_day(choice, "R16", choice.terms.limits.minutes_per_day, "minutes")


def water_of_a_day(choice: Choice) -> None:
    """R17: the water carried on a laying day stays within its litres."""
    within_a_day(choice, "R17", choice.terms.limits.litres_per_day, "litres")


def within_a_day(choice: Choice, rule: str, limit: float | None, amount: str) -> None:
    """Add the rows of a limit on what all beds together ask of one day."""
    if limit is None:
        return
    asked: dict[date, tuple[list[int], list[float]]] = {}
    weeks: dict[date, int] = {}
    for bed, offers in zip(choice.beds, choice.offers, strict=True):
        for column, candidate in zip(bed.lay, offers.candidates, strict=True):
            index, value = asked.setdefault(candidate.day, ([], []))
            weeks[candidate.day] = candidate.week
            index.append(int(column))
            value.append(float(getattr(candidate, amount)))
    for day, (index, value) in sorted(asked.items()):
        choice.model.add_row(RowName(rule, week=weeks[day]), index, value, upper=limit)


Rule = Callable[[Choice], None]

#: Rules of the model by number. R7-R9 and R13-R15 are kept by every candidate already, R18 by the laying days.
RULES: dict[str, Rule] = {
    "R1": one_layer_a_week,
    "R2": spaced_layers,
    "R3": stock_used,
    "R6": cover_not_too_thick,
    "R10": nitrogen_laid,
    "R11": fed_within_ceiling,
    "R12": phosphorus_laid,
    "R16": work_of_a_day,
    "R17": water_of_a_day,
    "R19": bare_soil,
    "R20": fed_when_wanted,
    "R21": reserve_of_browns,
    "R26": wanted_layers,
}


def cost_of(bed: BedTerms, offers: BedOffers, terms: PlanTerms) -> Series:
    """Return what laying each candidate costs by itself: ammonia, work, bought-in containers. (candidates,) [g]

    A layer of the plan so far costs less by what a change costs; what is to be used first, by how early it is used.
    Nitrogen washed down is priced with the pool it is washed from (R20), not here, or it would count twice.
    """
    weights = terms.weights
    lost = weights.lost * bed.area * offers.ammonia
    own = [
        weights.minute * candidate.minutes
        + weights.disturbed * bed.area * candidate.disturbed
        + sum(weights.bought * p.count for p in candidate.portions if terms.stocks[p.stock].bought_in)
        - weights.changed * candidate.standing
        - sum(
            weights.later
            * (1.0 - candidate.week / bed.weeks)
            * p.count
            * terms.stocks[p.stock].unit.dry_matter
            / 1000.0
            for p in candidate.portions
            if terms.stocks[p.stock].first
        )
        for candidate in offers.candidates
    ]
    return np.asarray(lost + np.asarray(own))


def built(
    terms: PlanTerms,
    offers: Sequence[BedOffers],
    without: Iterable[str] = (),
    highest: Sequence[Sequence[NDArray[np.int64]]] = (),
) -> Choice:
    """Build the model of all beds.

    Parameters
    ----------
    terms : PlanTerms
        Beds, stocks, weeks, limits and weights.
    offers : sequence of BedOffers
        Candidates and their outcomes, one entry a bed.
    without : iterable of str
        Rules left out, for tests.
    highest : sequence
        By bed, further fifths of members for R11.
    """
    model = Model()
    weights = terms.weights
    beds: list[BedColumns] = []
    for bed, offer in zip(terms.beds, offers, strict=True):
        lay = model.add_columns(cost_of(bed, offer, terms), upper=1.0, whole=True)
        left = [weights.over * bed.area * (1.0 - float(kept)) for kept in bed.kept]
        left[-1] = weights.over * bed.area
        pool = model.add_columns(left)
        short = model.add_columns([weights.short * bed.area] * bed.weeks, upper=bed.want)
        debt = model.add_columns([weights.short * bed.area] * bed.weeks)
        bare = model.add_columns([weights.bare * bed.area] * bed.weeks, upper=1.0)
        beds.append(BedColumns(lay, pool, short, debt, bare))
    stocks: list[Usage] = []
    for number, stock in enumerate(terms.stocks):
        pairs = [
            (place, week)
            for place, arrival in enumerate(stock.arrivals)
            for week, day in enumerate(terms.stock_days[number])
            if day is not None and stock.usable_on(arrival, day)
        ]
        columns = model.add_columns([0.0] * len(pairs))
        price = weights.spoilt * stock.nitrogen * stock.unit.dry_matter
        spoilt = model.add_columns([price] * len(stock.arrivals) if stock.perishes else [])
        table = np.array(pairs, dtype=np.int64).reshape(-1, 2)
        stocks.append(Usage(table[:, 0], table[:, 1], columns, spoilt))
    choice = Choice(model, terms, tuple(offers), tuple(beds), tuple(stocks))
    left_out = frozenset(without)
    for rule, add in RULES.items():
        if rule == "R11" and rule not in left_out:
            fed_within_ceiling(choice, highest)
        elif rule not in left_out:
            add(choice)
    return choice
