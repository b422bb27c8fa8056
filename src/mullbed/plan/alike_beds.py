"""Beds that are one and the same to the planner, and the plans found for them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from mullbed.plan.bed_block import BedBlock, BedPlans
from mullbed.plan.offers import BedOffers
from mullbed.plan.shared import Shared
from mullbed.plan.terms import Index, PlanTerms, Series

Chosen = tuple[tuple[int, ...], ...]
Fifths = Sequence[Sequence[Index]]


@dataclass(slots=True, eq=False)
class Alike:
    """Beds that are one and the same, and their plans so far."""

    block: BedBlock
    beds: list[int]
    plans: list[tuple[int, ...]] = field(default_factory=list)
    costs: list[float] = field(default_factory=list)
    asked: list[tuple[Index, Series]] = field(default_factory=list)
    known: set[tuple[int, ...]] = field(default_factory=set)

    def add(self, plan: Sequence[int], shared: Shared) -> bool:
        """Add a plan; say whether it is new."""
        key = tuple(sorted(plan))
        if key in self.known:
            return False
        self.known.add(key)
        self.plans.append(key)
        self.costs.append(self.block.cost(key))
        self.asked.append(shared.asked(self.block.offers, key))
        return True

    def known_at(self, prices: Series) -> Series:
        """Return what the plans known cost at some prices. (plans,) [g]"""
        return np.array([
            cost - float(prices[rows] @ amounts) for cost, (rows, amounts) in zip(self.costs, self.asked, strict=True)
        ])  # fmt: skip

    def least_known(self, prices: Series) -> float:
        """Return what the cheapest plan known costs at some prices. [g]"""
        return float(self.known_at(prices).min())

    def over(self, prices: Series) -> Series:
        """Return by how much each plan passes the cheapest known one at some prices. (plans,) [g]"""
        known = self.known_at(prices)
        return np.asarray(known - known.min())

    def as_fixed(self, prices: Series) -> BedPlans:
        """Return the first plan alone, for a bed that keeps its layers, with its cost at some prices."""
        cost = self.known_at(prices)[:1]
        return BedPlans((self.plans[0],), cost, float(cost[0]), True, True)


def grouped(
    terms: PlanTerms, offers: Sequence[BedOffers], highest: Fifths, fixed: Mapping[int, Sequence[int]]
) -> list[Alike]:
    """Return the beds in groups of one and the same; a bed that keeps its layers is a group of its own."""
    found: dict[tuple[bytes, int], Alike] = {}
    for number, (bed, offer) in enumerate(zip(terms.beds, offers, strict=True)):
        block = BedBlock(bed, offer, terms, highest[number] if highest else ())
        key = (block.likeness, number if number in fixed else -1)
        if key in found:
            found[key].beds.append(number)
        else:
            found[key] = Alike(block, [number])
    return list(found.values())
