"""What is believed of one litter after a few values of it were seen: a factor on its rates, and what lasts beside it.

Values differ from the right prediction for two reasons. One is new each time: bags differ. The other lasts: what the
model leaves out at this litter and place today, it leaves out tomorrow. The first is known from sets where the model
leaves out next to nothing; the rest of the noise is the second. It fades as the litter does.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: Standard deviation of a mean of bags about a right prediction, new each time. [fraction of what was laid] That of
#: litter under a closed canopy, where warmth and wetness are best known; worked out.
BAG_NOISE = 0.05
#: Largest share that may last: something is always new. [1] Judgement.
MOST_LASTING = 0.95
#: Degrees of freedom of the distribution values are held against: heavy enough that a wrong one cannot ruin all.
HEAVY = 4.0
#: Less than this of a litter predicted counts as nothing to be in proportion to. [fraction]
NEXT_TO_NOTHING = 0.02


def lasting_share(noise: float) -> float:
    """Return the share of the squared noise of a value seen that lasts from one value to the next. [1]"""
    return min(MOST_LASTING, max(0.0, 1.0 - (BAG_NOISE / noise) ** 2))


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
        Standard deviation of a value seen about the right prediction, in its unit; what lasts is part of it.
    """
    away = (seen - predicted) / noise
    squared = np.sum(away * _resolved(away, lasting_share(noise)), axis=1)
    belief = -0.5 * (log_factors / log_sd) ** 2 - 0.5 * (HEAVY + seen.size) * np.log1p(squared / HEAVY)
    weights = np.exp(belief - belief.max())
    summed: Array = weights / weights.sum()
    return summed


def carried_on(predicted: Array, seen: Array, rest: Array, noise: float) -> Array:
    """Return what each factor predicts for later values, what lasts beside it carried on; never below zero.

    Parameters
    ----------
    predicted : array, shape (factors, values)
        What each factor predicts for the values seen.
    seen : array, shape (values,)
    rest : array, shape (factors, later values)
        What it predicts for the later ones.
    noise : float
        As in :func:`factor_weights`.
    """
    lasting = lasting_share(noise)
    lasts = lasting * _resolved(seen - predicted, lasting).sum(axis=1)
    fading = np.minimum(1.0, rest / np.maximum(predicted[:, -1:], NEXT_TO_NOTHING))
    later: Array = np.maximum(0.0, rest + lasts[:, None] * fading)
    return later


def learnt_course(
    log_factors: Array, log_sd: float, predicted: Array, seen: Array, rest: Array, noise: float
) -> tuple[Array, Array]:
    """Return the weight of each factor, and what it predicts for later values once the first were seen."""
    weights = factor_weights(log_factors, log_sd, predicted, seen, noise)
    return weights, carried_on(predicted, seen, rest, noise)


def drawn(weights: Array, members: int) -> NDArray[np.int64]:
    """Return which factor each of so many members has: the weights' own quantiles, evenly spaced."""
    at = (np.arange(members) + 0.5) / members
    places: NDArray[np.int64] = np.minimum(weights.size - 1, np.searchsorted(np.cumsum(weights), at))
    return places


def _resolved(away: Array, lasting: float) -> Array:
    """Return rows times the inverse of the correlation of values that share what lasts."""
    values = away.shape[1]
    shared = lasting / (1.0 + (values - 1) * lasting)
    out: Array = (away - shared * away.sum(axis=1, keepdims=True)) / (1.0 - lasting)
    return out
