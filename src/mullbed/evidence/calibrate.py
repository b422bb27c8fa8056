"""Fit the model's numbers to open data in folds: what is held out is predicted without its place's factor.

Sites, studies and sources are dealt to folds as wholes. While fitting, every place has a factor of its own on all
rates, held near 1 by its prior; when predicting it is 1. The numbers start from neutral values, never from the model's.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from mullbed.evidence import lidet
from mullbed.evidence.calibration_targets import Target
from mullbed.evidence.gathering import side_by_side
from mullbed.evidence.least_squares import STEP, Fit, fitted
from mullbed.evidence.litter import MODIFIER
from mullbed.simulate import parameters as par

Array = NDArray[np.float64]

FOLDS = 5


@dataclass(frozen=True, slots=True)
class Free:
    """A number that is fitted: its neutral start, and how far it may wander from it."""

    name: str
    start: float
    log: bool = True
    """Whether its logarithm is fitted."""
    sd: float = 1.0
    """Standard deviation of the weak belief in its start, of the logarithm where that is fitted."""


#: Numbers of the record that open data move ([@mullbed_model] section 4.2, class "fit"), and the factors of two sets.
FREE: tuple[Free, ...] = (
    Free("main_rate", 0.05),
    Free("resistant_rate", 0.002),
    Free("main_surface", 0.7),
    Free("wash_out", 0.02, sd=0.7),
    Free("resistant_efficiency", 0.2, sd=0.7),
    Free("product_rate", 0.001),
    Free("soluble_base", 0.05),
    Free("soluble_slope", 0.1),
    Free("resistant_slope", 1.2, sd=0.5),
    Free("half_effect", 3.0),
    Free("biomass_ratio_shift", 0.0, log=False, sd=4.0),
    Free("soluble_nitrogen_shift", 0.0, log=False, sd=0.1),
)
SET_FACTORS = ("index", "eurodeco")
#: Log-sd of a place's factor while fitting, by what is known of the place; nothing where values are too few for one.
PLACE_LOG_SD = {
    "index": 0.3, "monthly": 0.5, "monthly_canopy": 0.3, "annual": 0.7, "annual_rich": 0.7, "annual_buried": 0.7,
    "field": 0.0, "laboratory": 0.0,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Folded:
    """Predictions of one set, each made by the fit that had not seen its unit."""

    key: str
    targets: tuple[Target, ...]
    predicted: tuple[Array, ...]


@dataclass(frozen=True, slots=True)
class Calibration:
    """Fits of all folds and of all data."""

    values: Array
    """Fitted to all data; numbers of the record first, then the set factors."""
    by_fold: Array
    """Shape (folds, numbers)."""
    sets: tuple[Folded, ...]
    fold_of: dict[str, int]
    """Fold of every unit."""
    cost: float

    @property
    def folds(self) -> int:
        """Number of folds."""
        return int(self.by_fold.shape[0])


#: How much a set weighs, as the number of independent values it counts for.
SET_WEIGHT = {
    "lidet_mass": 80.0, "lidet_mass_weather": 25.0, "lidet_nitrogen": 25.0, "cidet_mass": 50.0, "eurodeco_mass": 40.0,
    "aridec": 110.0, "field_green_mulch": 110.0, "nitrogen_mineralisation": 40.0,
}  # fmt: skip


def record_of(values: Array, free: tuple[Free, ...] = FREE) -> tuple[Array, dict[str, float]]:
    """Return the record and the set factors of fitted values."""
    record = par.middle_record()
    for one, fitted_value in zip(free, values, strict=False):
        moved = one.start * np.exp(fitted_value) if one.log else one.start + fitted_value
        record[par.COLUMN[one.name]] = moved
    factors = {name: float(np.exp(values[len(free) + place])) for place, name in enumerate(SET_FACTORS)}
    return record, factors


def numbers_of(values: Array, free: tuple[Free, ...] = FREE) -> list[float]:
    """Return fitted values as the numbers they stand for, set factors last."""
    record, factors = record_of(values, free)
    return [float(record[par.COLUMN[one.name]]) for one in free] + [factors[name] for name in SET_FACTORS]


def predicted(target: Target, record: Array, factors: dict[str, float], place: float = 0.0) -> Array:
    """Return what the model says for the values of a target; ``place`` is the logarithm of its place's factor."""
    one = target.series
    litters, records = np.array([one.chemistry.row()]), record[None, :]
    rate = np.exp(place)
    if target.factor == "index":  # the series' drive already holds the documented factor
        drive = one.drive.copy()
        drive[:, MODIFIER] *= factors["index"] / lidet.INDEX_FACTOR
        one = replace(one, drive=drive)
    elif target.factor == "eurodeco":
        rate = rate * factors["eurodeco"]
    rates = np.array([rate])
    if target.quantity == "nitrogen at mass":
        at_mass: Array = one.nitrogen_at_seen_mass(records, litters, target.told)[0]
        return at_mass
    left = one.left_at(litters, records, rates)
    found: Array = (left.carbon if target.quantity == "mass" else left.nitrogen)[0, target.told]
    return found


