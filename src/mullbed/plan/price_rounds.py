"""Plan many beds: whole plans of single beds are priced against what beds share, round by round, with a proven bound.

Each bed is a small problem by itself once what it shares has a price (`bed_block`). Its plans become columns of a
master model that holds the shared rows; the master's prices make new plans; and so on (Dantzig and Wolfe 1960, from
memory). At any prices the beds' least costs and the price of the limits bound the whole from below (Lagrange's bound),
so a plan and its gap can be told after every round. Prices are mixed with the best so far, which keeps them from
swinging. Beds that are one and the same share their plans.

Where the relaxed master leaves a gap, every plan that could still matter is listed: one whose cost at the best prices
passes its bed's least by more than the bound is to rise is in no better whole. The best whole among the listed plans
then bounds all others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from copy import copy
from dataclasses import replace
from math import inf

import numpy as np

from mullbed.plan.alike_beds import Alike, Chosen, Fifths, grouped
from mullbed.plan.bed_block import EQUAL, MANY_NODES, MOST_NODES, QUICK_NODES, BedPlans
from mullbed.plan.offers import BedOffers
from mullbed.plan.rows import Model, RowName
from mullbed.plan.shared import shared_rows
from mullbed.plan.solve import Effort, Relaxed, Solution, minimised
from mullbed.plan.terms import PlanTerms, Series

#: Share of the best prices so far in the prices of a round. [judgement]
MIXED = 0.5
#: New plans of a bed in a round, at most. [judgement]
PLANS_A_ROUND = 8
#: They pass the least known by so many times what the gap allows a bed. [1, judgement]
SPREAD = 4.0
#: The relaxed master counts as solved when it is so near its bound. [fraction]
CLOSED = 2e-4
#: Plans of one bed that are listed for the proof, and of all beds together, at most. [judgement]
LISTED_A_BED, LISTED = 4000, 20_000
#: Beds whose prices begin those of a larger garden. [judgement]
SAMPLED = 100
#: Rounds between two looks for a whole plan.
LOOK_EVERY = 8


class PriceRounds:
    """The rounds of one garden."""

    def __init__(
        self,
        terms: PlanTerms,
        offers: Sequence[BedOffers],
        effort: Effort,
        highest: Fifths = (),
        fixed: Mapping[int, Sequence[int]] | None = None,
        threads: int = 2,
    ) -> None:
        self.terms, self.offers, self.effort, self.threads = terms, tuple(offers), effort, threads
        self.stop = effort.stop
        self.highest = highest
        self.fixed = {number: tuple(plan) for number, plan in (fixed or {}).items()}
        self.shared = shared_rows(terms, offers)
        self.groups = grouped(terms, self.offers, highest, self.fixed)
        self.looking, self.near = True, CLOSED
        self.bound, self.guessed, self.prices = -inf, -inf, np.zeros(self.shared.model.rows)
        self.best: tuple[float, Chosen] | None = None
        self.rounds = 0

    # -- the master --------------------------------------------------------------------------------------------------

    def master(self, whole: bool = False, most_over: float = inf) -> tuple[Model, list[tuple[int, int]]]:
        """Return the master model and, for its plan columns in order, group and plan.

        Parameters
        ----------
        whole : bool
            Plans are laid on whole numbers of beds.
        most_over : float
            Plans further from their bed's least cost at the best prices are left out. [g]
        """
        rows: list[tuple[list[int], list[float]]] = []
        shared = self.shared.model
        model = Model()
        model.add_columns(shared.cost, upper=shared.upper)
        for row in range(shared.rows):
            first, last = shared.starts[row], shared.starts[row + 1]
            rows.append((list(shared.index[first:last]), list(shared.value[first:last])))
        columns: list[tuple[int, int]] = []
        for number, group in enumerate(self.groups):
            over = group.over(self.prices) if most_over < inf else np.zeros(len(group.plans))
            for place in np.flatnonzero(over <= most_over):
                column = int(model.add_columns([group.costs[place]], upper=float(len(group.beds)), whole=whole)[0])
                columns.append((number, int(place)))
                for row, amount in zip(*group.asked[place], strict=True):
                    rows[row][0].append(column)
                    rows[row][1].append(float(amount))
        for row, (index, value) in enumerate(rows):
            model.add_row(shared.names[row], index, value, shared.row_lower[row], shared.row_upper[row])
        first_plan = shared.columns
        for number, group in enumerate(self.groups):
            own = [first_plan + place for place, (of, _) in enumerate(columns) if of == number]
            model.add_row(RowName("beds"), own, [1.0] * len(own), float(len(group.beds)), float(len(group.beds)))
        return model, columns

    # -- pricing -----------------------------------------------------------------------------------------------------

    def priced(self, prices: Series, most: int, over: float) -> list[BedPlans]:
        """Return the cheapest plans of every group at some prices, those that pass the least known by no more. [g]"""

        def one(group: Alike) -> BedPlans:
            if group.beds[0] in self.fixed:
                return group.as_fixed(prices)
            charge = self.shared.charge(group.block.offers, prices)
            least = group.least_known(prices)
            if group.block.visited > MANY_NODES and over < inf and most == PLANS_A_ROUND:
                return group.block.cheapest(charge, 1, least + 1e-6, nodes=QUICK_NODES)  # only what is better
            nodes = QUICK_NODES if most == PLANS_A_ROUND else MOST_NODES
            return group.block.cheapest(charge, most, least + over, nodes=nodes)

        with ThreadPoolExecutor(self.threads) as pool:
            return list(pool.map(one, self.groups))

    def lowest(self, prices: Series, found: Sequence[BedPlans]) -> float:
        """Return the bound some prices prove. [g]"""
        beds = sum(len(group.beds) * plans.bound for group, plans in zip(self.groups, found, strict=True))
        return float(beds) + self.shared.bound(prices)

    # -- whole plans -------------------------------------------------------------------------------------------------

    def look_for_plan(self, effort: Effort, most_over: float = inf) -> Solution | None:
        """Choose among the plans so far, whole beds each; keeps the best found."""
        model, columns = self.master(whole=True, most_over=most_over)
        found = minimised(model, effort)
        if found is None:
            return None
        if self.best is None or found.cost < self.best[0] - 1e-9:
            self.best = (found.cost, self._dealt(found.values[self.shared.model.columns :], columns))
        return found

    def _dealt(self, laid: Series, columns: Sequence[tuple[int, int]]) -> Chosen:
        """Return the plan of each bed from how many beds of a group each plan is laid on."""
        chosen: list[tuple[int, ...]] = [() for _ in self.terms.beds]
        waiting = [list(group.beds) for group in self.groups]
        for count, (number, place) in zip(np.rint(laid).astype(int), columns, strict=True):
            for _ in range(count):
                chosen[waiting[number].pop(0)] = self.groups[number].plans[place]
        return tuple(chosen)

    @property
    def gap(self) -> float:
        """Proven distance of the best plan so far, per cost. [fraction]"""
        if self.best is None or self.bound == -inf:
            return inf
        return max(0.0, self.best[0] - self.bound) / max(abs(self.best[0]), 1e-9)

    def run(self, start: Sequence[Sequence[int]]) -> Solution | None:
        """Go round until the gap is reached, nothing new comes or somebody asks to stop; None when nothing fits.

        Parameters
        ----------
        start : sequence
            A plan that keeps every rule, by bed.
        """
        for group in self.groups:
            for number in group.beds:
                group.add(self.fixed.get(number, tuple(start[number])), self.shared)
            if group.beds[0] not in self.fixed and not any(one.wanted for one in group.block.offers.candidates):
                group.add((), self.shared)
        if sum(len(group.beds) for group in self.groups) > 2 * SAMPLED:
            self._learn_prices(start)
        relaxed, counted = self._relaxed()
        found = relaxed.solved()
        if found is None:
            return None
        if self.looking:
            self.look_for_plan(self._looking())
        closed = False
        while not closed and self.gap > self.effort.gap and self.rounds < self.effort.rounds and not self.stop():
            closed = self._round(relaxed, counted, found)
            again = relaxed.solved()
            found = again if again is not None else found
            closed = closed or found.cost - self.guessed <= self.near * abs(found.cost)
            if closed and self.looking and self.guessed - self.bound > CLOSED * abs(found.cost):
                closed = not self._prove()
            if self.looking and (closed or self.rounds % LOOK_EVERY == 0):
                self.look_for_plan(self._looking())
        if self.looking and self.gap > self.effort.gap and not self.stop():
            self._list_and_prove()
        if self.best is None:
            return None
        if self.bound == -inf:
            self._prove()
        cost, chosen = self.best
        return Solution(np.zeros(0), cost, min(cost, self.bound), self.prices, chosen)

    def lower_bound(self, start: Sequence[Sequence[int]]) -> float:
        """Return a bound no plan of all beds can beat, without looking for a plan; ``start`` as `run` takes it. [g]"""
        self.looking, self.near = False, CLOSED
        self.run(start)
        self._prove()
        return self.bound

    def _learn_prices(self, start: Sequence[Sequence[int]]) -> None:
        """Find prices and plans with a part of the beds and as small a part of what is shared.

        They are a guess for the whole; whatever they are, the bound they prove for the whole is valid.
        """
        total = sum(len(group.beds) for group in self.groups)
        beds = np.sort(np.array([number for group in self.groups for number in group.beds]))
        sample = set(np.random.default_rng(1).permutation(beds)[:SAMPLED].tolist())
        part = copy(self)
        part.shared = self.shared.shrunk(len(sample) / total)
        part.groups = [
            replace(group, beds=[number for number in group.beds if number in sample])
            for group in self.groups
            if any(number in sample for number in group.beds)
        ]
        part.looking, part.near = False, self.effort.gap
        part.run(start)
        if part.guessed > -inf:
            self.prices = part.prices
            self._try(part.prices)

    def _looking(self) -> Effort:
        return Effort(gap=0.5 * self.effort.gap, nodes=self.effort.nodes, seconds=self.effort.seconds)

    def _relaxed(self) -> tuple[Relaxed, list[int]]:
        model, _ = self.master()
        return Relaxed(model), [len(group.plans) for group in self.groups]

    @property
    def reach(self) -> float:
        """Cost of the best plan by bed: the measure of what counts. [g]"""
        return (self.best[0] if self.best is not None else 0.0) / max(1, len(self.terms.beds))

    def _round(self, relaxed: Relaxed, counted: list[int], found: Solution) -> bool:
        """Price the beds and add all plans that are new; say whether there was none, at the master's own prices."""
        rows = self.shared.model.rows
        own = self.shared.allowed(found.prices[:rows])
        mixed = self.guessed > -inf
        new = self._try(own if not mixed else MIXED * self.prices + (1.0 - MIXED) * own)
        if not new and mixed:
            self._try(own)
        self.rounds += 1
        columns = []
        for number, group in enumerate(self.groups):
            for place in range(counted[number], len(group.plans)):
                index, amounts = group.asked[place]
                columns.append((group.costs[place], [*index.tolist(), rows + number], [*amounts.tolist(), 1.0]))
            counted[number] = len(group.plans)
        if columns:
            relaxed.add_columns(columns)
        return not columns

    def _try(self, prices: Series) -> int:
        """Price the beds at some prices; returns how many plans are new.

        The best prices are those whose bound is highest, where a bed whose search gave up counts with what it found.
        """
        found = self.priced(prices, PLANS_A_ROUND, SPREAD * self.effort.gap * abs(self.reach) + 1e-6)
        self.bound = max(self.bound, self.lowest(prices, found))
        new = self._kept(found)
        guessed = self.shared.bound(prices) + sum(
            len(group.beds) * max(plans.bound, group.least_known(prices) - EQUAL)
            for group, plans in zip(self.groups, found, strict=True)
        )
        if guessed > self.guessed:
            self.guessed, self.prices = guessed, prices
        return new

    def _kept(self, found: Sequence[BedPlans]) -> int:
        """Add plans to their groups; returns how many are new."""
        return sum(
            group.add(plan, self.shared)
            for group, plans in zip(self.groups, found, strict=True)
            for plan in plans.plans
        )

    def _prove(self) -> int:
        """Prove the bound at the best prices, hard beds included; returns how many plans are new."""

        def one(group: Alike) -> BedPlans:
            if group.beds[0] in self.fixed:
                return group.as_fixed(self.prices)
            charge = self.shared.charge(group.block.offers, self.prices)
            return group.block.cheapest(charge, 1, group.least_known(self.prices) + 10.0 * EQUAL)

        with ThreadPoolExecutor(self.threads) as pool:
            found = list(pool.map(one, self.groups))
        self.guessed = self.lowest(self.prices, found)
        self.bound = max(self.bound, self.guessed)
        return self._kept(found)

    def _list_and_prove(self) -> None:
        """List every plan that could still matter, choose among them, and raise the bound by what that proves.

        A short list comes first: its better plan makes the full list shorter.
        """
        for share in (0.4, 1.0):
            if self.best is None or self.gap <= self.effort.gap or self.stop():
                return
            wanted = (1.0 - 0.98 * self.effort.gap) * self.best[0]
            least, reach = self._listed(share * max(0.0, wanted - self.bound))
            solution = self.look_for_plan(self._proving(), most_over=reach + 1e-9)
            among = solution.bound if solution is not None else inf
            self.bound = max(self.bound, min(among, least + reach))

    def _listed(self, over: float) -> tuple[float, float]:
        """Add every plan that passes its bed's least at the best prices by no more.

        Returns
        -------
        least : float
            What those prices prove for the whole; other prices may have proven more. [g]
        reach : float
            How far the lists of all beds go; nothing where the search of one gave up, for what it missed is not known.
        """
        most = min(LISTED_A_BED, LISTED // max(1, len(self.groups)))
        found = self.priced(self.prices, most, over)
        self._kept(found)
        reach = min((over if one.complete else one.reach for one in found), default=over)
        return self.lowest(self.prices, found), reach

    def _proving(self) -> Effort:
        return Effort(gap=0.9 * self.effort.gap, nodes=50 * self.effort.nodes, seconds=self.effort.seconds)
