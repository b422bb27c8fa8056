"""Hold past forecasts against what came, and learn how much wider the next bands should be.

Each entry is held against the last forecast made before it. The forecast of a reading is the band together with the
reading's own error and what a reading leaves out, the same as learning takes. How much wider the band alone should be
is learnt on a grid: 1 is believed at first, each entry says how likely it is under each factor, and any may be a slip.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import erf, exp, log, sqrt

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.honesty import Came, ForecastCheck, KeptForecast, KindCheck
from mullbed.domain.observation import Observation, as_one_set, observable
from mullbed.learn.likelihood import COMPANY_DAYS, NITRATE_SHARE, SIGHTS, STRIP_DENSITY

Array = NDArray[np.float64]

#: Which series of a forecast each thing is held against, and what turns the series' unit into the reading's.
SERIES: dict[str, tuple[str, float]] = {
    "thickness by finger": ("thickness", 1.0),
    "thickness by ruler": ("thickness", 1.0),
    "squeeze": ("moisture", 1.0),
    "layer temperature": ("layer_temperature", 1.0),
    "soil temperature": ("soil_temperature", 1.0),
    "nitrate-N": ("mineral_nitrogen", NITRATE_SHARE / (0.25 * STRIP_DENSITY) * 1000.0),
    "cover": ("cover", 1.0),
}
NINETIETH = 1.2815515655446004
#: What is believed of the factor before: log-sd about 1. Judgement: bands are right within a third or so.
WIDENING_LOG_SD = 0.35
#: Factors that are tried.
FACTORS = np.exp(np.linspace(log(0.4), log(5.0), 161))
#: Bands are widened from this chance of being too narrow, narrowed only from so many entries and so sure; judgement:
#: a band too narrow does more harm than one too wide.
WIDEN_FROM, NARROW_FROM, NARROW_ENTRIES, NARROWEST = 0.8, 0.97, 30, 0.8


@dataclass(frozen=True, slots=True)
class _Reading:
    """One entry in its own unit, and the band it is held against."""

    observation: Observation
    kept: KeptForecast
    low: float
    mid: float
    high: float
    error: float
    """Standard deviation of a reading about the state. [unit]"""
    company: int

    def bounds(self) -> tuple[float, float]:
        """Return what a word stands for; a number is a point."""
        observation = self.observation
        if observation.word is None:
            value = float(observation.value or 0.0)
            return value, value
        steps = (-np.inf, *SIGHTS[observation.what].steps, np.inf)
        number = observable(observation.what).words.index(observation.word)
        return float(steps[number]), float(steps[number + 1])

    def spread(self, above: bool, factor: float | None = None) -> float:
        """Return the standard deviation of a reading beside the middle, as forecast or under a factor. [unit]"""
        side = (self.high - self.mid) if above else (self.mid - self.low)
        times = 1.0 if factor is None else factor / max(1e-3, self.kept.widening)
        return float(np.hypot(times * side / NINETIETH, self.error))

    def below(self, value: float, factor: float | None = None) -> float:
        """Return the share of the forecast below a value, as forecast or with bands under a factor. [1]"""
        if not np.isfinite(value):
            return 0.0 if value < 0 else 1.0
        away = (value - self.mid) / self.spread(value >= self.mid, factor)
        return 0.5 * (1.0 + erf(away / sqrt(2.0)))

    def chance(self, factor: float) -> float:
        """Return how likely the entry is with the members' band so wide: of a word, or per spread of a number."""
        under, over = self.bounds()
        if over > under:
            return max(0.0, self.below(over, factor) - self.below(under, factor))
        above = under >= self.mid
        usual, now = self.spread(above), self.spread(above, factor)
        return usual / now * exp(-0.5 * ((under - self.mid) / now) ** 2) / sqrt(2.0 * np.pi)


