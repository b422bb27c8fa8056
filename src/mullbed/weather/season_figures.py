"""What a set of seasons is like in a few figures, and past years as they were to compare with."""

from __future__ import annotations

from datetime import date

import numpy as np

from mullbed.domain.daily_weather import DailyWeather, Series, WeatherYears
from mullbed.domain.weather_record import SeasonFigures
from mullbed.errors import InputFault
from mullbed.weather.climate_years import climate_years

WET_DAY = 1.0
"""[mm]"""
FEWEST_YEARS = 3


def season_figures(weather: WeatherYears, name: str) -> SeasonFigures:
    """Return the figures of a set of seasons."""
    wet = weather.rain >= WET_DAY
    mean = (weather.low + weather.high) / 2.0
    return SeasonFigures(
        name,
        weather.years,
        _tenths(weather.rain.sum(axis=1)),
        _tenths(wet.sum(axis=1).astype(float)),
        _tenths(longest_dry(weather.rain)),
        _tenths(mean.mean(axis=1)),
        _tenths(weather.high.max(axis=1)),
        _tenths(weather.reference_evaporation.sum(axis=1)),
    )


def past_figures(
    record: DailyWeather, first_day: date, last_day: date, latitude: float, elevation: float | None
) -> SeasonFigures | None:
    """Return the figures of the record's own whole years; None where fewer than three are whole."""
    generator = np.random.default_rng(0)
    try:
        years = climate_years(
            record, first_day, last_day, latitude, generator, elevation=elevation, fewest_years=FEWEST_YEARS
        )
    except InputFault:
        return None
    if years.labels[0].startswith("joined") or years.labels[0].endswith("alone"):
        return None
    return season_figures(years, "past years as they were")


def longest_dry(rain: Series) -> Series:
    """Return the longest spell of days with less than a millimetre, by season. [d]"""
    longest, running = np.zeros(rain.shape[0]), np.zeros(rain.shape[0])
    for day in range(rain.shape[1]):
        running = np.where(rain[:, day] < WET_DAY, running + 1.0, 0.0)
        longest = np.maximum(longest, running)
    return longest


def _tenths(values: Series) -> tuple[float, float, float]:
    low, mid, high = (float(one) for one in np.quantile(values, (0.1, 0.5, 0.9)))
    return low, mid, high
