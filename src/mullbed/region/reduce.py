"""Many runs to few numbers, the same whatever the order of work: quantiles of one garden, and of gardens together.

Of a garden nineteen values are kept, with 5, 10, ... 95 % of its runs below. Several gardens together are the pooled
nineteen values of each, every one of equal weight: exact where the gardens are alike, and else right to within one
twentieth of a garden's runs. Nothing is added up in the order in which work ends, so no sum depends on it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.region import LEVELS

Array = NDArray[np.float64]

_TENTH, _HALF, _NINE_TENTHS = (LEVELS.index(level) for level in (0.1, 0.5, 0.9))


def ranked(values: Array) -> NDArray[np.float32]:
    """Return the nineteen kept values of runs along the last axis, in rising order."""
    ordered = np.sort(values, axis=-1)
    places = np.asarray(LEVELS) * (values.shape[-1] - 1)
    below = np.floor(places).astype(np.int64)
    above = np.minimum(below + 1, values.shape[-1] - 1)
    share = places - below
    found: NDArray[np.float32] = (ordered[..., below] * (1.0 - share) + ordered[..., above] * share).astype(np.float32)
    return found


def garden_figures(kept: NDArray[np.float32], seasons: Array) -> Array:
    """Return mean, 10th, 50th and 90th percentile of each garden on a new last axis.

    Parameters
    ----------
    kept : array
        Nineteen values on the last axis.
    seasons : array
        Means by season on the last axis.
    """
    parts = (seasons.mean(axis=-1), kept[..., _TENTH], kept[..., _HALF], kept[..., _NINE_TENTHS])
    return np.stack(parts, axis=-1).astype(np.float64)


def pooled_figures(kept: NDArray[np.float32], seasons: Array) -> Array:
    """Return mean, 10th, 50th and 90th percentile of gardens together; the first axis is the gardens'."""
    mean = seasons.mean(axis=-1).mean(axis=0)
    pool = np.moveaxis(kept, 0, -1)
    together = np.sort(pool.reshape(*pool.shape[:-2], -1), axis=-1)
    # Of n values in order the one with rank r has r / (n + 1) below: a garden alone gives back its own tenth and half.
    ranks = np.array([0.1, 0.5, 0.9]) * (together.shape[-1] + 1) - 1.0
    below = np.clip(np.floor(ranks).astype(np.int64), 0, together.shape[-1] - 1)
    above = np.minimum(below + 1, together.shape[-1] - 1)
    share = ranks - below
    found = together[..., below] * (1.0 - share) + together[..., above] * share
    return np.concatenate([mean[..., None], found], axis=-1).astype(np.float64)