def check_forecasts(kept: Sequence[KeptForecast], observations: Iterable[Observation]) -> ForecastCheck:
    """Return how forecasts did against what was seen after they were made.

    Parameters
    ----------
    kept : sequence of KeptForecast
        All that were made, of any bed, in any order.
    observations : iterable of Observation
        In any order; what no forecast tells of is left out.
    """
    readings: list[_Reading] = []
    without = 0
    every = [one for one in as_one_set(observations) if one.what in SERIES]
    for one in every:
        reading = _reading(one, kept, every)
        if reading is None:
            without += 1
        else:
            readings.append(reading)
    came = tuple(_came(one) for one in readings)
    weights = _belief(readings)
    reached = np.cumsum(weights)
    places = np.minimum(FACTORS.size - 1, np.searchsorted(reached, np.array([0.1, 0.5, 0.9])))
    low, mid, high = (float(one) for one in FACTORS[places])
    too_narrow = float(weights[FACTORS > 1.0].sum() + 0.5 * weights[FACTORS == 1.0].sum()) if readings else 0.5
    return ForecastCheck(
        came, _kinds(came), _widening(mid, too_narrow, len(readings)), low, high, too_narrow, _leaning(came), without
    )


def _widening(middle: float, too_narrow: float, count: int) -> float:
    """Return the factor for the next bands."""
    if count and too_narrow >= WIDEN_FROM:
        return max(1.0, middle)
    if count >= NARROW_ENTRIES and too_narrow <= 1.0 - NARROW_FROM:
        return max(NARROWEST, middle)
    return 1.0


def _reading(one: Observation, kept: Sequence[KeptForecast], every: Sequence[Observation]) -> _Reading | None:
    """Return an entry with the band last forecast for it before its day; None where there is none."""
    name, turn = SERIES[one.what]
    earlier = [each for each in kept if each.bed == one.bed and each.made_on < one.day]
    for each in sorted(earlier, key=lambda each: each.made_on, reverse=True):
        band = each.at(name, one.day)
        if band is None:
            continue
        low, mid, high = (turn * value for value in band)
        sight = SIGHTS[one.what]
        own = sight.feel if one.standard_error is None else one.standard_error
        error = float(np.sqrt(own**2 + sight.spread**2 + (sight.spread_share * mid) ** 2))
        company = sum(
            other.what == one.what and other.bed == one.bed and abs((other.day - one.day).days) <= COMPANY_DAYS
            for other in every
        )
        return _Reading(one, each, low, mid, high, max(1e-6, error), company)
    return None


def _came(one: _Reading) -> Came:
    under, over = one.bounds()
    place = 0.5 * (one.below(under) + one.below(over))
    seen = under if over == under else _inside(under, over)
    ends = [one.mid + side * NINETIETH * one.spread(side > 0.0) for side in (-1.0, 1.0)]
    return Came(one.observation, one.kept.made_on, ends[0], one.mid, ends[1], place, one.high - one.low, seen)


def _inside(under: float, over: float) -> float:
    """Return a value that stands for a word: the middle of its bounds, or a little beyond the only one."""
    if not np.isfinite(under):
        return over - 0.1
    return under + 0.1 if not np.isfinite(over) else 0.5 * (under + over)


def _belief(readings: Sequence[_Reading]) -> Array:
    """Return the weight of each factor."""
    logs = -0.5 * (np.log(FACTORS) / WIDENING_LOG_SD) ** 2
    for one in readings:
        slip = SIGHTS[one.observation.what].slip
        anywhere = 0.25 if one.observation.word is not None else 0.02
        chances = np.array([one.chance(float(factor)) for factor in FACTORS])
        logs += np.log((1.0 - slip) * chances + slip * anywhere) / one.company
    weights = np.exp(logs - logs.max())
    shares: Array = weights / weights.sum()
    return shares


def _kinds(came: Sequence[Came]) -> tuple[KindCheck, ...]:
    found = []
    for what in dict.fromkeys(one.observation.what for one in came):
        own = [one for one in came if one.observation.what == what]
        unit = observable(what).unit or "1"
        bias = float(np.mean([one.seen - one.mid for one in own]))
        found.append(
            KindCheck(what, unit, len(own), sum(one.inside for one in own), bias,
                      float(np.mean([one.width for one in own])))
        )  # fmt: skip
    return tuple(found)


def _leaning(came: Sequence[Came]) -> float:
    """Return the mean place of what came in standard deviations from the middle. [1]"""
    from statistics import NormalDist

    if not came:
        return 0.0
    normal = NormalDist()
    return float(np.mean([normal.inv_cdf(min(0.999, max(0.001, one.place))) for one in came]))
