"""Days of weather as read, and seasons of weather as the engine needs them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.spread import Evidence

Series = NDArray[np.float64]


class WeatherKnown(StrEnum):
    """How finely the weather of a place is known; the coarser, the less sure is what it does to decay."""

    DAILY = "daily"
    MONTHLY = "monthly"
    ANNUAL = "annual"


@dataclass(frozen=True, slots=True)
class DailyWeather:
    """One unbroken calendar of days at one place, as read; a missing value is NaN and its day is named.

    Arrays have shape (days,). Columns that were not in the file are None, never zero.
    """

    first_day: date
    low: Series
    """Lowest air temperature. [°C]"""
    high: Series
    """Highest air temperature. [°C]"""
    rain: Series
    """Rain and melted snow. [mm d-1]"""
    radiation: Series | None
    """Solar radiation. [MJ m-2 d-1]"""
    humidity: Series | None
    """Mean relative humidity. [%]"""
    wind: Series | None
    """Wind at 2 m. [m s-1]"""
    reference_evaporation: Series | None
    """FAO-56 reference evapotranspiration, if measured or given. [mm d-1]"""
    source: str
    evidence: Evidence
    missing_days: tuple[date, ...] = ()
    """Days on which a needed value is missing."""


@dataclass(frozen=True, slots=True)
class WeatherYears:
    """Seasons of equal length as possible futures; complete, arrays of shape (years, days)."""

    first_day: date
    low: Series
    """[°C]"""
    high: Series
    """[°C]"""
    rain: Series
    """[mm d-1]"""
    reference_evaporation: Series
    """[mm d-1]"""
    radiation: Series
    """[MJ m-2 d-1]"""
    labels: tuple[str, ...]
    """What each season is made of, such as "2013" or "joined from 2012-2015"."""
    source: str
    evidence: Evidence
    known: WeatherKnown = WeatherKnown.DAILY

    @property
    def years(self) -> int:
        """Number of seasons."""
        return int(self.rain.shape[0])

    @property
    def days(self) -> int:
        """Number of days in each season."""
        return int(self.rain.shape[1])
