"""Errors, coverage and the ranked probability score of predicted against seen values."""

from __future__ import annotations

from math import erf, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.validation import Comparison, GroupScore, Score

Array = NDArray[np.float64]

#: Fewest points of which a correlation is told.
FEWEST = 3


def score(comparison: Comparison) -> Score:
    """Return the score of all points of a set, and the mean and median error over its groups."""
    scored = score_of(
        comparison.seen, comparison.predicted, comparison.members, comparison.error, bounds=comparison.counts_bounds
    )
    further = dict(comparison.further)
    within = _by_group(comparison)
    if len(within) > 1:
        errors = np.array([np.sqrt(np.mean(comparison.error[places] ** 2)) for places in within.values()])
        word = comparison.grouped_by
        further[f"rmse_mean_{word}"] = float(np.mean(errors))
        further[f"rmse_median_{word}"] = float(np.median(errors))
        further[f"bias_mean_{word}"] = float(np.mean([comparison.error[places].mean() for places in within.values()]))
        further[f"n_{word}"] = float(len(within))
    return Score(
        scored.n,
        scored.rmse,
        scored.bias,
        scored.r2,
        scored.efficiency,
        scored.coverage80,
        scored.coverage90,
        scored.crps,
        further,
    )


def group_scores(comparison: Comparison) -> tuple[GroupScore, ...]:
    """Return the score of each group, in the order of the alphabet."""
    return tuple(
        GroupScore(
            group,
            score_of(
                comparison.seen[places],
                comparison.predicted[places],
                None if comparison.members is None else comparison.members[places],
                comparison.error[places],
                bounds=comparison.counts_bounds,
            ),
        )
        for group, places in sorted(_by_group(comparison).items())
    )


def score_of(seen: Array, predicted: Array, members: Array | None, error: Array, *, bounds: bool = False) -> Score:
    """Return the score of points; members where given have shape (points, members)."""
    if seen.size == 0:
        return Score(0, None, None, None, None, None, None, None)
    efficiency = None
    spread = float(np.sum((seen - seen.mean()) ** 2))
    if seen.size >= FEWEST and spread > 0.0:
        efficiency = 1.0 - float(np.sum(error**2)) / spread
    held80 = held90 = ranked = None
    if members is not None:
        held80, held90 = (_coverage(seen, members, share, error if bounds else None) for share in (0.8, 0.9))
        ranked = float(np.mean(ranked_probability(seen, members)))
    return Score(
        int(seen.size),
        float(np.sqrt(np.mean(error**2))),
        float(np.mean(error)),
        squared_correlation(seen, predicted),
        efficiency,
        held80,
        held90,
        ranked,
    )


def squared_correlation(seen: Array, predicted: Array) -> float | None:
    """Return the squared correlation, or None where either does not vary or points are few."""
    if seen.size < FEWEST or np.ptp(seen) <= 0.0 or np.ptp(predicted) <= 1e-12:
        return None
    return float(np.corrcoef(seen, predicted)[0, 1] ** 2)


def _coverage(seen: Array, members: Array, share: float, errors: Array | None) -> float:
    low, high = np.quantile(members, [0.5 - share / 2.0, 0.5 + share / 2.0], axis=1)
    within = (seen >= low) & (seen <= high)
    if errors is not None:  # a bound that is kept is not missed
        within |= errors == 0.0
    return float(np.mean(within))


def ranked_probability(seen: Array, members: Array) -> Array:
    """Return the continuous ranked probability score of each point, shape (points,).

    Mean distance of the members to the value seen, less half their mean distance to each other, every pair of
    different members counted (Gneiting and Raftery 2007, eq. 21, with the divisor for a finite ensemble).
    """
    count = members.shape[1]
    ordered = np.sort(members, axis=1)
    weights = 2.0 * np.arange(1, count + 1) - count - 1.0
    apart = ordered @ weights / (count * (count - 1.0))
    scored: Array = np.mean(np.abs(members - seen[:, None]), axis=1) - apart
    return scored


def ranked_probability_normal(error: Array, spread: Array) -> Array:
    """Return the ranked probability score of a normal prediction (Gneiting and Raftery 2007, eq. 20)."""
    away = error / spread
    below = 0.5 * (1.0 + np.array([erf(one / sqrt(2.0)) for one in away]))
    density = np.exp(-0.5 * away**2) / sqrt(2.0 * pi)
    scored: Array = spread * (away * (2.0 * below - 1.0) + 2.0 * density - 1.0 / sqrt(pi))
    return scored


def _by_group(comparison: Comparison) -> dict[str, NDArray[np.int64]]:
    names = np.array(comparison.groups)
    return {str(group): np.flatnonzero(names == group) for group in dict.fromkeys(comparison.groups)}
