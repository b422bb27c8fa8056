"""Plausible seasons from twelve monthly means of low, high and rain, for growers without a station file.

Means are joined by straight lines between mid-months. Rain comes on wet days whose chance and size follow from
the month's mean ([@mullbed_model] section 6.0); warm and cold spells are a first-order chain around the means
(judgement). What comes out is a guess about the place, and is labelled so.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np

from mullbed.domain.daily_weather import Series, WeatherKnown, WeatherYears
from mullbed.domain.spread import Evidence
from mullbed.errors import Fault, InputFault
from mullbed.weather.evaporative_demand import demand_from_temperature

FEWEST_SEASONS = 16
SPELL_SD = 3.0
"""Standard deviation of a day's mean temperature around the month's. Judgement. [°C]"""
SPELL_MEMORY = 0.7
"""Correlation of one day's anomaly with the next day's. Judgement. [1]"""


def wet_day_chance(rain: float) -> float:
    """Return the chance of a wet day from mean rain ([@mullbed_model] section 6.0). [mm d-1 to 1]"""
    return min(0.65, max(0.05, 0.12 + 0.08 * rain))


def generated_seasons(
    monthly_low: Sequence[float],
    monthly_high: Sequence[float],
    monthly_rain: Sequence[float],
    first_day: date,
    last_day: date,
    latitude: float,
    generator: np.random.Generator,
    *,
    seasons: int = FEWEST_SEASONS,
) -> WeatherYears:
    """Return generated seasons between two days; evidence "a guess".

    Parameters
    ----------
    monthly_low, monthly_high : sequence of 12 floats
        Means of the daily lowest and highest temperature, January first. [°C]
    monthly_rain : sequence of 12 floats
        [mm per month]
    first_day, last_day : date
    latitude : float
        North positive. [degrees]
    generator : numpy.random.Generator
    seasons : int
        At least sixteen.

    Raises
    ------
    InputFault
        When a list does not hold twelve plausible numbers, a low is above its high, or the season is empty.
    """
    faults = monthly_faults(monthly_low, monthly_high, monthly_rain)
    days = (last_day - first_day).days + 1
    if days < 1:
        faults.append(Fault("season", f"{first_day} to {last_day}", "at least one day", "Put the first day first."))
    if faults:
        raise InputFault(faults)
    count = max(seasons, FEWEST_SEASONS)
    calendar = [first_day + timedelta(days=day) for day in range(days)]
    low, high = _between_months(monthly_low, calendar), _between_months(monthly_high, calendar)
    rain = np.empty((count, days))
    anomaly = np.empty((count, days))
    mean_rain = np.array([monthly_rain[day.month - 1] / monthrange(day.year, day.month)[1] for day in calendar])
    chance = np.array([wet_day_chance(amount) for amount in mean_rain])
    for season in range(count):
        wet = generator.random(days) < chance
        rain[season] = np.where(wet, generator.exponential(1.0, days) * mean_rain / chance, 0.0)
        anomaly[season] = _spells(generator, days)
    # a spell on top of an extreme month stays within what the engine takes
    lows, highs = np.clip(low + anomaly, -90.0, 60.0), np.clip(high + anomaly, -90.0, 60.0)
    day_of_year = np.tile([day.timetuple().tm_yday for day in calendar], (count, 1))
    demand, radiation = demand_from_temperature(lows, highs, day_of_year, latitude)
    return WeatherYears(
        first_day=first_day,
        low=lows,
        high=highs,
        rain=rain,
        reference_evaporation=demand,
        radiation=radiation,
        labels=tuple(f"generated no. {number}" for number in range(1, count + 1)),
        source="twelve monthly means in the garden file",
        evidence=Evidence.GUESS,
        known=WeatherKnown.MONTHLY,
    )


def monthly_faults(low: Sequence[float], high: Sequence[float], rain: Sequence[float]) -> list[Fault]:
    """Return what is wrong with twelve monthly means."""
    faults: list[Fault] = []
    for name, values, bottom, top, unit in (
        ("monthly_low", low, -60.0, 40.0, "°C"),
        ("monthly_high", high, -50.0, 50.0, "°C"),
        ("monthly_rain", rain, 0.0, 3000.0, "mm"),
    ):
        if len(values) != 12:
            remedy = "Give twelve numbers, January first."
            faults.append(Fault(f"weather.{name}", f"{len(values)} numbers", "12 numbers", remedy))
        for month, value in enumerate(values, start=1):
            if not bottom <= value <= top:
                remedy = "Check the unit: degrees Celsius and millimetres a month."
                allowed = f"{bottom:g} to {top:g} {unit}"
                faults.append(Fault(f"weather.{name}, month {month}", f"{value:g}", allowed, remedy))
    for month, (lowest, highest) in enumerate(zip(low, high, strict=False), start=1):
        if lowest > highest:
            found = f"low {lowest:g} above high {highest:g}"
            remedy = "Swap the two lists or correct the month."
            faults.append(Fault(f"weather, month {month}", found, "low not above high", remedy))
    return faults


def _between_months(means: Sequence[float], calendar: Sequence[date]) -> Series:
    """Return daily values on straight lines between mid-months."""
    middles = np.arange(-0.5, 13.0)
    wrapped = np.array([means[-1], *means, means[0]])
    place = [day.month - 1 + (day.day - 0.5) / monthrange(day.year, day.month)[1] for day in calendar]
    daily: Series = np.interp(place, middles, wrapped)
    return daily


def _spells(generator: np.random.Generator, days: int) -> Series:
    """Return one chain of daily anomalies with mean zero. [°C]"""
    shocks = generator.normal(0.0, SPELL_SD, days)
    chain = np.empty(days)
    chain[0] = shocks[0]
    fresh = (1.0 - SPELL_MEMORY**2) ** 0.5
    for day in range(1, days):
        chain[day] = SPELL_MEMORY * chain[day - 1] + fresh * shocks[day]
    return chain
