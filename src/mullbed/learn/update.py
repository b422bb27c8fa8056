"""What is believed of a place's factor on all rates after a few values were seen."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def factor_weights(log_factors: Array, log_sd: float, predicted: Array, seen: Array, noise: float) -> Array:
    """Return the weight of each factor of a grid: prior belief times how likely the values seen are under it.

    Parameters
    ----------
    log_factors : array, shape (factors,)
        Logarithms of the factors, evenly spaced.
    log_sd : float
        Standard deviation of the logarithm believed before. [1]
    predicted : array, shape (factors, values)
        What each factor predicts for the values seen.
    seen : array, shape (values,)
    noise : float
        Standard deviation of a value seen about the right prediction, in its unit.
    """
    belief = -0.5 * (log_factors / log_sd) ** 2 - 0.5 * np.sum(((predicted - seen) / noise) ** 2, axis=1)
    weights = np.exp(belief - belief.max())
    summed: Array = weights / weights.sum()
    return summed


def expected(weights: Array, predicted: Array) -> Array:
    """Return the mean prediction under the weights, shape (values,); predicted has shape (factors, values)."""
    mean: Array = weights @ predicted
    return mean


def drawn(weights: Array, members: int) -> NDArray[np.int64]:
    """Return which factor each of so many members has: the weights' own quantiles, evenly spaced."""
    at = (np.arange(members) + 0.5) / members
    places: NDArray[np.int64] = np.minimum(weights.size - 1, np.searchsorted(np.cumsum(weights), at))
    return places
