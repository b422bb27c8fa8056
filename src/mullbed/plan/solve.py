"""Run the solver: first plan in, plan and proven gap out; when nothing fits, which limit bites and by how much.

This is the only door to the solver. It is stopped by gap and by nodes, so that a plan does not depend on the speed of
the machine; the time limit is a last resort for whoever waits. The solver prints a banner when it is made: standard
output is pointed at standard error meanwhile, so that results on standard output stay clean.
"""

from __future__ import annotations

import os
import sys
import threading
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from math import inf
from typing import Any

import numpy as np

from mullbed.errors import MullbedError
from mullbed.plan.choice_model import Choice
from mullbed.plan.ledger import chosen_ledger, drawn, taken_from
from mullbed.plan.rows import Model, RowName
from mullbed.plan.terms import PlanTerms, Series

_construction = threading.Lock()

#: Limits a grower could lift, by rule; the others are physics or arithmetic.
LIFTABLE = ("R3", "R10", "R11", "R12", "R16", "R17", "R21")
#: A limit passed by less is not told.
WORTH_LIFTING = 0.05


#: Algorithms a relaxed model is given to from nothing, one after the other, where its warm start led nowhere.
AFRESH = ("simplex", "ipm")


class SolverFailed(MullbedError):
    """The solver stopped without an answer; a defect of ours."""


@dataclass(frozen=True, slots=True)
class Effort:
    """When the solver may stop."""

    gap: float = 0.01
    nodes: int = 40
    rounds: int = 60
    """Rounds in which beds are priced."""
    seconds: float = 60.0
    """Last resort only: a plan that ends on it depends on the machine. [s]"""
    stop: Callable[[], bool] = lambda: False
    """Asked between rounds whether the best plan so far will do."""


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """Values of the columns, the cost and the proven gap."""

    values: Series
    cost: float
    bound: float
    prices: Series
    """What one more unit of each row's limit is worth; only of a relaxed model. (rows,)"""
    chosen: tuple[tuple[int, ...], ...] = ()
    """Candidates laid by bed, where a plan was made of it."""

    @property
    def gap(self) -> float:
        """Proven distance from the best, per cost. [fraction]"""
        return max(0.0, self.cost - self.bound) / max(abs(self.cost), 1e-9)


@contextmanager
def banner_on_standard_error() -> Iterator[None]:
    """Point descriptor 1 at descriptor 2 for a moment."""
    with _construction:
        sys.stdout.flush()
        kept = os.dup(1)
        try:
            os.dup2(2, 1)
            yield
        finally:
            os.dup2(kept, 1)
            os.close(kept)


def solver() -> Any:
    """Return a silent solver."""
    with banner_on_standard_error():
        import highspy

        highs = highspy.Highs()
        highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("random_seed", 1)
    return highs


def passed(highs: Any, model: Model, relaxed: bool = False) -> None:
    """Give a model to the solver."""
    import highspy

    program = highspy.HighsLp()
    program.num_col_, program.num_row_ = model.columns, model.rows
    program.col_cost_ = np.asarray(model.cost, dtype=np.float64)
    program.col_lower_ = np.asarray(model.lower, dtype=np.float64)
    program.col_upper_ = np.asarray(model.upper, dtype=np.float64)
    program.row_lower_ = np.asarray(model.row_lower, dtype=np.float64)
    program.row_upper_ = np.asarray(model.row_upper, dtype=np.float64)
    program.offset_ = model.offset
    program.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    program.a_matrix_.start_ = np.asarray(model.starts, dtype=np.int32)
    program.a_matrix_.index_ = np.asarray(model.index, dtype=np.int32)
    program.a_matrix_.value_ = np.asarray(model.value, dtype=np.float64)
    if not relaxed and any(model.whole):
        kind = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
        program.integrality_ = [kind[whole] for whole in model.whole]
    if highs.passModel(program) == highspy.HighsStatus.kError:
        raise SolverFailed("the solver refused the model")


