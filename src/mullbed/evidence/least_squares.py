"""Fit numbers to residuals by damped least squares (Levenberg 1944; Marquardt 1963), derivatives by differences."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

STEP = 1e-4
MOST_STEPS, ENOUGH = 25, 1e-5


@dataclass(frozen=True, slots=True)
class Fit:
    """What was found."""

    values: Array
    cost: float
    """Sum of squared residuals."""
    steps: int


def fitted(
    residuals: Callable[[Array], Array],
    start: Array,
    *,
    jacobian: Callable[[Array, Array], Array] | None = None,
    most_steps: int = MOST_STEPS,
) -> Fit:
    """Return the numbers whose residuals are smallest, found from a start.

    Parameters
    ----------
    residuals : function
        Numbers to residuals; they must not be larger for want of a number.
    start : array
    jacobian : function, optional
        Numbers and their residuals to derivatives, shape (residuals, numbers); differences where not given.
    most_steps : int
    """
    values = start.astype(float).copy()
    found = residuals(values)
    cost, damping = float(found @ found), 1e-2
    derive = jacobian if jacobian is not None else (lambda at, there: differences(residuals, at, there))
    for step in range(most_steps):
        slopes = derive(values, found)
        square, pull = slopes.T @ slopes, slopes.T @ found
        scale = np.diag(square) + 1e-9
        while damping < 1e7:
            move = np.linalg.solve(square + damping * np.diag(scale), -pull)
            tried = residuals(values + move)
            tried_cost = float(tried @ tried)
            if np.isfinite(tried_cost) and tried_cost < cost:
                break
            damping *= 4.0
        else:
            return Fit(values, cost, step)
        gain = (cost - tried_cost) / cost
        values, found, cost = values + move, tried, tried_cost
        damping = max(1e-6, damping / 6.0)
        if gain < ENOUGH:
            return Fit(values, cost, step + 1)
    return Fit(values, cost, most_steps)


def differences(residuals: Callable[[Array], Array], values: Array, there: Array) -> Array:
    """Return derivatives of residuals by forward differences, shape (residuals, numbers)."""
    slopes = np.empty((there.size, values.size))
    for column in range(values.size):
        moved = values.copy()
        moved[column] += STEP
        slopes[:, column] = (residuals(moved) - there) / STEP
    return slopes
