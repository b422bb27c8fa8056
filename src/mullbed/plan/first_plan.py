"""A plan made layer by layer, always the one that helps most: where the solver starts from."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date

import numpy as np

from mullbed.plan.choice_model import cost_of, fed_limit, highest_fifth
from mullbed.plan.ledger import bed_ledger, drawn
from mullbed.plan.offers import BedOffers
from mullbed.plan.terms import Mask, PlanTerms, Series


class Growing:
    """A plan as it grows: what is laid, used and still free."""

    def __init__(self, terms: PlanTerms, offers: Sequence[BedOffers]) -> None:
        self.terms, self.offers = terms, offers
        self.chosen: list[list[int]] = [[] for _ in offers]
        self.taken = np.zeros((len(terms.stocks), len(terms.weeks)))
        self.minutes: defaultdict[date, float] = defaultdict(float)
        self.litres: defaultdict[date, float] = defaultdict(float)
        self.costs = [cost_of(bed, offer, terms) for bed, offer in zip(terms.beds, offers, strict=True)]
        self.closed = [np.zeros(len(offer.candidates), dtype=np.bool_) for offer in offers]
        for number, offer in enumerate(offers):
            self.closed[number] |= self.too_soon(number, offer)

    def too_soon(self, number: int, offer: BedOffers) -> Mask:
        """R2: candidates too soon after a layer that lies already."""
        last = self.terms.beds[number].last_laid
        early = np.zeros(len(offer.candidates), dtype=np.bool_)
        for place, candidate in enumerate(offer.candidates):
            if last is not None:
                early[place] = (candidate.day - last).days < self.terms.limits.days_between_layers
        return early

    def gains(self, number: int) -> Series:
        """Return by how much each candidate of a bed would lower the cost. (candidates,) [g]"""
        bed, offer, chosen = self.terms.beds[number], self.offers[number], self.chosen[number]
        given, cover = offer.given[chosen].sum(axis=0), offer.cover_depth[chosen].sum(axis=0)
        spent = float(self.costs[number][chosen].sum())
        now = bed_ledger(bed, given, cover, np.asarray(spent), self.terms).cost
        then = bed_ledger(bed, given + offer.given, cover + offer.cover_depth, spent + self.costs[number], self.terms)
        return np.where(self.closed[number], -np.inf, now - then.cost)

    def fits(self, number: int, place: int) -> bool:
        """Say whether a candidate keeps every rule together with what is laid already."""
        terms, bed, offer = self.terms, self.terms.beds[number], self.offers[number]
        candidate = offer.candidates[place]
        index = [*self.chosen[number], place]
        laid = [offer.candidates[i] for i in index]
        gap = terms.limits.days_between_layers
        if any(abs((candidate.day - other.day).days) < gap or candidate.week == other.week for other in laid[:-1]):
            return False
        if (
            sum(c.nitrogen for c in laid) > bed.nitrogen_ceiling
            or sum(c.phosphorus for c in laid) > bed.phosphorus_ceiling
        ):
            return False
        totals = bed.soil_given.sum(axis=1) + offer.given_by_member[index].sum(axis=0)
        if float(totals[highest_fifth(totals)].mean()) > fed_limit(bed):
            return False
        height = bed.thickness + offer.thickness[index].sum(axis=0)
        weeks = [c.week for c in laid]
        if np.any(height[weeks] > terms.limits.thickest_cover):
            return False
        limits = terms.limits
        if (
            limits.minutes_per_day is not None
            and self.minutes[candidate.day] + candidate.minutes > limits.minutes_per_day
        ):
            return False
        if limits.litres_per_day is not None and self.litres[candidate.day] + candidate.litres > limits.litres_per_day:
            return False
        return self.at_hand(number, place)

    def at_hand(self, number: int, place: int) -> bool:
        """R3-R5 and R21: the stocks still have what the candidate takes, the reserve included."""
        candidate = self.offers[number].candidates[place]
        for portion in candidate.portions:
            taken = self.taken[portion.stock].copy()
            taken[candidate.week] += portion.count
            if drawn(portion.stock, taken, self.terms)[1] > 0.0:
                return False
        return self.keeps_reserve(candidate.dry.stock, candidate.week, candidate.dry.count)

    def keeps_reserve(self, stock: int, week: int, count: float) -> bool:
        """R21: a share of the browns stays until the end of summer."""
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

    def lay(self, number: int, place: int) -> None:
        """Lay a candidate."""
        candidate = self.offers[number].candidates[place]
        self.chosen[number].append(place)
        for portion in candidate.portions:
            self.taken[portion.stock, candidate.week] += portion.count
        self.minutes[candidate.day] += candidate.minutes
        self.litres[candidate.day] += candidate.litres


def first_plan(terms: PlanTerms, offers: Sequence[BedOffers]) -> tuple[tuple[int, ...], ...]:
    """Return a plan that keeps every rule: at each step the layer that lowers the cost most is laid."""
    growing = Growing(terms, offers)
    gains = [growing.gains(number) for number in range(len(offers))]
    while True:
        best = [float(gain.max(initial=-np.inf)) for gain in gains]
        if not best or max(best) <= 1e-9:
            return tuple(tuple(sorted(chosen)) for chosen in growing.chosen)
        number = int(np.argmax(best))
        place = int(np.argmax(gains[number]))
        growing.closed[number][place] = True
        if growing.fits(number, place):
            growing.lay(number, place)
            gains[number] = growing.gains(number)
        else:
            gains[number][place] = -np.inf
