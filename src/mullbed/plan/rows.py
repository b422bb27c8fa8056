"""A mixed-integer model as flat arrays: columns with costs and bounds, rows with names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import inf

import numpy as np
from numpy.typing import NDArray

from mullbed.plan.terms import Index, Series

Numbers = Sequence[float] | Series | Index


@dataclass(frozen=True, slots=True)
class RowName:
    """Which rule a row belongs to, and where and when it holds."""

    rule: str
    bed: int | None = None
    week: int | None = None
    stock: int | None = None


@dataclass(slots=True)
class Model:
    """Columns and rows of one model, built a piece at a time; minimised."""

    cost: list[float] = field(default_factory=list)
    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    offset: float = 0.0
    starts: list[int] = field(default_factory=lambda: [0])
    index: list[int] = field(default_factory=list)
    value: list[float] = field(default_factory=list)
    row_lower: list[float] = field(default_factory=list)
    row_upper: list[float] = field(default_factory=list)
    names: list[RowName] = field(default_factory=list)

    @property
    def columns(self) -> int:
        """Number of columns."""
        return len(self.cost)

    @property
    def rows(self) -> int:
        """Number of rows."""
        return len(self.names)

    def add_columns(
        self, cost: Numbers, lower: float = 0.0, upper: float | Numbers = inf, whole: bool = False
    ) -> NDArray[np.int64]:
        """Add columns and return their numbers."""
        first, count = self.columns, len(cost)
        self.cost.extend(float(c) for c in cost)
        self.lower.extend([lower] * count)
        uppers = [float(upper)] * count if isinstance(upper, int | float) else [float(u) for u in upper]
        self.upper.extend(uppers)
        self.whole.extend([whole] * count)
        return np.arange(first, first + count, dtype=np.int64)

    def add_row(self, name: RowName, index: Numbers, value: Numbers, lower: float = -inf, upper: float = inf) -> None:
        """Add one row; coefficients of exactly zero are left out."""
        for column, coefficient in zip(index, value, strict=True):
            if coefficient != 0.0:
                self.index.append(int(column))
                self.value.append(float(coefficient))
        self.starts.append(len(self.index))
        self.row_lower.append(lower)
        self.row_upper.append(upper)
        self.names.append(name)

    def activity(self, values: Series) -> Series:
        """Return the left side of every row at some values."""
        products = np.asarray(self.value) * values[np.asarray(self.index, dtype=np.int64)]
        sums = np.concatenate(([0.0], np.cumsum(products)))
        starts = np.asarray(self.starts)
        return np.asarray(sums[starts[1:]] - sums[starts[:-1]])

    def largest_violation(self, values: Series) -> float:
        """Return by how much the worst row or bound is passed at some values."""
        left = self.activity(values)
        rows = np.maximum(np.asarray(self.row_lower) - left, left - np.asarray(self.row_upper))
        bounds = np.maximum(np.asarray(self.lower) - values, values - np.asarray(self.upper))
        return float(max(rows.max(initial=0.0), bounds.max(initial=0.0)))

    def objective(self, values: Series) -> float:
        """Return the cost of some values."""
        return float(np.dot(np.asarray(self.cost), values) + self.offset)
