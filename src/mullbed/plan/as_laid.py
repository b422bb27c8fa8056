"""A plan as it grows, layer by layer: what is laid, what it took, and whether one more keeps the rules of supply.

These are the rules no simulation is needed for: spacing, what a year may bring, work and water of a day, what is still
in store and the reserve of browns.
"""

from __future__ import annotations

from collections import defaultdict
from datetime import date

import numpy as np

from mullbed.plan.candidates import Candidate
from mullbed.plan.ledger import drawn
from mullbed.plan.terms import PlanTerms


class AsLaid:
    """Layers laid so far, by bed, with stocks, work and water used."""

    def __init__(self, terms: PlanTerms) -> None:
        self.terms = terms
        self.layers: list[list[Candidate]] = [[] for _ in terms.beds]
        self.taken = np.zeros((len(terms.stocks), len(terms.weeks)))
        self.minutes: defaultdict[date, float] = defaultdict(float)
        self.litres: defaultdict[date, float] = defaultdict(float)

    def too_soon_after_old(self, number: int, day: date) -> bool:
        """R2: say whether a day is too soon after a layer that lay there from the start."""
        last = self.terms.beds[number].last_laid
        return last is not None and (day - last).days < self.terms.limits.days_between_layers

    def fits(self, number: int, candidate: Candidate) -> bool:
        """Say whether a layer keeps R2, R3-R5, R10, R12, R16, R17 and R21 together with what is laid already."""
        return (
            self.spaced(number, candidate)
            and self.within_the_year(number, candidate)
            and self.within_the_day(candidate)
            and self.at_hand(candidate)
        )

    def spaced(self, number: int, candidate: Candidate) -> bool:
        """R1, R2: say whether it is far enough in time from all other layers of its bed."""
        gap = self.terms.limits.days_between_layers
        return not any(
            abs((candidate.day - other.day).days) < gap or candidate.week == other.week for other in self.layers[number]
        )

    def within_the_year(self, number: int, candidate: Candidate) -> bool:
        """R10, R12: say whether nitrogen and phosphorus laid stay under their ceilings."""
        bed, laid = self.terms.beds[number], [*self.layers[number], candidate]
        return (
            sum(one.nitrogen for one in laid) <= bed.nitrogen_ceiling
            and sum(one.phosphorus for one in laid) <= bed.phosphorus_ceiling
        )

    def within_the_day(self, candidate: Candidate) -> bool:
        """R16, R17: say whether work and water of its day stay within their limits."""
        limits, day = self.terms.limits, candidate.day
        if limits.minutes_per_day is not None and self.minutes[day] + candidate.minutes > limits.minutes_per_day:
            return False
        return limits.litres_per_day is None or self.litres[day] + candidate.litres <= limits.litres_per_day

    def at_hand(self, candidate: Candidate) -> bool:
        """R3-R5 and R21: say whether the stocks still have what it takes, the reserve included."""
        for portion in candidate.portions:
            taken = self.taken[portion.stock].copy()
            taken[candidate.week] += portion.count
            if drawn(portion.stock, taken, self.terms)[1] > 0.0:
                return False
        return self.keeps_reserve(candidate.dry.stock, candidate.week, candidate.dry.count)

    def keeps_reserve(self, stock: int, week: int, count: float) -> bool:
        """R21: say whether a share of the browns stays until the end of summer."""
        terms, until = self.terms, self.terms.limits.reserve_until
        if until is None:
            return True
        dry = [number for number, each in enumerate(terms.stocks) if not each.soft_fresh]
        for later in terms.weeks[week:]:
            if later.laying_day is None or later.laying_day > until:
                continue
            used = count * terms.stocks[stock].unit.dry_matter
            come = 0.0
            for number in dry:
                each = terms.stocks[number]
                used += float(self.taken[number, : later.index + 1].sum()) * each.unit.dry_matter
                day = terms.stock_days[number][later.index] or later.laying_day
                come += sum(a.count for a in each.arrivals if each.usable_on(a, day)) * each.unit.dry_matter
            if used > (1.0 - terms.limits.reserve_share) * come:
                return False
        return True

    def lay(self, number: int, candidate: Candidate) -> None:
        """Lay it."""
        self.layers[number].append(candidate)
        for portion in candidate.portions:
            self.taken[portion.stock, candidate.week] += portion.count
        self.minutes[candidate.day] += candidate.minutes
        self.litres[candidate.day] += candidate.litres

    def take_off(self, number: int) -> None:
        """Undo every layer of one bed."""
        for candidate in self.layers[number]:
            for portion in candidate.portions:
                self.taken[portion.stock, candidate.week] -= portion.count
            self.minutes[candidate.day] -= candidate.minutes
            self.litres[candidate.day] -= candidate.litres
        self.layers[number] = []
