"""Simple models fitted to the same data in the same folds, so that every score has its yardstick.

A mean curve; one pool whose rate follows climate and quality; two pools whose parting follows quality. Nothing of
the daily model is in them but the values seen.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mullbed.evidence.calibration_targets import Target
from mullbed.evidence.least_squares import fitted
from mullbed.evidence.litter import MODIFIER

Array = NDArray[np.float64]

#: Weak belief that keeps a number of a simple model from running off, as a standard deviation.
WEAK = 5.0


@dataclass(frozen=True, slots=True)
class ReferenceModel:
    """A simple model of mass left."""

    name: str
    numbers: Callable[[int], int]
    """How many numbers it has for so many climate columns."""
    left: Callable[[Array, Array, Array, Array], Array]
    """Numbers, years, climate (values, columns), quality -> mass left."""


def _mean_curve(at: Array, years: Array, climate: Array, quality: Array) -> Array:
    curve: Array = np.exp(-np.exp(at[0]) * years)
    return curve


def _one_pool(at: Array, years: Array, climate: Array, quality: Array) -> Array:
    rate = np.exp(np.clip(at[0] + at[1] * quality + climate @ at[2:], -9.0, 6.0))
    curve: Array = np.exp(-rate * years)
    return curve


def _two_pools(at: Array, years: Array, climate: Array, quality: Array) -> Array:
    share = 1.0 / (1.0 + np.exp(-(at[0] + at[1] * quality)))
    by_climate = np.exp(np.clip(climate @ at[4:], -6.0, 6.0))
    fast, slow = np.exp(np.clip(at[2], -6.0, 5.0)), np.exp(np.clip(at[3], -9.0, 2.0))
    curve: Array = share * np.exp(-fast * by_climate * years) + (1.0 - share) * np.exp(-slow * by_climate * years)
    return curve


MODELS = (
    ReferenceModel("mean curve", lambda columns: 1, _mean_curve),
    ReferenceModel("one pool, climate and quality", lambda columns: 2 + columns, _one_pool),
    ReferenceModel("two pools, climate and quality", lambda columns: 4 + columns, _two_pools),
)


def held_out(
    model: ReferenceModel, targets: Sequence[Target], fold_of: dict[str, int], folds: int
) -> tuple[list[Array], list[Array]]:
    """Return what a simple model says of every target, fitted without the target's fold, and its residual spread."""
    years, climate, quality = _features(targets)
    seen = np.concatenate([one.seen for one in targets])
    fold = np.concatenate([np.full(one.seen.size, fold_of[one.fold_unit]) for one in targets])
    found, spread = np.empty(seen.size), np.empty(seen.size)
    count = model.numbers(climate.shape[1])
    start = np.zeros(count)
    if model.left is _two_pools:
        start[2], start[3] = 1.0, -1.5
    for one in range(folds):
        kept, out = fold != one, fold == one
        if not out.any():
            continue

        def residuals(at: Array, kept: NDArray[np.bool_] = kept) -> Array:
            said = model.left(at, years[kept], climate[kept], quality[kept])
            return np.concatenate([said - seen[kept], (at - start) / WEAK / np.sqrt(kept.sum())])

        values = fitted(residuals, start, most_steps=60).values
        found[out] = model.left(values, years[out], climate[out], quality[out])
        spread[out] = np.std(model.left(values, years[kept], climate[kept], quality[kept]) - seen[kept])
    ends = np.cumsum([one.seen.size for one in targets])[:-1]
    return list(np.split(found, ends)), list(np.split(spread, ends))


def _features(targets: Sequence[Target]) -> tuple[Array, Array, Array]:
    """Return years, climate columns and quality of every value, the last two centred and scaled."""
    years = np.concatenate([one.series.days[one.told] / 365.25 for one in targets])
    sizes = [one.seen.size for one in targets]
    if all(one.factor == "index" for one in targets):
        index = [np.log(float(one.series.drive[:, MODIFIER].mean())) for one in targets]
        columns = np.repeat(np.array(index), sizes)[:, None]
    else:
        warm = [one.series.drivers["mean warmth, °C"] / 10.0 for one in targets]
        wet = [np.log(one.series.drivers["rain, mm a year"] / 1000.0) for one in targets]
        columns = np.repeat(np.array([warm, wet]).T, sizes, axis=0)
    chemistry = [one.series.chemistry for one in targets]
    measured = [np.log(max(0.5, one.lignin) / one.nitrogen) for one in chemistry]
    quality = np.repeat(np.array(measured), sizes)
    return years, _centred(columns), _centred(quality)


def _centred(values: Array) -> Array:
    spread = values.std(axis=0)
    scaled: Array = (values - values.mean(axis=0)) / np.where(spread > 1e-9, spread, 1.0)
    return scaled
