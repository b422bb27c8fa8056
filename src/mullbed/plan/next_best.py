"""What else could be done: the next best layer instead of each one, and what one more of a shared limit is worth."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mullbed.domain.season_plan import Alternative, Worth
from mullbed.plan.candidates import layer_of
from mullbed.plan.choice_model import cost_of
from mullbed.plan.first_plan import Growing
from mullbed.plan.ledger import bed_ledger
from mullbed.plan.offers import BedOffers
from mullbed.plan.season_facts import month_of
from mullbed.plan.shared import shared_rows
from mullbed.plan.terms import PlanTerms, Series

#: Weeks before and after a layer in which another would be instead of it. [judgement]
NEAR_WEEKS = 3
#: Alternatives tried for the rules before leaving the bed as it is counts as the next best.
TRIED = 40
#: Worth less than this is nothing. [g, judgement]
WORTH_NOTHING = 0.01


def alternatives(
    number: int, offers: Sequence[BedOffers], chosen: Sequence[Sequence[int]], terms: PlanTerms
) -> dict[int, Alternative]:
    """Return for each layer of one bed the next best thing to do instead, and what it costs more.

    Instead means within three weeks, all other layers of the plan laid, every rule kept, from what is left of the
    stocks; or no layer at all.
    """
    bed, offer, plan = terms.beds[number], offers[number], list(chosen[number])
    own = cost_of(bed, offer, terms)
    weeks = offer.weeks_of_laying
    found: dict[int, Alternative] = {}
    for index in plan:
        rest = [place for place in plan if place != index]
        growing = _standing(offers, chosen, terms, number, rest)
        given, cover = offer.given[rest].sum(axis=0), offer.cover_depth[rest].sum(axis=0)
        spent = float(own[rest].sum())

        def cost(more: Series, deeper: Series, laying: Series, given: Series = given, cover: Series = cover) -> Series:
            return np.asarray(bed_ledger(bed, given + more, cover + deeper, laying, terms).cost)

        now = float(cost(offer.given[index], offer.cover_depth[index], np.asarray(spent + own[index])))
        nothing = float(cost(np.zeros(bed.weeks), np.zeros(bed.weeks), np.asarray(spent))) - now
        best = Alternative(None, nothing)
        others = np.flatnonzero(np.abs(weeks - weeks[index]) <= NEAR_WEEKS)
        costs = cost(offer.given[others], offer.cover_depth[others], spent + own[others]) - now
        for place in others[np.argsort(costs, kind="stable")][:TRIED]:
            dearer = float(costs[np.searchsorted(others, place)])
            if dearer >= best.cost:
                break
            if place not in plan and growing.fits(number, int(place)):
                best = Alternative(layer_of(offer.candidates[int(place)], terms), dearer)
                break
        found[index] = best
    return found


def _standing(
    offers: Sequence[BedOffers], chosen: Sequence[Sequence[int]], terms: PlanTerms, number: int, rest: Sequence[int]
) -> Growing:
    growing = Growing(terms, offers)
    for bed, plan in enumerate(chosen):
        for place in rest if bed == number else plan:
            growing.lay(bed, place)
    return growing


def worth_of_more(terms: PlanTerms, offers: Sequence[BedOffers], prices: Series) -> tuple[Worth, ...]:
    """Return what a little more of what beds share is worth, the most first.

    Parameters
    ----------
    terms : PlanTerms
    offers : sequence of BedOffers
    prices : Series
        Of the shared rows, from the relaxed choice: what the whole would cost more if a limit were one higher; so the
        worth is that of a first small step, in grams of nitrogen missed. (rows,) [g]
    """
    names = shared_rows(terms, offers).model.names
    if len(names) != len(prices):
        return ()
    most: dict[tuple[str, str | None, str | None, str], float] = {}
    for name, price in zip(names, prices, strict=True):
        key: tuple[str, str | None, str | None, str] | None = None
        if name.rule == "R3" and name.stock is not None and name.week is not None:
            stock = terms.stocks[name.stock]
            key = ("supply", stock.name, month_of(name.week, terms), stock.unit.container)
        elif name.rule in ("R16", "R17") and name.week is not None:
            unit, price = ("hour", 60.0 * price) if name.rule == "R16" else ("10 L", 10.0 * price)
            key = ("work in a day" if name.rule == "R16" else "water in a day", None, month_of(name.week, terms), unit)
        if key is not None:
            most[key] = max(most.get(key, 0.0), -float(price))
    best: dict[tuple[str, str | None, str], Worth] = {}
    for (limit, what, month, unit), worth in most.items():
        known = best.get((limit, what, unit))
        if worth >= WORTH_NOTHING and (known is None or worth > known.worth):
            best[limit, what, unit] = Worth(limit, what, month, unit, worth)
    return tuple(sorted(best.values(), key=lambda one: -one.worth))