def minimised(model: Model, effort: Effort, start: Series | None = None, relaxed: bool = False) -> Solution | None:
    """Minimise a model; None when it has no solution.

    Raises
    ------
    SolverFailed
        When the solver ends in any other way; its status is always looked at.
    """
    import highspy

    highs = solver()
    highs.setOptionValue("mip_rel_gap", effort.gap)
    highs.setOptionValue("mip_max_nodes", effort.nodes)
    highs.setOptionValue("time_limit", effort.seconds)
    passed(highs, model, relaxed)
    if start is not None and not relaxed:
        # A start together with presolve makes HiGHS 1.16 forget the constant presolve took out of the objective: it
        # then calls the start itself optimal. Without presolve the start counts for what it costs.
        highs.setOptionValue("presolve", "off")
        first = highspy.HighsSolution()
        first.col_value = start.tolist()
        first.value_valid = True
        highs.setSolution(first)
    highs.run()
    status, info = highs.getModelStatus(), highs.getInfo()
    known = highspy.HighsModelStatus
    if status == known.kInfeasible:
        return None
    feasible = info.primal_solution_status == int(highspy.SolutionStatus.kSolutionStatusFeasible)
    stopped = (known.kOptimal, known.kSolutionLimit, known.kTimeLimit, known.kInterrupt, known.kIterationLimit)
    if status not in stopped or not feasible:
        raise SolverFailed(f"the solver ended with '{highs.modelStatusToString(status)}' and no plan")
    values = np.asarray(highs.getSolution().col_value)
    cost = model.objective(values)
    if abs(cost - float(info.objective_function_value)) > 1e-6 * max(1.0, abs(cost)):
        raise SolverFailed(f"the solver says its plan costs {info.objective_function_value:.6g}, it costs {cost:.6g}")
    whole = not relaxed and any(model.whole)
    duals = np.asarray(highs.getSolution().row_dual) if relaxed else np.zeros(0)
    return Solution(values, cost, float(info.mip_dual_bound) if whole else cost, duals)


class Relaxed:
    """A relaxed model that grows by columns and is solved again from where it stood."""

    def __init__(self, model: Model) -> None:
        self.highs = solver()
        passed(self.highs, model, relaxed=True)

    def add_columns(self, columns: Sequence[tuple[float, Sequence[int], Sequence[float]]]) -> None:
        """Add columns from zero on, each with its cost, rows and coefficients."""
        starts = np.cumsum([0, *(len(rows) for _, rows, _ in columns)])
        self.highs.addCols(
            len(columns),
            np.array([cost for cost, _, _ in columns]),
            np.zeros(len(columns)),
            np.full(len(columns), inf),
            int(starts[-1]),
            starts[:-1].astype(np.int32),
            np.concatenate([np.asarray(rows, dtype=np.int32) for _, rows, _ in columns]),
            np.concatenate([np.asarray(values, dtype=np.float64) for _, _, values in columns]),
        )

    def solved(self) -> Solution | None:
        """Return values, cost and prices; None when nothing fits.

        Raises
        ------
        SolverFailed
            When the solver ends in any other way.
        """
        import highspy

        self.highs.run()
        status = self.highs.getModelStatus()
        for algorithm in AFRESH:  # a warm start now and then ends in a state the solver can't tell
            if status in (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kInfeasible):
                break
            self.highs.clearSolver()
            self.highs.setOptionValue("solver", algorithm)
            self.highs.run()
            status = self.highs.getModelStatus()
        self.highs.setOptionValue("solver", "choose")
        if status == highspy.HighsModelStatus.kInfeasible:
            return None
        if status != highspy.HighsModelStatus.kOptimal:
            raise SolverFailed(f"the solver ended with '{self.highs.modelStatusToString(status)}' and no plan")
        solution = self.highs.getSolution()
        cost = float(self.highs.getInfo().objective_function_value)
        return Solution(np.asarray(solution.col_value), cost, cost, np.asarray(solution.row_dual))


def start_values(choice: Choice, chosen: Sequence[Sequence[int]]) -> Series:
    """Return the values of all columns for a plan given as candidates by bed."""
    values = np.zeros(choice.model.columns)
    terms = choice.terms
    for number, indices in enumerate(chosen):
        columns = choice.beds[number]
        values[columns.lay[list(indices)]] = 1.0
        ledger = chosen_ledger(terms.beds[number], choice.offers[number], indices, terms)
        values[columns.pool], values[columns.short] = ledger.pool, ledger.short
        values[columns.debt], values[columns.bare] = ledger.debt, ledger.bare
    taken = taken_from(choice.offers, chosen, terms)
    for number, (stock, usage) in enumerate(zip(terms.stocks, choice.stocks, strict=True)):
        from_arrival, _ = drawn(number, taken[number], terms)
        values[usage.column] = from_arrival[usage.arrival, usage.week]
        for place, column in enumerate(usage.spoilt):
            used = 0.0
            for week in np.flatnonzero(from_arrival[place]):
                day = terms.stock_days[number][int(week)]
                if day is not None:
                    used += from_arrival[place, week] / stock.kept(stock.arrivals[place], day)
            values[column] = max(0.0, stock.arrivals[place].count - used)
    return values