def errors_of(target: Target, found: Array) -> Array:
    """Return predicted less seen; a bound that is kept is no error."""
    error = found - target.seen
    if target.bound == "at most":
        error = np.maximum(0.0, error)
    elif target.bound == "at least":
        error = np.minimum(0.0, error)
    return np.asarray(error, dtype=np.float64)


def fit(used: list[Target], free: tuple[Free, ...] = FREE, start: Array | None = None) -> Fit:
    """Return numbers fitted to targets; factors of places are fitted beside them and dropped."""
    numbers = len(free) + len(SET_FACTORS)
    spread = [PLACE_LOG_SD[target.series.known] for target in used]
    places = {name: at for at, name in enumerate(dict.fromkeys(
        f"{target.key} {target.series.place}" for target, sd in zip(used, spread, strict=True) if sd > 0.0
    ))}  # fmt: skip
    own = [places.get(f"{target.key} {target.series.place}", -1) for target in used]
    place_sd = np.ones(len(places))
    for at, sd in zip(own, spread, strict=True):
        if at >= 0:
            place_sd[at] = sd
    counts = {key: sum(target.seen.size for target in used if target.key == key) for key in {one.key for one in used}}
    weights = [target.weight * np.sqrt(SET_WEIGHT[target.key] / counts[target.key]) for target in used]
    beliefs = np.array([one.sd for one in free] + [0.7] * len(SET_FACTORS))
    rows = np.concatenate([[0], np.cumsum([target.seen.size for target in used])])

    def values_of(at: Array) -> Array:
        record, factors = record_of(at, free)
        where = at[numbers:]

        def work(number: int) -> Array:
            target = used[number]
            place = where[own[number]] if own[number] >= 0 else 0.0
            weighted: Array = weights[number] * errors_of(target, predicted(target, record, factors, place))
            return weighted

        return np.concatenate(side_by_side(work, range(len(used))))

    def residuals(at: Array) -> Array:
        return np.concatenate([values_of(at), at[:numbers] / beliefs, at[numbers:] / place_sd])

    def jacobian(at: Array, there: Array) -> Array:
        count = rows[-1]
        slopes = np.zeros((there.size, at.size))
        for column in range(numbers):
            moved = at.copy()
            moved[column] += STEP
            slopes[:count, column] = (values_of(moved) - there[:count]) / STEP
        moved = at.copy()
        moved[numbers:] += STEP
        by_place = (values_of(moved) - there[:count]) / STEP  # a place moves its own values alone
        for number, place in enumerate(own):
            if place >= 0:
                part = slice(rows[number], rows[number + 1])
                slopes[part, numbers + place] = by_place[part]
        slopes[count : count + numbers, :numbers] = np.diag(1.0 / beliefs)
        slopes[count + numbers :, numbers:] = np.diag(1.0 / place_sd)
        return slopes

    first = np.zeros(numbers + len(places))
    if start is not None:
        first[:numbers] = start[:numbers]
    else:
        first[len(free) + 1] = 0.3
    found = fitted(residuals, first, jacobian=jacobian)
    return Fit(found.values[:numbers], found.cost, found.steps)


def folds_of(used: list[Target], folds: int = FOLDS, seed: int = 20261125) -> dict[str, int]:
    """Return the fold of every unit: shuffled within each kind of data, then dealt in turn."""
    kinds: dict[str, list[str]] = {}
    for target in used:
        kinds.setdefault(target.fold_unit.split()[0], []).append(target.fold_unit)
    chance = np.random.default_rng(seed)
    dealt: dict[str, int] = {}
    for kind in sorted(kinds):
        units = sorted(set(kinds[kind]))
        for place, which in enumerate(chance.permutation(len(units))):
            dealt[units[which]] = place % folds
    return dealt


def calibrate(
    used: list[Target],
    *,
    folds: int = FOLDS,
    free: tuple[Free, ...] = FREE,
    progress: Callable[[str], None] = lambda sentence: None,
) -> Calibration:
    """Return the fit to all targets, the fits of every fold, and what each fold says of what it had not seen."""
    progress("Fitting to all data ...")
    whole = fit(used, free)
    dealt = folds_of(used, folds)
    held: dict[int, Array] = {}
    by_fold = []
    for fold in range(folds):
        progress(f"Fitting without fold {fold + 1} of {folds} ...")
        kept = [target for target in used if dealt[target.fold_unit] != fold]
        found = fit(kept, free)
        by_fold.append(found.values)
        record, factors = record_of(found.values, free)
        for number, target in enumerate(used):
            if dealt[target.fold_unit] == fold:
                held[number] = predicted(target, record, factors)
    keys = dict.fromkeys(target.key for target in used)
    sets = tuple(
        Folded(
            key, tuple(target for target in used if target.key == key),
            tuple(held[number] for number, target in enumerate(used) if target.key == key),
        )
        for key in keys
    )  # fmt: skip
    return Calibration(whole.values, np.array(by_fold), sets, dealt, whole.cost)
