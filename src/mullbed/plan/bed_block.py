"""One bed by itself: its cheapest plans at given charges, and a bound no plan of it can beat."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import inf

import numpy as np

from mullbed.plan.choice_model import COVERED, Choice, built, cost_of, fed_limit, first_fifths
from mullbed.plan.ledger import chosen_ledger
from mullbed.plan.offers import BedOffers
from mullbed.plan.solve import Effort, minimised
from mullbed.plan.terms import BedTerms, Index, PlanTerms, Series

#: Where the search of one bed gives up in a round; the bound of the relaxed bed stands then.
QUICK_NODES = 1_000_000
#: Where it gives up when a bound is to be proven; some seconds.
MOST_NODES = 30_000_000
#: After a search that visited so many, its lines are drawn anew at the next charges.
MANY_NODES = 20_000
#: Costs closer than this are equal. [g]
EQUAL = 1e-7


@dataclass(frozen=True, slots=True, eq=False)
class Multipliers:
    """Prices of a bed's own rules, from which straight lines bound its cost from below."""

    balance: Series
    """(weeks,) [1]"""
    cover: Series
    """(weeks,) [g]"""
    loads: Series
    """(loads,)"""


@dataclass(frozen=True, slots=True, eq=False)
class BedPlans:
    """The cheapest plans of a bed at some charges, and what no plan costs less than."""

    plans: tuple[tuple[int, ...], ...]
    """Candidates by index into the bed's offers."""
    costs: Series
    """Charges included, in the order of the plans. [g]"""
    bound: float
    finished: bool
    """Whether the search was finished: the bound is then the least cost."""
    complete: bool
    """Whether every plan below the asked cost is among them."""

    @property
    def reach(self) -> float:
        """By how much the dearest passes the least where all cheaper ones are among them, else nothing. [g]"""
        return max(0.0, float(self.costs[-1]) - self.bound) if self.finished and self.plans else 0.0


