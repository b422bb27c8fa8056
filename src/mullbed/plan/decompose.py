"""Many beds: price what they share and solve bed by bed, with a proven bound at every round.

Beds meet only in the rows of stocks, work, water and the reserve. At given prices of those rows each bed is a small
model of its own; its best plans become columns of a master model that shares out what there is. The sum of the bed
bounds at any prices bounds the whole from below (Dantzig and Wolfe 1960), so the gap is proven at every round.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from mullbed.plan.choice_model import Choice
from mullbed.plan.rows import Model, RowName
from mullbed.plan.solve import Effort, Solution, minimised, start_values
from mullbed.plan.terms import Series

#: Rules whose rows tie beds together.
SHARED = frozenset({"R3", "R16", "R17", "R21"})
#: Share of the new prices in the smoothed ones. [fraction, judgement]
SMOOTHING = 0.7


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """One bed's own model and its columns in the whole model."""

    model: Model
    columns: NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class BedPlan:
    """One plan of one bed: a column of the master."""

    bed: int
    chosen: tuple[int, ...]
    cost: float
    shared: Series
    """Its left sides in the shared rows."""


def row_entries(model: Model, row: int) -> tuple[NDArray[np.int64], Series]:
    """Return the columns and coefficients of a row."""
    first, last = model.starts[row], model.starts[row + 1]
    return np.asarray(model.index[first:last], dtype=np.int64), np.asarray(model.value[first:last])


class Master:
    """The whole garden as shared rows, bed blocks and the plans found so far."""

    def __init__(self, choice: Choice) -> None:
        self.choice = choice
        whole = choice.model
        self.shared_rows = [row for row, name in enumerate(whole.names) if name.rule in SHARED]
        self.blocks: list[Block] = []
        owner = np.full(whole.columns, -1, dtype=np.int64)
        for number, bed in enumerate(choice.beds):
            own = np.concatenate((bed.lay, bed.pool, bed.short, bed.debt, bed.bare))
            owner[own] = number
        self.other = np.flatnonzero(owner < 0)
        place = np.zeros(whole.columns, dtype=np.int64)
        rows_of: list[list[int]] = [[] for _ in choice.beds]
        for row, name in enumerate(whole.names):
            if name.rule not in SHARED and name.bed is not None:
                rows_of[name.bed].append(row)
        for number in range(len(choice.beds)):
            columns = np.flatnonzero(owner == number)
            place[columns] = np.arange(len(columns))
            block = Model(
                [whole.cost[c] for c in columns], [whole.lower[c] for c in columns],
                [whole.upper[c] for c in columns], [whole.whole[c] for c in columns],
            )  # fmt: skip
            for row in rows_of[number]:
                index, value = row_entries(whole, row)
                block.add_row(whole.names[row], place[index], value, whole.row_lower[row], whole.row_upper[row])
            self.blocks.append(Block(block, columns))
        self.matrix = np.zeros((len(self.shared_rows), whole.columns))
        for at, row in enumerate(self.shared_rows):
            index, value = row_entries(whole, row)
            self.matrix[at, index] = value
        self.plans: list[BedPlan] = []
        self.known: set[tuple[int, tuple[int, ...]]] = set()

    def add(self, chosen: Sequence[Sequence[int]]) -> int:
        """Add a plan of every bed; return how many were new."""
        values = start_values(self.choice, chosen)
        new = 0
        for number, indices in enumerate(chosen):
            key = (number, tuple(indices))
            if key in self.known:
                continue
            self.known.add(key)
            columns = self.blocks[number].columns
            cost = float(np.asarray(self.choice.model.cost)[columns] @ values[columns])
            self.plans.append(BedPlan(number, key[1], cost, self.matrix[:, columns] @ values[columns]))
            new += 1
        return new

    def master(self) -> Model:
        """Return the model that shares out what there is among the known plans."""
        whole = self.choice.model
        model = Model()
        use = model.add_columns([plan.cost for plan in self.plans], upper=1.0, whole=True)
        rest = model.add_columns(
            [whole.cost[c] for c in self.other], upper=[whole.upper[c] for c in self.other]
        )
        shared = np.array([plan.shared for plan in self.plans])
        for at, row in enumerate(self.shared_rows):
            index = np.concatenate((use, rest))
            value = np.concatenate((shared[:, at], self.matrix[at, self.other]))
            model.add_row(whole.names[row], index, value, whole.row_lower[row], whole.row_upper[row])
        for number in range(len(self.blocks)):
            own = [int(use[at]) for at, plan in enumerate(self.plans) if plan.bed == number]
            model.add_row(RowName("R1", number), own, np.ones(len(own)), lower=1.0, upper=1.0)
        return model

    def best_at(self, prices: Series, effort: Effort) -> tuple[list[tuple[int, ...]], float]:
        """Return the best plan of every bed at some prices, and the bound on the whole they prove."""
        whole = self.choice.model
        bound = 0.0
        for at, row in enumerate(self.shared_rows):
            limit = whole.row_upper[row] if prices[at] <= 0.0 else whole.row_lower[row]
            if prices[at] != 0.0:
                bound += float(prices[at]) * limit if abs(limit) < inf else -inf
        chosen: list[tuple[int, ...]] = []
        for number, block in enumerate(self.blocks):
            charge = prices @ self.matrix[:, block.columns]
            priced = Model(
                list(np.asarray(block.model.cost) - charge), block.model.lower, block.model.upper, block.model.whole,
                0.0, block.model.starts, block.model.index, block.model.value, block.model.row_lower,
                block.model.row_upper, block.model.names,
            )  # fmt: skip
            solution = minimised(priced, effort)
            if solution is None:  # laying nothing always keeps a bed's own rules
                chosen.append(())
                continue
            lay = np.searchsorted(block.columns, self.choice.beds[number].lay)
            chosen.append(tuple(int(i) for i in np.flatnonzero(solution.values[lay] > 0.5)))
            bound += solution.bound
        return chosen, bound


