"""Many beds: price what they share, set aside what is too dear, solve the rest, and prove the gap bed by bed.

Beds meet only in the rows of stocks, work, water and the reserve. The relaxed model of the whole garden is quick to
solve and prices those rows. At these prices each bed is a small model of its own, and the sum of what the beds can
reach at best bounds the whole from below (Lagrange's bound; Dantzig and Wolfe 1960 for the splitting). A plan is found
among the candidates that are worth their price or nearly so, all beds together.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from math import inf

import numpy as np
from numpy.typing import NDArray

from mullbed.plan.choice_model import Choice
from mullbed.plan.rows import Model
from mullbed.plan.solve import Effort, Solution, minimised
from mullbed.plan.terms import Series

#: Rules whose rows tie beds together.
SHARED = frozenset({"R3", "R16", "R17", "R21"})
#: Candidates of a bed that stay in the model, those nearest to their price first. [judgement]
KEPT_A_BED = 50


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """One bed's own model and where its columns are in the whole."""

    model: Model
    columns: NDArray[np.int64]


def row_entries(model: Model, row: int) -> tuple[NDArray[np.int64], Series]:
    """Return the columns and coefficients of a row."""
    first, last = model.starts[row], model.starts[row + 1]
    return np.asarray(model.index[first:last], dtype=np.int64), np.asarray(model.value[first:last])


def blocks_of(choice: Choice) -> tuple[Block, ...]:
    """Return the model of each bed by itself, without the shared rows."""
    whole = choice.model
    place = np.zeros(whole.columns, dtype=np.int64)
    rows_of: list[list[int]] = [[] for _ in choice.beds]
    for row, name in enumerate(whole.names):
        if name.rule not in SHARED and name.bed is not None:
            rows_of[name.bed].append(row)
    blocks = []
    for number, bed in enumerate(choice.beds):
        columns = np.sort(np.concatenate((bed.lay, bed.pool, bed.short, bed.debt, bed.bare)))
        place[columns] = np.arange(len(columns))
        block = Model(
            [whole.cost[c] for c in columns],
            [whole.lower[c] for c in columns],
            [whole.upper[c] for c in columns],
            [whole.whole[c] for c in columns],
        )
        for row in rows_of[number]:
            index, value = row_entries(whole, row)
            block.add_row(whole.names[row], place[index], value, whole.row_lower[row], whole.row_upper[row])
        blocks.append(Block(block, columns))
    return tuple(blocks)


def charges(choice: Choice, prices: Series) -> Series:
    """Return what the shared rows charge each column at some prices. (columns,)"""
    charge = np.zeros(choice.model.columns)
    for row, name in enumerate(choice.model.names):
        if name.rule in SHARED and prices[row] != 0.0:
            index, value = row_entries(choice.model, row)
            np.add.at(charge, index, prices[row] * value)
    return charge


def priced_bound(choice: Choice, prices: Series, effort: Effort, threads: int = 2) -> float:
    """Return the lower bound on the whole that the beds prove at some prices of the shared rows.

    Minus infinity when the prices leave a stock's column unbounded below.
    """
    whole = choice.model
    charge = charges(choice, prices)
    own = np.zeros(whole.columns, dtype=np.bool_)
    bound = 0.0
    for row, name in enumerate(whole.names):
        if name.rule in SHARED and prices[row] != 0.0:
            limit = whole.row_upper[row] if prices[row] < 0.0 else whole.row_lower[row]
            bound += float(prices[row]) * limit if abs(limit) < inf else -inf

    def least(block: Block) -> float:
        priced = replace(block.model, cost=(np.asarray(block.model.cost) - charge[block.columns]).tolist())
        solution = minimised(priced, effort)
        return inf if solution is None else solution.bound

    blocks = blocks_of(choice)
    for block in blocks:
        own[block.columns] = True
    rest = np.asarray(whole.cost)[~own] - charge[~own]
    if np.any(rest < -1e-6):
        return -inf
    with ThreadPoolExecutor(threads) as pool:
        return bound + sum(pool.map(least, blocks))


def set_aside(choice: Choice, relaxed: Solution, keep: Series, kept_a_bed: int = KEPT_A_BED) -> Model:
    """Return the model with every candidate barred that is far from worth its price, apart from those to keep."""
    whole = choice.model
    worth = np.asarray(whole.cost, dtype=np.float64).copy()
    for row in range(whole.rows):
        if relaxed.prices[row] != 0.0:
            index, value = row_entries(whole, row)
            np.subtract.at(worth, index, relaxed.prices[row] * value)
    lay = np.concatenate([bed.lay for bed in choice.beds])
    order = lay[np.argsort(worth[lay], kind="stable")]
    barred = np.zeros(whole.columns, dtype=np.bool_)
    barred[order[kept_a_bed * len(choice.beds) :]] = True
    barred &= keep < 0.5
    upper = np.where(barred, 0.0, np.asarray(whole.upper))
    return replace(whole, upper=upper.tolist())


def solved_apart(choice: Choice, start: Series, effort: Effort) -> Solution | None:
    """Solve a garden of many beds; the gap is proven against the beds' own bounds.

    Parameters
    ----------
    choice : Choice
        The whole model.
    start : array
        Values of a plan that keeps every rule.
    effort : Effort
        Gap, nodes and seconds of the reduced model.

    Returns
    -------
    solution : Solution or None
        None when the relaxed model already has no solution.
    """
    relaxed = minimised(choice.model, effort, relaxed=True)
    if relaxed is None:
        return None
    reduced = set_aside(choice, relaxed, start)
    found = minimised(reduced, effort)
    if found is None:
        return None
    proven = priced_bound(choice, relaxed.prices, Effort(gap=0.02, nodes=50, seconds=10.0))
    return replace(found, bound=max(relaxed.bound, proven))
