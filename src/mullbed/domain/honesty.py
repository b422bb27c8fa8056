"""How well past forecasts did: what was forecast, what came, and whether bands were as wide as they should be."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from mullbed.domain.forecast import Band, BedForecast
from mullbed.domain.observation import Observation

#: Series that cannot fall below zero, and those that cannot pass one either.
NEVER_NEGATIVE = frozenset(
    {"thickness", "moisture", "mineral_nitrogen", "ammonia_lost", "leached", "cover", "soil_nitrogen"}
)
AT_MOST_ONE = frozenset({"moisture", "cover"})


@dataclass(frozen=True, slots=True)
class KeptForecast:
    """A forecast as it was made on a day, kept to be held against what came."""

    bed: str
    made_on: date
    first_day: date
    series: dict[str, Band]
    """By name as in a bed's forecast, each by day from the first."""
    widening: float = 1.0
    """How many times as wide as the members alone the bands were made. [1]"""

    def at(self, name: str, day: date) -> tuple[float, float, float] | None:
        """Return 10th, 50th and 90th percentile on a day; None where nothing was forecast."""
        band, number = self.series.get(name), (day - self.first_day).days
        if band is None or not 0 <= number < band.p50.size:
            return None
        low, middle, high = float(band.p10[number]), float(band.p50[number]), float(band.p90[number])
        return (low, middle, high) if np.isfinite([low, middle, high]).all() else None


def kept(forecast: BedForecast, made_on: date, widening: float = 1.0) -> KeptForecast:
    """Return a forecast as it is kept; its bands were made so many times as wide as the members alone."""
    return KeptForecast(forecast.bed, made_on, forecast.first_day, dict(forecast.series), widening)


@dataclass(frozen=True, slots=True)
class Came:
    """One entry against the last forecast made before it."""

    observation: Observation
    made_on: date
    low: float
    """10th percentile of what was to be read, the reading's own error within. [unit of the series]"""
    mid: float
    high: float
    place: float
    """Share of the forecast below what was read: 0.5 is the middle. [1]"""
    width: float
    """Width of the forecast's own band, 10th to 90th percentile. [unit of the series]"""
    seen: float
    """What was read, or the middle of what its word stands for. [unit of the series]"""

    @property
    def inside(self) -> bool:
        """Whether it came within the band of 80 %."""
        return 0.1 <= self.place <= 0.9


@dataclass(frozen=True, slots=True)
class KindCheck:
    """How forecasts of one thing did."""

    what: str
    """Key of the table of observables."""
    unit: str
    count: int
    inside: int
    bias: float
    """Mean of what came less the middle of what was forecast. [unit]"""
    width: float
    """Mean width of the bands, 10th to 90th percentile. [unit]"""


@dataclass(frozen=True, slots=True)
class ForecastCheck:
    """How forecasts did over all."""

    came: tuple[Came, ...]
    """By day."""
    kinds: tuple[KindCheck, ...]
    widening: float
    """Factor the members' own bands should be made wider by; below 1 narrower, 1 where nothing speaks for it. [1]"""
    widening_low: float
    """10th percentile of what is believed of it. [1]"""
    widening_high: float
    too_narrow: float
    """Chance that bands have been too narrow. [1]"""
    leaning: float
    """Mean place of what came, less the middle, in standard deviations; above zero: more came than forecast. [1]"""
    without: int = 0
    """Entries for which nothing was forecast before."""

    @property
    def count(self) -> int:
        """Entries that could be held against a forecast."""
        return len(self.came)

    @property
    def inside(self) -> int:
        """Those within the band of 80 %."""
        return sum(one.inside for one in self.came)

    @property
    def coverage(self) -> float | None:
        """Share within the band of 80 %; None where there is none."""
        return self.inside / self.count if self.count else None


def widened(forecast: BedForecast, factor: float) -> BedForecast:
    """Return a forecast whose bands are so many times as wide about their middles; what is impossible is left out."""
    if factor == 1.0:
        return forecast
    return replace(forecast, series={name: _wider(name, band, factor) for name, band in forecast.series.items()})


def _wider(name: str, band: Band, factor: float) -> Band:
    low = band.p50 - factor * (band.p50 - band.p10)
    high = band.p50 + factor * (band.p90 - band.p50)
    if name in NEVER_NEGATIVE:
        low = np.maximum(low, 0.0)
    if name in AT_MOST_ONE:
        high = np.minimum(high, 1.0)
    return Band(low, band.p50, high)
