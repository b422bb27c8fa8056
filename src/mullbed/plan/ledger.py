"""What a choice of layers means, worked out without a solver: goals by bed, stocks used, rules kept.

The solver's model and this ledger say the same thing in two ways; a test holds them against each other. The ledger
makes the first plan the solver starts from and the reasons of each layer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mullbed.plan.choice_model import COVERED, cost_of
from mullbed.plan.offers import BedOffers
from mullbed.plan.terms import BedTerms, PlanTerms, Series

MILLIGRAMS = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class BedLedger:
    """The nitrogen and cover of one bed by week. (..., weeks) [g m-2]"""

    pool: Series
    short: Series
    debt: Series
    bare: Series
    cost: Series
    """All goals of the bed together. (...,) [g]"""


def bed_ledger(bed: BedTerms, given: Series, cover_depth: Series, laying_cost: Series, terms: PlanTerms) -> BedLedger:
    """Follow the pool of nitrogen and the cover of one bed through the weeks.

    Parameters
    ----------
    bed : BedTerms
    given : Series
        Given by all layers, summed. (..., weeks) [g m-2]
    cover_depth : Series
        Cover of all layers, summed. (..., weeks) [1]
    laying_cost : Series
        Summed cost of laying. (...,) [g]
    terms : PlanTerms
        Weights.
    """
    soil = bed.soil_given.mean(axis=0)
    shape = given.shape[:-1]
    pool, short, debt = (np.zeros((*shape, bed.weeks)) for _ in range(3))
    before = np.zeros(shape)
    for week in range(bed.weeks):
        there = before + soil[week] + given[..., week]
        debt[..., week] = np.maximum(0.0, -there)
        there = np.maximum(0.0, there)
        taken = np.minimum(there, bed.want[week])
        short[..., week] = bed.want[week] - taken
        pool[..., week] = there - taken
        before = pool[..., week] * bed.kept[week]
    bare = np.clip(1.0 - (bed.cover_depth + cover_depth) / COVERED, 0.0, 1.0)
    weights = terms.weights
    left = weights.over * (1.0 - bed.kept)
    left[-1] = weights.over
    cost = laying_cost + bed.area * (
        weights.short * (short + debt).sum(axis=-1) + (left * pool).sum(axis=-1) + weights.bare * bare.sum(axis=-1)
    )
    return BedLedger(pool, short, debt, bare, np.asarray(cost))


def chosen_ledger(bed: BedTerms, offers: BedOffers, chosen: Sequence[int], terms: PlanTerms) -> BedLedger:
    """Return the ledger of one bed with some of its candidates laid."""
    index = list(chosen)
    return bed_ledger(
        bed,
        offers.given[index].sum(axis=0),
        offers.cover_depth[index].sum(axis=0),
        np.asarray(cost_of(bed, offers, terms)[index].sum()),
        terms,
    )


def taken_from(offers: Sequence[BedOffers], chosen: Sequence[Sequence[int]], terms: PlanTerms) -> Series:
    """Return the containers taken from each stock in each week. (stocks, weeks)"""
    taken = np.zeros((len(terms.stocks), len(terms.weeks)))
    for bed, indices in zip(offers, chosen, strict=True):
        for index in indices:
            candidate = bed.candidates[index]
            for portion in candidate.portions:
                taken[portion.stock, candidate.week] += portion.count
    return taken


def drawn(number: int, taken: Series, terms: PlanTerms) -> tuple[Series, float]:
    """Take what is wanted from the arrivals that spoil first.

    Returns
    -------
    from_arrival : Series
        Containers as laid, by arrival and week. (arrivals, weeks)
    missing : float
        Containers that were not there.
    """
    stock, days = terms.stocks[number], terms.stock_days[number]
    left = [arrival.count for arrival in stock.arrivals]
    from_arrival = np.zeros((len(left), len(terms.weeks)))
    missing = 0.0
    for week, day in enumerate(days):
        wanted = float(taken[week])
        if wanted <= MILLIGRAMS:
            continue
        for place, arrival in sorted(enumerate(stock.arrivals), key=lambda pair: pair[1].day):
            if day is None or not stock.usable_on(arrival, day):
                continue
            kept = stock.kept(arrival, day)
            used = min(wanted, left[place] * kept)
            left[place] -= used / kept
            from_arrival[place, week] += used
            wanted -= used
        missing += max(0.0, wanted)
    return from_arrival, missing if missing > 1e-6 else 0.0


def left_over(number: int, from_arrival: Series, terms: PlanTerms) -> float:
    """Return the containers of a stock that stay unused or spoil, counted as they came."""
    stock, days = terms.stocks[number], terms.stock_days[number]
    came = sum(arrival.count for arrival in stock.arrivals)
    for place, arrival in enumerate(stock.arrivals):
        for week in np.flatnonzero(from_arrival[place]):
            day = days[int(week)]
            if day is not None:
                came -= float(from_arrival[place, week]) / stock.kept(arrival, day)
    return max(0.0, came)


def whole_cost(terms: PlanTerms, offers: Sequence[BedOffers], chosen: Sequence[Sequence[int]]) -> float:
    """Return what a plan of all beds costs: its beds, and soft fresh matter of one's own that spoils unused. [g]"""
    cost = sum(
        float(chosen_ledger(bed, offer, indices, terms).cost)
        for bed, offer, indices in zip(terms.beds, offers, chosen, strict=True)
    )
    taken = taken_from(offers, chosen, terms)
    for number, stock in enumerate(terms.stocks):
        if stock.perishes:
            from_arrival, _ = drawn(number, taken[number], terms)
            price = terms.weights.spoilt * stock.nitrogen * stock.unit.dry_matter
            cost += price * left_over(number, from_arrival, terms)
    return cost
