"""Least squares with dummy columns, and the same with a random plot effect: all that block analyses need.

For pairs this is the paired t test, for blocks the analysis of variance, for a square its rows and columns; a plot
that was lost is simply a missing row. numpy does the algebra.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Fit:
    """A fitted linear model."""

    coefficients: Floats
    """(columns,)"""
    spread: Floats
    """Unscaled covariance of the coefficients, (columns, columns)."""
    variance: float
    """Mean square of the error."""
    degrees: int
    """Degrees of freedom of the error."""
    residual_sum: float
    rank: int

    def contrast(self, weights: Floats) -> tuple[float, float]:
        """Return value and standard error of a weighted sum of coefficients."""
        variance = self.variance * float(weights @ self.spread @ weights)
        return float(weights @ self.coefficients), math.sqrt(max(0.0, variance))


def dummies(labels: Sequence[object], levels: Sequence[object], *, drop_first: bool) -> Floats:
    """Return one 0/1 column per level, (rows, levels); the first is left out where a constant stands for it."""
    shown = levels[1:] if drop_first else levels
    return np.array([[1.0 if label == level else 0.0 for level in shown] for label in labels]).reshape(
        len(labels), len(shown)
    )


def least_squares(design: Floats, values: Floats) -> Fit:
    """Fit by least squares; columns that say the same twice share their coefficient.

    Raises
    ------
    ValueError
        When nothing is left to judge the error by.
    """
    rank = int(np.linalg.matrix_rank(design))
    degrees = len(values) - rank
    if degrees < 1:
        raise ValueError("no degrees of freedom are left for the error")
    inverse = np.linalg.pinv(design)
    coefficients = inverse @ values
    residual = values - design @ coefficients
    residual_sum = float(residual @ residual)
    return Fit(coefficients, inverse @ inverse.T, residual_sum / degrees, degrees, residual_sum, rank)


def with_plot_effect(design: Floats, values: Floats, plots: Sequence[object]) -> Fit:
    """Fit with a random effect of each plot by restricted maximum likelihood.

    ``y = X b + u[plot] + e`` with variance ratio ``g = var(u) / var(e)``; the likelihood is profiled over g, so that
    one number is searched for. ``degrees`` is that of the residual and too many for contrasts between plots: the
    caller judges those by the degrees between plots.

    Source
    ------
    Patterson and Thompson 1971, Biometrika 58:545-554 (from memory); checked against a statistics library.
    """
    order = {plot: number for number, plot in enumerate(dict.fromkeys(plots))}
    belongs = np.zeros((len(values), len(order)))
    for row, plot in enumerate(plots):
        belongs[row, order[plot]] = 1.0
    same = belongs @ belongs.T
    columns = design[:, _independent(design)]
    degrees = len(values) - columns.shape[1]
    if degrees < 1:
        raise ValueError("no degrees of freedom are left for the error")

    def weighed(ratio: float) -> tuple[float, Floats, Floats, float]:
        covariance = np.eye(len(values)) + ratio * same
        solved = np.linalg.solve(covariance, np.column_stack([columns, values]))
        information = columns.T @ solved[:, :-1]
        coefficients = np.linalg.solve(information, columns.T @ solved[:, -1])
        residual = values - columns @ coefficients
        rest = float(residual @ np.linalg.solve(covariance, residual))
        criterion = (
            np.linalg.slogdet(covariance)[1]
            + np.linalg.slogdet(information)[1]
            + degrees * math.log(max(rest, 1e-300) / degrees)
        )
        return float(criterion), coefficients, np.linalg.inv(information), rest

    logs = np.linspace(-12.0, 12.0, 49)
    ratios = [0.0, *(math.exp(value) for value in logs)]
    best = min(range(len(ratios)), key=lambda index: weighed(ratios[index])[0])
    if best == 0:
        ratio = 0.0
    else:
        low, high = logs[max(0, best - 2)], logs[min(len(logs) - 1, best)]
        ratio = math.exp(_lowest(lambda value: weighed(math.exp(value))[0], float(low), float(high)))
    _, coefficients, covariance, rest = weighed(ratio)
    kept = _independent(design)
    full = np.zeros(design.shape[1])
    full[kept] = coefficients
    spread = np.zeros((design.shape[1], design.shape[1]))
    spread[np.ix_(kept, kept)] = covariance
    return Fit(full, spread, rest / degrees, degrees, rest, columns.shape[1])


def _independent(design: Floats) -> list[int]:
    """Return the columns that add something to those before them."""
    kept: list[int] = []
    for column in range(design.shape[1]):
        if np.linalg.matrix_rank(design[:, [*kept, column]]) > len(kept):
            kept.append(column)
    return kept


def _lowest(function: Callable[[float], float], low: float, high: float) -> float:
    """Return where a function with one valley is lowest, by golden sections."""
    golden = (math.sqrt(5.0) - 1.0) / 2.0
    for _ in range(60):
        left, right = high - golden * (high - low), low + golden * (high - low)
        if function(left) < function(right):
            high = right
        else:
            low = left
    return 0.5 * (low + high)


def ratio_chance(smaller: Fit, larger: Fit) -> tuple[float, float]:
    """Return F and its p value for the columns that the larger model has and the smaller has not."""
    from scipy.special import fdtrc

    added = larger.rank - smaller.rank
    if added < 1 or larger.variance <= 0.0:
        return math.nan, math.nan
    ratio = max(0.0, smaller.residual_sum - larger.residual_sum) / added / larger.variance
    return ratio, float(fdtrc(added, larger.degrees, ratio))
