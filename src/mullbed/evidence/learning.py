"""How much the first two values seen of a litter help to predict the rest.

The belief is updated by a function handed in, so that the same update that a bed gets is judged here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.validation import Comparison
from mullbed.evidence.doubt import Ensemble
from mullbed.evidence.gathering import Points, joined, side_by_side
from mullbed.evidence.series import LitterSeries
from mullbed.reference.place_doubt import doubts

Array = NDArray[np.float64]

#: Values seen before the rest is predicted.
SEEN_FIRST = 2
#: The grid of factors: how many, and how many standard deviations it reaches either way.
FACTORS, REACH = 41, 3.0

Update = Callable[[Array, float, Array, Array, Array, float], tuple[Array, Array]]
"""Log factors, their prior log-sd, predicted (factors, values), seen, predicted later (factors, later values), noise ->
weights of the factors, predicted later with what was learnt beside the factor."""
Draw = Callable[[Array, int], NDArray[np.int64]]
"""Weights, members -> factor of each member."""


@dataclass(frozen=True, slots=True)
class _Learnt:
    after: Points
    without: Array


def compare_learning(series: list[LitterSeries], ensemble: Ensemble, update: Update, draw: Draw) -> Comparison:
    """Return mass left after the second value seen, predicted with the factor those two values suggest.

    ``ratio`` is the error then over the error of the same points with the factor left at 1.
    """
    asked = [one for one in series if one.seen.size > SEEN_FIRST]
    found = side_by_side(lambda one: _one_series(one, ensemble, update, draw), asked)
    known = [one.known for one in asked for _ in one.seen[SEEN_FIRST:]]
    compared = joined(
        "learning",
        "Mass left, predicted after two values of the same litter were seen",
        "set",
        [one.after for one in found],
        lambda members: ensemble.noisy_rows(members, known, "learning"),
    )
    if found:
        without = np.concatenate([one.without for one in found]) - compared.seen
        compared.further["rmse_without"] = float(np.sqrt(np.mean(without**2)))
        compared.further["ratio"] = float(np.sqrt(np.mean(compared.error**2) / np.mean(without**2)))
        for name in dict.fromkeys(compared.groups):
            own = np.array(compared.groups) == name
            share = np.mean(compared.error[own] ** 2) / np.mean(without[own] ** 2)
            compared.further[f"ratio_{name}"] = float(np.sqrt(share))
    return compared


def _one_series(one: LitterSeries, ensemble: Ensemble, update: Update, draw: Draw) -> _Learnt:
    doubt = doubts()[one.known]
    log_sd = float(np.hypot(doubt.place_log_sd, doubt.material_log_sd))
    logs = np.linspace(-REACH * log_sd, REACH * log_sd, FACTORS)
    middle = np.tile(ensemble.records[0], (FACTORS, 1))
    litters = np.tile(one.chemistry.row(), (FACTORS, 1))
    left = one.left_at(litters, middle, one.factor * np.exp(logs)).carbon
    first, rest = slice(0, SEEN_FIRST), slice(SEEN_FIRST, None)
    weights, later = update(logs, log_sd, left[:, first], one.seen[first], left[:, rest], doubt.noise)
    found = np.concatenate([(weights @ later)[None, :], later[draw(weights, ensemble.count)]])
    name = one.place.split()[0]
    return _Learnt(Points(name, one.days[rest].astype(float), one.seen[rest], found, {}), left[FACTORS // 2, rest])
