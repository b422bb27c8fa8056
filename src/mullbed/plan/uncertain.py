"""R23: choose for what may come: the mean of all scenarios and the mean of the bad tenth, weighed together.

The solver knows one season, the mean one. What the scenarios add to the cost of a layer is worked out beside the plan
at hand, by laying it in every scenario and in the mean season (its difference of differences), and put on the layer as
a charge; then the plan is made again. So nothing but what a layer costs by itself changes in the solver's model, and
for a change of one layer of the plan at hand the charge is exact. In the end single layers are swapped, added and taken
away as long as that helps in the scenarios themselves.

The bad tenth is the conditional value at risk of Rockafellar and Uryasev (2000, Journal of Risk 2(3), 21-41) [M].
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from mullbed.plan.choice_model import COVERED, cost_of
from mullbed.plan.ledger import bed_ledger
from mullbed.plan.offers import BedOffers
from mullbed.plan.scenarios import Scenarios
from mullbed.plan.terms import BedTerms, Index, PlanTerms, Series

Chosen = tuple[tuple[int, ...], ...]
#: Candidates looked at together, so that memory stays flat.
TOGETHER = 256


@dataclass(frozen=True, slots=True)
class Outlook:
    """How much the bad tenth counts against the mean.

    A quarter is judgement: with half, plans of 16 members paid more in the mean of unseen seasons than they saved in
    their bad tenth (docs/howto/see-what-planning-is-worth.md).
    """

    share: float = 0.25
    """Weight of the bad tenth; the mean has the rest. [fraction]"""
    tail: float = 0.1
    """What is bad: this share of the scenarios. [fraction]"""


def tail_mean(costs: Series, tail: float) -> Series:
    """Return the mean of the dearest share of scenarios, the last of them by the part of it that is needed. (...,)"""
    count = costs.shape[-1]
    ordered = -np.sort(-costs, axis=-1)
    wanted = max(1.0, tail * count)
    weights = np.clip(wanted - np.arange(count), 0.0, 1.0)
    return np.asarray(ordered @ weights / wanted)


def weighed(costs: Series, outlook: Outlook) -> Series:
    """Return what costs by scenario count together. (...,) [g]"""
    return np.asarray((1.0 - outlook.share) * costs.mean(axis=-1) + outlook.share * tail_mean(costs, outlook.tail))


def scenario_ledger(bed: BedTerms, soil: Series, given: Series, cover_depth: Series, terms: PlanTerms) -> Series:
    """Return what a bed costs in each scenario, laying apart, as `bed_ledger` does for the mean. (..., scenarios) [g]

    Parameters
    ----------
    bed : BedTerms
    soil : Series
        (scenarios, weeks) [g m-2]
    given, cover_depth : Series
        By all layers. (..., scenarios, weeks)
    terms : PlanTerms
    """
    weights, shape = terms.weights, given.shape[:-1]
    before, cost = np.zeros(shape), np.zeros(shape)
    for week in range(bed.weeks):
        there = before + soil[:, week] + given[..., week]
        cost += weights.short * (np.maximum(0.0, -there) + np.maximum(0.0, bed.want[week] - np.maximum(0.0, there)))
        pool = np.maximum(0.0, there - bed.want[week])
        last = week == bed.weeks - 1
        cost += weights.over * (1.0 if last else 1.0 - float(bed.kept[week])) * pool
        before = pool * bed.kept[week]
    bare = np.clip(1.0 - (bed.cover_depth + cover_depth) / COVERED, 0.0, 1.0)
    return np.asarray(bed.area * (cost + weights.bare * bare.sum(axis=-1)))


class BedScenarios:
    """One bed in every scenario."""

    def __init__(self, bed: BedTerms, offers: BedOffers, scenarios: Scenarios, terms: PlanTerms) -> None:
        self.bed, self.offers, self.scenarios, self.terms = bed, offers, scenarios, terms
        known = scenarios.soil.get(bed.name)
        self.soil = bed.soil_given[scenarios.member] if known is None else known
        self.own = cost_of(bed, offers, terms) - saved_from_spoiling(offers, terms)
        self.laid = np.array([scenarios.laid(c) for c in offers.candidates]).reshape(-1, scenarios.count)
        self.days = np.array([c.day.toordinal() for c in offers.candidates], dtype=np.int64)
        self.weeks = offers.weeks_of_laying

    def given(self, index: Index) -> Series:
        """Return what candidates give in each scenario, corrections of the rehearsal included. (n, scenarios, weeks)"""
        if self.offers.by_member is None:
            ahead = np.repeat(self.offers.given[index][:, None, :], self.scenarios.count, axis=1)
        else:
            alone = self.offers.by_member.given(index)
            corrected = self.offers.given[index] - alone.mean(axis=1)
            ahead = alone[:, self.scenarios.member, :] + corrected[:, None, :]
        return np.asarray(ahead * self.laid[index][:, :, None])

    def sums(self, plan: Sequence[int]) -> tuple[Series, Series, Series]:
        """Return what a plan gives, covers and costs to lay, by scenario."""
        index = np.array(sorted(plan), dtype=np.int64)
        cover = self.offers.cover_depth[index][:, None, :] * self.laid[index][:, :, None]
        own = (self.own[index][:, None] * self.laid[index]).sum(axis=0)
        return self.given(index).sum(axis=0), cover.sum(axis=0), own

    def costs(self, plan: Sequence[int]) -> Series:
        """Return what a plan costs in each scenario. (scenarios,) [g]"""
        given, cover, own = self.sums(plan)
        return np.asarray(own + scenario_ledger(self.bed, self.soil, given, cover, self.terms))

    def with_each(self, plan: Sequence[int], index: Index) -> Series:
        """Return what a plan with one more candidate costs, for each of some. (n, scenarios) [g]"""
        given, cover, own = self.sums(plan)
        found = np.zeros((len(index), self.scenarios.count))
        for first in range(0, len(index), TOGETHER):
            some = index[first : first + TOGETHER]
            laid = self.laid[some]
            ledger = scenario_ledger(
                self.bed,
                self.soil,
                given + self.given(some),
                cover + self.offers.cover_depth[some][:, None, :] * laid[:, :, None],
                self.terms,
            )
            found[first : first + TOGETHER] = ledger + own + self.own[some][:, None] * laid
        return found

    def in_the_mean(self, plan: Sequence[int], index: Index) -> tuple[float, Series]:
        """Return what the solver's one season says of a plan, and of it with one more candidate, for each of some."""
        laid = list(plan)
        given, cover = self.offers.given[laid].sum(axis=0), self.offers.cover_depth[laid].sum(axis=0)
        own = float(self.own[laid].sum())
        alone = float(bed_ledger(self.bed, given, cover, np.asarray(own), self.terms).cost)
        more = bed_ledger(
            self.bed,
            given + self.offers.given[index],
            cover + self.offers.cover_depth[index],
            own + self.own[index],
            self.terms,
        )
        return alone, more.cost

    def instead_of(self, plan: Sequence[int]) -> dict[tuple[int, ...], Index]:
        """Return the candidates by the layers of a plan that each would have to stand instead of (R1, R2)."""
        gap = self.terms.limits.days_between_layers
        groups: dict[tuple[int, ...], list[int]] = {}
        for place in range(len(self.offers.candidates)):
            in_the_way = tuple(
                other
                for other in sorted(plan)
                if abs(int(self.days[other] - self.days[place])) < gap or self.weeks[other] == self.weeks[place]
            )
            groups.setdefault(in_the_way, []).append(place)
        return {way: np.array(places, dtype=np.int64) for way, places in groups.items()}


