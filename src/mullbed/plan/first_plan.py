"""A plan made layer by layer, always the one that helps most: where the solver starts from."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mullbed.plan.as_laid import AsLaid
from mullbed.plan.choice_model import cost_of, fed_limit, highest_fifth
from mullbed.plan.ledger import bed_ledger
from mullbed.plan.offers import BedOffers
from mullbed.plan.terms import PlanTerms, Series


class Growing:
    """A plan as it grows: which candidates are laid and which are still free."""

    def __init__(self, terms: PlanTerms, offers: Sequence[BedOffers]) -> None:
        self.terms, self.offers = terms, offers
        self.laid = AsLaid(terms)
        self.chosen: list[list[int]] = [[] for _ in offers]
        self.costs = [cost_of(bed, offer, terms) for bed, offer in zip(terms.beds, offers, strict=True)]
        self.closed = [
            np.array([self.laid.too_soon_after_old(number, one.day) for one in offer.candidates], dtype=np.bool_)
            for number, offer in enumerate(offers)
        ]

    def lay_wanted(self) -> None:
        """R26: lay what is to be kept."""
        for number, offer in enumerate(self.offers):
            for place, candidate in enumerate(offer.candidates):
                if candidate.wanted:
                    self.closed[number][place] = True
                    self.lay(number, place)

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
        bed, offer = self.terms.beds[number], self.offers[number]
        index = [*self.chosen[number], place]
        totals = bed.soil_given.sum(axis=1) + offer.given_by_member[index].sum(axis=0)
        if float(totals[highest_fifth(totals)].mean()) > fed_limit(bed):
            return False
        height = bed.thickness + offer.thickness[index].sum(axis=0)
        weeks = [offer.candidates[one].week for one in index]
        if np.any(height[weeks] > self.terms.limits.thickest_cover):
            return False
        return self.laid.fits(number, offer.candidates[place])

    def lay(self, number: int, place: int) -> None:
        """Lay a candidate."""
        self.chosen[number].append(place)
        self.laid.lay(number, self.offers[number].candidates[place])


def first_plan(terms: PlanTerms, offers: Sequence[BedOffers]) -> tuple[tuple[int, ...], ...]:
    """Return a plan that keeps every rule: what is wanted, then at each step the layer that lowers the cost most."""
    growing = Growing(terms, offers)
    growing.lay_wanted()
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
