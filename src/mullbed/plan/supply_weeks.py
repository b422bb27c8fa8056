"""What comes, is used and stays of each stock, week by week."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mullbed.domain.season_plan import SupplyWeeks
from mullbed.plan.ledger import drawn, taken_from
from mullbed.plan.offers import BedOffers
from mullbed.plan.terms import DAYS_A_WEEK, PlanTerms


def supply_weeks(
    terms: PlanTerms, offers: Sequence[BedOffers], chosen: Sequence[Sequence[int]]
) -> tuple[SupplyWeeks, ...]:
    """Return each stock's weeks: containers that come, that are used, and that are there after the use."""
    taken = taken_from(offers, chosen, terms)
    found = []
    for number, stock in enumerate(terms.stocks):
        from_arrival, _ = drawn(number, taken[number], terms)
        came, left = np.zeros(len(terms.weeks)), np.zeros(len(terms.weeks))
        used = np.zeros(len(stock.arrivals))
        for arrival in stock.arrivals:
            first = (arrival.day - terms.weeks[0].monday).days // DAYS_A_WEEK
            if first < len(terms.weeks):
                came[max(0, first)] += arrival.count
        for week in terms.weeks:
            day = terms.stock_days[number][week.index] or week.monday
            for place, arrival in enumerate(stock.arrivals):
                kept = stock.kept(arrival, day)
                used[place] += from_arrival[place, week.index] / kept
                if stock.usable_on(arrival, day):
                    left[week.index] += max(0.0, arrival.count - used[place]) * kept
        series = (tuple(round(float(one), 2) for one in weekly) for weekly in (came, taken[number], left))
        found.append(SupplyWeeks(stock.name, stock.unit.residue, stock.unit.container, *series))
    return tuple(found)
