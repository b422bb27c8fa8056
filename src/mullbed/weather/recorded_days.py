"""Days a grower wrote down, laid over the possible seasons; days without a reading keep what is usual there.

A reading holds in every season. A day that nobody read keeps the weather of past years, each season its own, so its
doubt stays. Rain that was only expected in words takes a share of what wet days bring at that time of the year:
"some" lies between the 20th and the 70th percentile of wet days, "much" between the 70th and the 97th (judgement).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from mullbed.domain.daily_weather import Series, WeatherYears
from mullbed.domain.record_seen import RainExpected, WeatherDay
from mullbed.weather.evaporative_demand import demand_from_temperature

WINDOW_DAYS = 7
"""What is usual on a day is told by so many days before and after it. Judgement. [d]"""
WET_DAY = 1.0
"""A day with at least so much rain is wet. [mm]"""
SHARES = {"some": (0.20, 0.70), "much": (0.70, 0.97)}
"""Percentiles of wet days that a word stands for. Judgement. [1]"""
EXPECTED_DAYS = 3
"""Rain expected in words is about so many days to come. Judgement. [d]"""
SMALLEST_RANGE = 1.0
"""Least difference of high and low where only one was read. Judgement. [°C]"""


@dataclass(frozen=True, slots=True)
class UsualDay:
    """What is usual on a day at a place: means over the seasons and the days around it."""

    day: date
    low: float
    """[°C]"""
    high: float
    """[°C]"""
    rain: float
    """Mean. [mm d-1]"""


def usual_days(weather: WeatherYears) -> tuple[UsualDay, ...]:
    """Return what is usual on every day of the seasons."""
    found = []
    for day in range(weather.days):
        around = _around(weather, day)
        found.append(
            UsualDay(
                weather.first_day + timedelta(days=day),
                float(np.mean(weather.low[:, around])),
                float(np.mean(weather.high[:, around])),
                float(np.mean(weather.rain[:, around])),
            )
        )
    return tuple(found)


def with_known_days(weather: WeatherYears, known: Iterable[tuple[date, WeatherDay]], latitude: float) -> WeatherYears:
    """Return the seasons with what is known of single days; days outside of them are left out.

    Parameters
    ----------
    weather : WeatherYears
    known : iterable of date and WeatherDay
        Later entries of a day beat earlier ones, value by value. What was filled in was never read, and is left out.
        Rain expected holds for the three days after, as far as they were not read.
    latitude : float
        North positive; evaporation of a day whose temperatures were read is worked out from them. [degrees]
    """
    low, high, rain = weather.low.copy(), weather.high.copy(), weather.rain.copy()
    demand, radiation = weather.reference_evaporation.copy(), weather.radiation.copy()
    read: set[int] = set()
    warm: set[int] = set()
    known = sorted(known, key=lambda pair: pair[0])
    for told, one in known:
        if one.expected is not None:
            for day in range((told - weather.first_day).days + 1, (told - weather.first_day).days + 1 + EXPECTED_DAYS):
                if 0 <= day < weather.days:
                    rain[:, day] = _expected_rain(weather, day, one.expected)
    for told, one in known:
        day = (told - weather.first_day).days
        if not 0 <= day < weather.days:
            continue
        lowest = None if "low" in one.filled else one.low
        highest = None if "high" in one.filled else one.high
        if lowest is not None or highest is not None:
            _set_temperatures(low, high, day, lowest, highest)
            warm.add(day)
            read.add(day)
        if one.rain is not None and "rain" not in one.filled:
            rain[:, day] = one.rain
            read.add(day)
    for day in sorted(warm):
        of_year = np.full(weather.years, (weather.first_day + timedelta(days=day)).timetuple().tm_yday)
        demand[:, day], radiation[:, day] = demand_from_temperature(low[:, day], high[:, day], of_year, latitude)
    source = f"{weather.source}; {len(read)} days as read in the garden" if read else weather.source
    return replace(
        weather, low=low, high=high, rain=rain, reference_evaporation=demand, radiation=radiation, source=source
    )


def _set_temperatures(low: Series, high: Series, day: int, lowest: float | None, highest: float | None) -> None:
    """Set what was read of a day; the other end keeps the season's range of the day."""
    spread = np.maximum(SMALLEST_RANGE, high[:, day] - low[:, day])
    if lowest is not None and highest is not None:
        low[:, day], high[:, day] = lowest, highest
    elif lowest is not None:
        low[:, day], high[:, day] = lowest, lowest + spread
    elif highest is not None:
        low[:, day], high[:, day] = highest - spread, highest


def _expected_rain(weather: WeatherYears, day: int, word: RainExpected) -> Series:
    """Return rain by season: an even spread over the percentiles the word stands for, in an order of its own. [mm]"""
    none: Series = np.zeros(weather.years)
    if word is RainExpected.NONE:
        return none
    around = weather.rain[:, _around(weather, day)]
    wet = around[around >= WET_DAY]
    if wet.size == 0:
        wet = np.array([WET_DAY])
    lowest, highest = SHARES[word]
    steps = (np.arange(weather.years) + 0.5) / weather.years
    amounts: Series = np.quantile(wet, lowest + (highest - lowest) * steps)
    return np.random.default_rng(np.random.SeedSequence([weather.years, day, 5])).permutation(amounts)


def _around(weather: WeatherYears, day: int) -> slice:
    return slice(max(0, day - WINDOW_DAYS), min(weather.days, day + WINDOW_DAYS + 1))