def shared_out(
    choice: Choice, start: Sequence[Sequence[int]], effort: Effort, rounds: int = 8
) -> tuple[tuple[tuple[int, ...], ...], Solution]:
    """Solve a garden of many beds by prices; return the plan by bed and the solution with its proven gap.

    Parameters
    ----------
    choice : Choice
        The whole model; it is taken apart here.
    start : sequence
        A plan that keeps every rule.
    effort : Effort
        The gap at which to stop.
    rounds : int
        Most rounds of new prices.
    """
    master = Master(choice)
    master.add([()] * len(choice.beds))
    master.add(start)
    whole = minimised(choice.model, effort, relaxed=True)
    prices = None if whole is None else whole.prices[master.shared_rows]
    bound = -inf
    if prices is not None:
        chosen, bound = master.best_at(prices, Effort(gap=0.005, nodes=500, seconds=20.0))
        master.add(chosen)
    bed_effort = Effort(gap=min(0.005, effort.gap / 4.0), nodes=500, seconds=20.0)
    import time; t0=time.time(); print('lp price bound', bound)
    for _ in range(rounds):
        model = master.master()
        relaxed = minimised(model, effort, relaxed=True)
        if relaxed is None:
            break
        fresh = relaxed.prices[: len(master.shared_rows)]
        prices = fresh if prices is None else SMOOTHING * fresh + (1.0 - SMOOTHING) * prices
        chosen, proven = master.best_at(prices, bed_effort)
        bound = max(bound, proven)
        new = master.add(chosen); print(_, relaxed.cost, proven, bound, new, time.time()-t0)
        if new == 0 or relaxed.cost - bound <= 0.25 * effort.gap * abs(relaxed.cost):
            break
    found, solution = best_mix(master, start, Effort(effort.gap / 2.0, effort.nodes, effort.seconds))
    return found, Solution(solution, choice.model.objective(solution), bound, np.zeros(0))


def best_mix(
    master: Master, start: Sequence[Sequence[int]], effort: Effort
) -> tuple[tuple[tuple[int, ...], ...], Series]:
    """Return the best mix of whole bed plans known to the master, as choices by bed and as values of the whole model."""
    model = master.master()
    solution = minimised(model, effort)
    chosen = [tuple(indices) for indices in start]
    if solution is not None:
        for at, plan in enumerate(master.plans):
            if solution.values[at] > 0.5:
                chosen[plan.bed] = plan.chosen
    return tuple(chosen), start_values(master.choice, chosen)
