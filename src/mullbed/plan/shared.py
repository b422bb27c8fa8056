"""What all beds share: stocks by week, work and water of a day, the reserve of browns; and what a plan asks of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from mullbed.plan.choice_model import Usage, built
from mullbed.plan.offers import BedOffers
from mullbed.plan.rows import Model, RowName
from mullbed.plan.terms import Index, PlanTerms, Series


@dataclass(frozen=True, slots=True, eq=False)
class Shared:
    """Rows that tie beds together, with the columns of the stocks alone."""

    model: Model
    stocks: tuple[Usage, ...]
    flow: dict[tuple[int, int], int]
    """Row in which containers of a stock are taken in a week."""
    minutes: dict[date, int]
    """Row of the work of a day (R16); empty without a limit."""
    litres: dict[date, int]
    """Row of the water of a day (R17); empty without a limit."""

    def asked(self, offers: BedOffers, plan: Sequence[int]) -> tuple[Index, Series]:
        """Return the rows a plan of one bed asks something of, and how much."""
        asked: dict[int, float] = {}
        for place in plan:
            candidate = offers.candidates[place]
            for portion in candidate.portions:
                row = self.flow[portion.stock, candidate.week]
                asked[row] = asked.get(row, 0.0) + portion.count
            for rows, amount in ((self.minutes, candidate.minutes), (self.litres, candidate.litres)):
                if rows:
                    row = rows[candidate.day]
                    asked[row] = asked.get(row, 0.0) + amount
        return np.array(list(asked), dtype=np.int64), np.array(list(asked.values()))

    def charge(self, offers: BedOffers, prices: Series) -> Series:
        """Return what laying each candidate of a bed earns at some prices of the rows. (candidates,) [g]

        A price is what the whole would cost more if a row's limit were one higher: below zero for what is scarce.
        """
        earned = np.zeros(len(offers.candidates))
        for place, candidate in enumerate(offers.candidates):
            earned[place] = sum(
                prices[self.flow[portion.stock, candidate.week]] * portion.count for portion in candidate.portions
            )
            if self.minutes:
                earned[place] += prices[self.minutes[candidate.day]] * candidate.minutes
            if self.litres:
                earned[place] += prices[self.litres[candidate.day]] * candidate.litres
        return earned

    def allowed(self, prices: Series) -> Series:
        """Return prices of the right sign for each row: a limit from above is never worth less than nothing."""
        lower, upper = np.asarray(self.model.row_lower), np.asarray(self.model.row_upper)
        found = np.where(np.isfinite(lower), prices, np.minimum(prices, 0.0))
        return np.where(np.isfinite(upper), found, np.maximum(found, 0.0))

    def bound(self, prices: Series) -> float:
        """Return the least the rows and the stocks' own columns cost at allowed prices, beds left out. [g]"""
        model = self.model
        lower, upper = np.asarray(model.row_lower), np.asarray(model.row_upper)
        limits = np.where(prices < 0.0, upper, lower)
        rows = float(np.sum(prices[prices != 0.0] * limits[prices != 0.0]))
        reduced = np.asarray(model.cost, dtype=np.float64).copy()
        owners = np.repeat(np.arange(model.rows), np.diff(model.starts))
        np.subtract.at(reduced, np.asarray(model.index, dtype=np.int64), prices[owners] * np.asarray(model.value))
        most = np.asarray(model.upper)
        return rows + float(np.sum(np.minimum(reduced, 0.0) * most)) + model.offset

    def shrunk(self, share: float) -> Shared:
        """Return the same rows with only a share of every limit and of everything that comes."""
        model = self.model
        return replace(
            self,
            model=replace(
                model,
                upper=[one * share for one in model.upper],
                row_lower=[one * share for one in model.row_lower],
                row_upper=[one * share for one in model.row_upper],
            ),
        )


def shared_rows(terms: PlanTerms, offers: Iterable[BedOffers]) -> Shared:
    """Return the rows all beds share, before any bed asks anything of them."""
    choice = built(replace(terms, beds=()), (), without=("R16", "R17"))
    model = choice.model
    _cap_columns(model, choice.stocks, terms)
    flow = {
        (name.stock, name.week): row
        for row, name in enumerate(model.names)
        if name.rule == "R3" and name.stock is not None and name.week is not None
    }
    taken: set[tuple[int, int]] = set()
    days: dict[date, int] = {}
    for offer in offers:
        for candidate in offer.candidates:
            days.setdefault(candidate.day, candidate.week)
            taken.update((portion.stock, candidate.week) for portion in candidate.portions)
    for stock, week in sorted(taken - flow.keys()):  # nothing is there in that week: nothing can be taken
        flow[stock, week] = model.rows
        model.add_row(RowName("R3", week=week, stock=stock), [], [], lower=0.0, upper=0.0)
    limits = terms.limits
    minutes = _rows_by_day(model, "R16", limits.minutes_per_day, days)
    litres = _rows_by_day(model, "R17", limits.litres_per_day, days)
    return Shared(model, choice.stocks, flow, minutes, litres)


def _cap_columns(model: Model, stocks: Sequence[Usage], terms: PlanTerms) -> None:
    """Bound every column by what ever arrives, which no plan can pass: then any prices prove a bound."""
    for stock, usage in zip(terms.stocks, stocks, strict=True):
        for place, column in zip(usage.arrival, usage.column, strict=True):
            model.upper[int(column)] = stock.arrivals[int(place)].count
        for arrival, column in zip(stock.arrivals, usage.spoilt, strict=False):
            model.upper[int(column)] = arrival.count


def _rows_by_day(model: Model, rule: str, limit: float | None, days: dict[date, int]) -> dict[date, int]:
    if limit is None:
        return {}
    found = {}
    for day, week in sorted(days.items()):
        found[day] = model.rows
        model.add_row(RowName(rule, week=week), [], [], upper=limit)
    return found