def elastic(model: Model, prices: Sequence[float], rules: Sequence[str]) -> tuple[Model, list[tuple[RowName, int]]]:
    """Return a copy of a model whose limits may be passed at a price by row, with the column of each limit."""
    loose = Model(
        list(model.cost), list(model.lower), list(model.upper), list(model.whole), model.offset, [0], [], [], [], [], []
    )
    slack: list[tuple[RowName, int]] = []
    for row, name in enumerate(model.names):
        first, last = model.starts[row], model.starts[row + 1]
        index, value = model.index[first:last], model.value[first:last]
        liftable = name.rule in rules and model.row_upper[row] < inf
        if name.rule == "R3" and name.week is not None:
            liftable = False  # what is used in a week comes from arrivals; only arrivals are short
        if liftable:
            column = int(loose.add_columns([prices[row]])[0])
            slack.append((name, column))
            index, value = [*index, column], [*value, -1.0]
        loose.add_row(name, index, value, model.row_lower[row], model.row_upper[row])
    return loose, slack


def lifting_price(name: RowName, terms: PlanTerms) -> float:
    """Return what passing a limit by one unit costs, in grams of nitrogen missed: only what feeds well is worth it.

    A gram of nitrogen more on the bed has to feed a third of a gram; a container has to feed a twentieth of its
    nitrogen; work and water cost what they cost otherwise, threefold. [judgement]
    """
    weights = terms.weights
    area = terms.beds[name.bed].area if name.bed is not None else 1.0
    if name.rule in ("R10", "R11"):
        return 0.33 * weights.short * area
    if name.rule == "R12":
        return 3.0 * weights.short * area
    if name.rule == "R3" and name.stock is not None:
        stock = terms.stocks[name.stock]
        return 0.05 * weights.short * stock.nitrogen * stock.unit.dry_matter + weights.minute * stock.minutes
    return 3.0 * weights.minute if name.rule in ("R16", "R17") else 0.5


def clashing(choice: Choice) -> list[str]:
    """Return which limits clash when nothing fits, each with the smallest amount that would have to give."""
    sizes = [1.0 / max(1.0, abs(upper)) if upper < inf else 1.0 for upper in choice.model.row_upper]
    loose, slack = elastic(choice.model, sizes, sorted({name.rule for name in choice.model.names} - {"R19", "R20"}))
    loose.cost[: choice.model.columns] = [0.0] * choice.model.columns
    solution = minimised(loose, Effort(gap=0.05, nodes=500, seconds=20.0))
    if solution is None:
        return ["no choice of layers fits the limits"]
    sums: dict[tuple[str, str], float] = defaultdict(float)
    for name, column in slack:
        if solution.values[column] > 1e-6:
            where = "all beds" if name.bed is None else choice.terms.beds[name.bed].name
            sums[name.rule, where] += float(solution.values[column])
    return [f"{rule} on {where} is passed by {amount:.3g}" for (rule, where), amount in sorted(sums.items())]


@dataclass(frozen=True, slots=True)
class Bite:
    """A limit that keeps crops short, and how much more of it would help."""

    rule: str
    bed: int | None
    week: int | None
    stock: int | None
    amount: float


def biting(choice: Choice, chosen: Sequence[Sequence[int]]) -> tuple[Bite, ...]:
    """Return the limits worth lifting: where a crop stays short and more of a limit would feed it.

    Each liftable limit may be passed in a relaxed copy of the model at the price of `lifting_price`; what the relaxed
    model takes beyond a limit is what bites, and by how much.
    """
    terms = choice.terms
    short = sum(
        float((ledger.short + ledger.debt).sum()) * bed.area
        for bed, offer, indices in zip(terms.beds, choice.offers, chosen, strict=True)
        for ledger in (chosen_ledger(bed, offer, indices, terms),)
    )
    if short < 1e-3:
        return ()
    prices = [lifting_price(name, terms) for name in choice.model.names]
    loose, slack = elastic(choice.model, prices, LIFTABLE)
    solution = minimised(loose, Effort(seconds=30.0), relaxed=True)
    if solution is None:
        return ()
    found = [
        Bite(name.rule, name.bed, name.week, name.stock, float(solution.values[column]))
        for name, column in slack
        if solution.values[column] > WORTH_LIFTING
    ]
    return tuple(sorted(found, key=lambda bite: -bite.amount))