class BedBlock:
    """A bed's candidates and rules as arrays for the search."""

    def __init__(self, bed: BedTerms, offers: BedOffers, terms: PlanTerms, fifths: Sequence[Index] = ()) -> None:
        self.bed, self.offers, self.terms = bed, offers, terms
        self.fifths = tuple(fifths)
        self.order = self._allowed()
        order, weights = self.order, terms.weights
        left = weights.over * bed.area * (1.0 - bed.kept)
        left[-1:] = weights.over * bed.area
        self.weeks = np.vstack(
            (
                bed.soil_given.mean(axis=0),
                bed.want,
                bed.kept,
                left,
                np.full(bed.weeks, weights.short * bed.area),
                np.full(bed.weeks, weights.bare * bed.area),
                1.0 - bed.cover_depth / COVERED,
            )
        )
        self.week_of = offers.weeks_of_laying[order] if order.size else np.zeros(0, np.int64)
        self.following = self._following()
        self.own = cost_of(bed, offers, terms)[order]
        self.given = np.ascontiguousarray(offers.given[order])
        self.cover = np.ascontiguousarray(offers.cover_depth[order] / COVERED)
        self.height = np.ascontiguousarray(offers.thickness[order])
        self.height_room = self._height_room()
        self.loads, self.room = self._loads()
        self.ease = self._eased()
        self.lines: list[Multipliers] = []
        self.visited = 0

    def _days(self) -> Index:
        return np.array([candidate.day.toordinal() for candidate in self.offers.candidates], dtype=np.int64)

    def _allowed(self) -> Index:
        """Return the candidates that may be laid at all, in order of laying (R2 after what lies, R6 where full)."""
        days = self._days()
        if not days.size:
            return np.zeros(0, dtype=np.int64)
        last, limits = self.bed.last_laid, self.terms.limits
        early = np.zeros(days.size, dtype=np.bool_)
        if last is not None:
            early = days - last.toordinal() < limits.days_between_layers
        full = self.bed.thickness[self.offers.weeks_of_laying] >= limits.thickest_cover
        order = np.argsort(days, kind="stable").astype(np.int64)
        return order[~(early | full)[order]]

    def _following(self) -> Index:
        """Return for each candidate the first that may be laid after it (R1, R2)."""
        days = self._days()[self.order]
        by_day = np.searchsorted(days, days + self.terms.limits.days_between_layers)
        by_week = np.searchsorted(self.week_of, self.week_of, side="right")
        return np.maximum(by_day, by_week).astype(np.int64)

    def _height_room(self) -> Series:
        """Return the height there is room for by week (R6); only weeks in which something may be laid are looked at."""
        room = np.full(self.bed.weeks, inf)
        free = self.terms.limits.thickest_cover - self.bed.thickness
        looked_at = np.unique(self.offers.weeks_of_laying) if self.offers.candidates else np.zeros(0, np.int64)
        looked_at = looked_at[free[looked_at] > 0.0]
        room[looked_at] = free[looked_at]
        return room

    def _loads(self) -> tuple[Series, Series]:
        """Return the limited loads of the candidates and their limits: nitrogen laid, phosphorus, nitrogen fed.

        A layer to be kept is the last kind of them.
        """
        candidates, bed = self.offers.candidates, self.bed
        rows = [[one.nitrogen for one in candidates], [one.phosphorus for one in candidates]]
        room = [max(0.0, bed.nitrogen_ceiling), max(0.0, bed.phosphorus_ceiling)]
        if candidates:
            soil = bed.soil_given.sum(axis=1)
            for fifth in (*first_fifths(soil, self.offers), *self.fifths):
                rows.append(self.offers.given_by_member[:, fifth].mean(axis=1).tolist())
                room.append(fed_limit(bed) - float(soil[fifth].mean()))
        for place, candidate in enumerate(candidates):
            if candidate.wanted:  # R26: the load of everything but it is nothing, and the limit is passed without it
                rows.append([-float(number == place) for number in range(len(candidates))])
                room.append(-1.0)
        return np.ascontiguousarray(np.array(rows).reshape(len(rows), -1)[:, self.order]), np.array(room)

    def _eased(self) -> Series:
        """Return by how much layers from a place on can lower each load at most. (loads, candidates + 1)"""
        ease = np.zeros((self.loads.shape[0], self.order.size + 1))
        for place in range(self.order.size - 1, -1, -1):
            laid = self.loads[:, place] + ease[:, self.following[place]]
            ease[:, place] = np.minimum(ease[:, place + 1], laid)
        return ease

    @cached_property
    def likeness(self) -> bytes:
        """What two beds share when they are one and the same to the planner."""
        digest = hashlib.sha256()
        portions = [[(p.stock, p.count) for p in self.offers.candidates[place].portions] for place in self.order]
        days = [self.offers.candidates[place].day.toordinal() for place in self.order]
        arrays = (self.weeks, self.own, self.given, self.cover, self.height, self.height_room, self.loads, self.room)
        for array in (*arrays, self.order, self.offers.given_by_member, self.bed.soil_given):
            digest.update(np.ascontiguousarray(array).tobytes())
        work = [(self.offers.candidates[place].minutes, self.offers.candidates[place].litres) for place in self.order]
        digest.update(repr((portions, days, work, self.bed.area)).encode())
        return digest.digest()

    def price_own_rules(self, charge: Series, laid: Sequence[int] = ()) -> None:
        """Make a set of multipliers from the relaxed bed at some charges, some layers laid already.

        Parameters
        ----------
        charge : Series
            As `cheapest` takes it.
        laid : sequence of int
            Candidates that are laid; the lines then fit what is best after them.
        """
        alone = self._alone
        cost, lower = np.array(alone.model.cost), np.array(alone.model.lower)
        lay = alone.beds[0].lay
        cost[lay] -= charge
        lower[lay[list(laid)]] = 1.0
        model = replace(alone.model, cost=cost.tolist(), lower=lower.tolist())
        relaxed = minimised(model, Effort(), relaxed=True)
        if relaxed is None:
            return
        balance, cover = np.zeros(self.bed.weeks), np.zeros(self.bed.weeks)
        loads: list[float] = []
        for name, price in zip(alone.model.names, relaxed.prices, strict=True):
            if name.rule == "R20" and name.week is not None:
                balance[name.week] = price
            elif name.rule == "R19" and name.week is not None:
                cover[name.week] = price
        for rule in ("R10", "R12", "R11", "R26"):
            loads.extend(
                -price for name, price in zip(alone.model.names, relaxed.prices, strict=True) if name.rule == rule
            )
        self.lines = [*self.lines[-1:], self._made_to_fit(Multipliers(balance, cover, np.array(loads)))]

    @cached_property
    def _alone(self) -> Choice:
        """The model of the bed without what beds share."""
        return built(
            replace(self.terms, beds=(self.bed,)), (self.offers,), without=SHARED_RULES, highest=(self.fifths,)
        )

    def _made_to_fit(self, found: Multipliers) -> Multipliers:
        """Return multipliers that bound from below whatever the charges are: none lets a pool or a want pay."""
        balance, following = found.balance.copy(), 0.0
        for week in range(self.bed.weeks - 1, -1, -1):
            most = self.weeks[3, week] + self.weeks[2, week] * following
            balance[week] = following = max(-self.weeks[4, week], min(balance[week], most))
        cover = np.clip(found.cover, 0.0, self.weeks[5])
        cover[self.weeks[6] <= 0.0] = 0.0
        loads = np.zeros(self.room.size)
        if found.loads.size == self.room.size:
            loads = np.maximum(found.loads, 0.0)
        return Multipliers(balance, cover, loads)

    def cheapest(
        self, charge: Series, most: int = 1, beyond: float = inf, closer: float = EQUAL, nodes: int = MOST_NODES
    ) -> BedPlans:
        """Return the cheapest plans of the bed.

        Parameters
        ----------
        charge : Series
            What each candidate of the offers earns; taken off its own cost. (candidates,) [g]
        most : int
            So many plans at most.
        beyond : float
            Plans that cost as much or more are left out. [g]
        closer : float
            With one plan asked for, a better one is looked for only if it is better by this. [g]
        nodes : int
            Where the search gives up.
        """
        from mullbed.plan.bed_search import MOST_LAYERS, best_plans

        if not self.lines or self.visited > MANY_NODES:
            self.price_own_rules(charge)
        own = self.own - charge[self.order]
        line, rest = self._lines_at(own)
        costs, lengths = np.full(most, inf), np.zeros(most, dtype=np.int64)
        plans = np.zeros((most, MOST_LAYERS + 1), dtype=np.int64)
        balance = np.array([np.append(one.balance, 0.0) for one in self.lines])
        cover, loads = np.array([one.cover for one in self.lines]), np.array([one.loads for one in self.lines])
        self.visited, kept, finished = best_plans(  # type: ignore[no-untyped-call]
            self.weeks, self.week_of, self.following, own, self.given, self.cover, self.height, self.height_room,
            self.loads, self.room, self.ease, balance, cover, loads, line, rest, beyond, closer, nodes,
            costs, lengths, plans,
        )  # fmt: skip
        ranked = np.argsort(costs[:kept], kind="stable")
        found = tuple(tuple(sorted(self.order[plans[one, : lengths[one]]].tolist())) for one in ranked)
        at_root = self._root_bound(rest)
        least = min(float(costs[ranked[0]]), beyond) if kept else beyond
        bound = max(at_root, least - (closer if most == 1 else 0.0)) if finished else at_root
        return BedPlans(found, costs[ranked], bound, finished, finished and kept < most)

    def _lines_at(self, own: Series) -> tuple[Series, Series]:
        """Return what each candidate adds to each bound, and the least the rest of the season adds."""
        line = np.array([own + self.given @ one.balance - self.cover @ one.cover + one.loads @ self.loads
                         for one in self.lines])  # fmt: skip
        rest = np.zeros((len(self.lines), own.size + 1))
        for place in range(own.size - 1, -1, -1):
            laid = line[:, place] + rest[:, self.following[place]]
            rest[:, place] = np.minimum(rest[:, place + 1], laid)
        return line, rest - np.array([[one.loads @ self.room] for one in self.lines])

    def _root_bound(self, rest: Series) -> float:
        """Return what the straight lines say no plan costs less than."""
        nothing = [
            float(one.balance @ (self.weeks[0] - self.weeks[1]) + one.cover @ self.weeks[6]) for one in self.lines
        ]
        return max(first + float(row[0]) for first, row in zip(nothing, rest, strict=True))

    def cost(self, plan: Sequence[int]) -> float:
        """Return what a plan costs the bed, charges left out. [g]"""
        return float(chosen_ledger(self.bed, self.offers, plan, self.terms).cost)


#: Rules that tie beds together.
SHARED_RULES = frozenset({"R3", "R16", "R17", "R21"})
