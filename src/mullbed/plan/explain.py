"""Why this layer, here and now: facts read from the plan, most telling first; a report makes the sentences."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from mullbed.domain.season_plan import Reason
from mullbed.plan.ledger import BedLedger, bed_ledger
from mullbed.plan.offers import BedOffers
from mullbed.plan.terms import DAYS_A_WEEK, BedTerms, PlanTerms, Series

#: What a layer must feed, in g m-2, or cover, in weeks of bare soil, to be said. [judgement]
WORTH_SAYING = 0.2


@dataclass(frozen=True, slots=True, eq=False)
class Difference:
    """The bed with the layer against the bed without it."""

    fed: Series
    """What crops get more of. (weeks,) [g m-2]"""
    covered: Series
    """Bare share that is covered. (weeks,) [fraction]"""
    cost: float
    """What the plan would lose without the layer. [g]"""


def difference(bed: BedTerms, offers: BedOffers, chosen: Sequence[int], layer: int, terms: PlanTerms) -> Difference:
    """Return what one layer changes on its bed, all others laid."""

    def ledger(indices: Sequence[int]) -> BedLedger:
        index = list(indices)
        return bed_ledger(
            bed, offers.given[index].sum(axis=0), offers.cover_depth[index].sum(axis=0), np.zeros(()), terms
        )

    with_it, without = ledger(chosen), ledger([index for index in chosen if index != layer])
    fed = (without.short + without.debt) - (with_it.short + with_it.debt)
    return Difference(fed, without.bare - with_it.bare, float(without.cost - with_it.cost))


def crop_in(bed: BedTerms, day: date) -> str | None:
    """Return the crop that stands on the bed on a day, the one with the largest share."""
    standing = [crop for crop in bed.growing if crop.planted <= day <= crop.harvested]
    return max(standing, key=lambda crop: crop.share).crop if standing else None


def reasons_of(
    bed: BedTerms, offers: BedOffers, chosen: Sequence[int], layer: int, terms: PlanTerms
) -> tuple[Reason, ...]:
    """Return the reasons of one layer, most telling first; never empty."""
    candidate = offers.candidates[layer]
    change = difference(bed, offers, chosen, layer, terms)
    monday = terms.weeks[0].monday
    found: list[tuple[float, Reason]] = []
    fed = typical_share(offers, layer) * float(change.fed.sum())
    if fed >= WORTH_SAYING:
        week = int(np.argmax(np.cumsum(np.maximum(0.0, change.fed)) >= 0.2 * np.maximum(0.0, change.fed).sum()))
        day = monday + timedelta(days=week * DAYS_A_WEEK)
        peak = monday + timedelta(days=int(np.argmax(change.fed)) * DAYS_A_WEEK + 3)
        found.append((fed * terms.weights.short, Reason("feeds when the crop wants", fed, day, crop_in(bed, peak))))
    covered = float(change.covered.sum())
    if covered >= WORTH_SAYING:
        week = int(np.argmax(change.covered > 0.02))
        day = max(candidate.day, monday + timedelta(days=week * DAYS_A_WEEK))
        found.append((covered * terms.weights.bare, Reason("covers bare soil", covered, day)))
    if candidate.soft is not None:
        stock = terms.stocks[candidate.soft.stock]
        until = spoils_on(candidate.soft.stock, candidate.day, terms)
        if until is not None and (until - candidate.day).days <= DAYS_A_WEEK:
            found.append((0.1, Reason("uses what would spoil", float(candidate.soft.count), until, stock.unit.residue)))
    taken = -float(offers.given[layer].sum())
    if taken >= WORTH_SAYING:
        found.append((0.03, Reason("holds nitrogen that would wash down", taken, candidate.day)))
    if not found:
        dry = terms.stocks[candidate.dry.stock].unit.residue
        found.append((0.0, Reason("builds the soil", candidate.soft_load + candidate.dry_load, None, dry)))
    sowing = next_direct_sowing(bed, candidate.day)
    if candidate.soft is not None and sowing is not None and (sowing[0] - candidate.day).days <= 70:
        found.append((0.05, Reason("lies long enough before sowing", None, sowing[0], sowing[1])))
    away = next_absence(candidate.week, terms)
    if away is not None:
        found.append((0.04, Reason("laid before you are away", None, away)))
    return tuple(reason for _, reason in sorted(found, key=lambda pair: -pair[0]))


def typical_share(offers: BedOffers, layer: int) -> float:
    """Return the middle member's nitrogen per mean of all: a few rich members lift the mean. [fraction]"""
    totals = offers.given_by_member[layer]
    mean, middle = float(totals.mean()), float(np.median(totals))
    return min(1.0, middle / mean) if mean > 0.0 and middle > 0.0 else 1.0


def spoils_on(stock_number: int, day: date, terms: PlanTerms) -> date | None:
    """Return the last day the oldest usable arrival of a stock keeps; None for what keeps."""
    stock = terms.stocks[stock_number]
    if stock.shelf_life_days is None:
        return None
    usable = [arrival.day for arrival in stock.arrivals if stock.usable_on(arrival, day)]
    return min(usable) + timedelta(days=int(stock.shelf_life_days)) if usable else None


def next_direct_sowing(bed: BedTerms, day: date) -> tuple[date, str] | None:
    """Return the next direct sowing on a bed and its crop."""
    coming = [(crop.planted, crop.crop) for crop in bed.growing if crop.sown_direct and crop.planted > day]
    return min(coming) if coming else None


def next_absence(week: int, terms: PlanTerms) -> date | None:
    """Return the Monday of the next week, if nobody is there then."""
    if week + 1 < len(terms.weeks) and not terms.weeks[week + 1].days:
        return terms.weeks[week + 1].monday
    return None