def saved_from_spoiling(offers: BedOffers, terms: PlanTerms) -> Series:
    """Return what laying each candidate keeps from spoiling unused, as the solver's model prices it. (candidates,)"""
    price = [
        terms.weights.spoilt * stock.nitrogen * stock.unit.dry_matter
        if stock.shelf_life_days is not None and stock.soft_fresh and not stock.bought_in
        else 0.0
        for stock in terms.stocks
    ]
    return np.array([sum(price[p.stock] * p.count for p in c.portions) for c in offers.candidates])


def charges(beds: Sequence[BedScenarios], chosen: Sequence[Sequence[int]], outlook: Outlook) -> tuple[Series, ...]:
    """Return by bed what the scenarios add to the cost of laying each candidate, beside a plan. (candidates,) [g]"""
    at_hand = [bed.costs(plan) for bed, plan in zip(beds, chosen, strict=True)]
    total = np.sum(at_hand, axis=0) if at_hand else np.zeros(1)
    found = []
    for bed, plan, own in zip(beds, chosen, at_hand, strict=True):
        extra = np.zeros(len(bed.offers.candidates))
        for in_the_way, index in bed.instead_of(plan).items():
            rest = [place for place in plan if place not in in_the_way]
            others = total - own
            without = float(weighed(others + bed.costs(rest), outlook))
            with_it = weighed(others + bed.with_each(rest, index), outlook)
            mean_without, mean_with = bed.in_the_mean(rest, index)
            extra[index] = (with_it - without) - (mean_with - mean_without)
        found.append(extra)
    return tuple(found)


def charged(terms: PlanTerms, offers: Sequence[BedOffers], extra: Sequence[Series]) -> tuple[BedOffers, ...]:
    """Return offers for the solver that cost by themselves so much more; for `charged_terms` only."""
    lost = terms.weights.lost
    return tuple(
        replace(offer, ammonia=lost * offer.ammonia + more / bed.area)
        for bed, offer, more in zip(terms.beds, offers, extra, strict=True)
    )


def charged_terms(terms: PlanTerms) -> PlanTerms:
    """Return terms in which a layer's own loss is told in the planner's grams already, as `charged` does."""
    return replace(terms, weights=replace(terms.weights, lost=1.0))


@dataclass(frozen=True, slots=True, eq=False)
class Ahead:
    """A plan chosen for what may come."""

    chosen: Chosen
    mean: float
    """Mean cost over the scenarios. [g]"""
    bad_tenth: float
    """Mean cost of the bad tenth. [g]"""


def looked_at(beds: Sequence[BedScenarios], chosen: Sequence[Sequence[int]], outlook: Outlook) -> Ahead:
    """Return what a plan costs in the scenarios."""
    costs = np.sum([bed.costs(plan) for bed, plan in zip(beds, chosen, strict=True)], axis=0)
    return Ahead(
        tuple(tuple(plan) for plan in chosen), float(np.mean(costs)), float(tail_mean(np.asarray(costs), outlook.tail))
    )


def together(ahead: Ahead, outlook: Outlook) -> float:
    """Return what the mean and the bad tenth of a plan count together. [g]"""
    return (1.0 - outlook.share) * ahead.mean + outlook.share * ahead.bad_tenth
