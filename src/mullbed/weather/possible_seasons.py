"""Ways from a station's record to possible seasons, each with its weakness in words.

Past years as they were; seasons joined from blocks of them; seasons of a generator fitted to them. On top of any of
these: the days of a forecast in front, and a climate moved by months.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from mullbed.domain.daily_weather import DailyWeather, Series, WeatherYears
from mullbed.domain.garden import SeasonsFrom
from mullbed.domain.spread import Evidence, weakest
from mullbed.errors import Fault, InputFault
from mullbed.weather.climate_years import JOINED_SEASONS, climate_years
from mullbed.weather.evaporative_demand import demand_from_temperature
from mullbed.weather.fitted_generator import SEASONS, WEAKNESSES, fitted_climate, fitted_seasons

LEAD = 10
"""Days of lead after which a forecast's temperature says no more than past years do. Judgement. [d]"""
LONGEST_FORECAST = 16
"""[d]"""
SMALLEST_RANGE = 1.0
"""Least difference of high and low of a forecast day. [°C]"""

SEASONS_WEAKNESSES: dict[SeasonsFrom, tuple[str, ...]] = {
    SeasonsFrom.YEARS: (
        "There are no more seasons than years, and none worse than the worst of them.",
        "A climate that warms is ahead of the mean of its past years.",
    ),
    SeasonsFrom.BLOCKS: (
        "At the seams of the two-week blocks a spell breaks off, so dry spells over a month are too rare.",
        "A joined season mixes wet and dry years. On seven open records the spread of yearly rain came out at 0.73 to "
        "1.19 of the real one.",
    ),
    SeasonsFrom.GENERATED: WEAKNESSES,
}
FORECAST_WEAKNESS = (
    f"The forecast's rain is taken as it stands in every season; its temperature is opened step by step over {LEAD} "
    "days [judgement]. At the seam each season goes on with its own year, whatever the forecast ended with."
)
SHIFT_WEAKNESS = (
    "Moved months keep the spells of the past: as many wet days, as long dry spells, as much spread. A real change of "
    "climate changes those, too."
)


def possible_seasons(
    record: DailyWeather,
    first_day: date,
    last_day: date,
    latitude: float,
    generator: np.random.Generator,
    *,
    way: SeasonsFrom = SeasonsFrom.YEARS,
    elevation: float | None = None,
    seasons: int | None = None,
) -> WeatherYears:
    """Return possible seasons of a record in one of three ways.

    Raises
    ------
    InputFault
        When the record is too short or thin for the way, or the season is out of order.
    """
    if way is SeasonsFrom.GENERATED:
        climate = fitted_climate(record, latitude, elevation)
        return fitted_seasons(climate, first_day, last_day, latitude, generator, seasons=seasons or SEASONS)
    return climate_years(
        record,
        first_day,
        last_day,
        latitude,
        generator,
        elevation=elevation,
        joined_seasons=seasons or JOINED_SEASONS,
        always_join=way is SeasonsFrom.BLOCKS,
    )


def with_forecast(weather: WeatherYears, forecast: DailyWeather, latitude: float) -> WeatherYears:
    """Return the seasons with the days of a forecast in front.

    Only days of the season from its first whole forecast day on, without a gap, are taken, at most sixteen. The
    forecast's mean and range hold on its first day; with each day of lead a growing share of each season's own
    departure from the mean of all seasons comes back, all of it after ten days. Rain is the forecast's in every season.

    Raises
    ------
    InputFault
        When no day of the forecast lies in the season.
    """
    begin = (forecast.first_day - weather.first_day).days
    whole = ~(np.isnan(forecast.low) | np.isnan(forecast.high) | np.isnan(forecast.rain))
    places = [place for place in range(forecast.rain.size) if whole[place] and 0 <= begin + place < weather.days]
    run = [place for number, place in enumerate(places) if place == places[0] + number][:LONGEST_FORECAST]
    if not run:
        last = weather.first_day + timedelta(days=weather.days - 1)
        found = f"begins on {forecast.first_day}, no whole day of it in the season"
        allowed = f"days of {weather.first_day} to {last}"
        raise InputFault([Fault(f"forecast {forecast.source}", found, allowed, "Fetch it anew, or leave it out.")])
    low, high, rain = weather.low.copy(), weather.high.copy(), weather.rain.copy()
    demand, radiation = weather.reference_evaporation.copy(), weather.radiation.copy()
    for lead, place in enumerate(run):
        day = begin + place
        share = min(1.0, lead / LEAD)
        own_low = weather.low[:, day] - weather.low[:, day].mean()
        own_high = weather.high[:, day] - weather.high[:, day].mean()
        low[:, day] = forecast.low[place] + share * own_low
        high[:, day] = np.maximum(forecast.high[place] + share * own_high, low[:, day] + SMALLEST_RANGE)
        rain[:, day] = forecast.rain[place]
        of_year = np.full(weather.years, (weather.first_day + timedelta(days=day)).timetuple().tm_yday)
        worked_out, sun = demand_from_temperature(low[:, day], high[:, day], of_year, latitude)
        demand[:, day] = _given(forecast.reference_evaporation, place, worked_out)
        radiation[:, day] = _given(forecast.radiation, place, sun)
    return replace(
        weather,
        low=low,
        high=high,
        rain=rain,
        reference_evaporation=demand,
        radiation=radiation,
        source=f"{weather.source}; {len(run)} days of a forecast from {forecast.source} in front",
        evidence=weakest(weather.evidence, Evidence.WORKED_OUT),
    )


def _given(series: Series | None, place: int, otherwise: Series) -> Series:
    """Return a forecast's own figure where it has one."""
    if series is None or np.isnan(series[place]):
        return otherwise
    return np.full(otherwise.shape, series[place])


def moved_climate(
    weather: WeatherYears, warmer: Sequence[float], rain_times: Sequence[float], latitude: float
) -> WeatherYears:
    """Return the seasons with each month warmer by so much and its rain so many times as much.

    Evaporation is moved by as much as temperature alone moves it; radiation stays.

    Parameters
    ----------
    weather : WeatherYears
    warmer : sequence of 12 floats
        January first. [°C]
    rain_times : sequence of 12 floats
        [1]
    latitude : float
        North positive. [degrees]

    Raises
    ------
    ValueError
        When there are not twelve of each.
    """
    if len(warmer) != 12 or len(rain_times) != 12:
        raise ValueError("a climate is moved by twelve months")
    calendar = [weather.first_day + timedelta(days=day) for day in range(weather.days)]
    month = np.array([day.month - 1 for day in calendar])
    of_year = np.tile([day.timetuple().tm_yday for day in calendar], (weather.years, 1))
    added = np.asarray(warmer, dtype=float)[month]
    low, high = weather.low + added, weather.high + added
    before, _ = demand_from_temperature(weather.low, weather.high, of_year, latitude)
    after, _ = demand_from_temperature(low, high, of_year, latitude)
    ratio = np.where(before > 1e-9, after / np.maximum(before, 1e-9), 1.0)
    return replace(
        weather,
        low=low,
        high=high,
        rain=weather.rain * np.asarray(rain_times, dtype=float)[month],
        reference_evaporation=weather.reference_evaporation * ratio,
        source=f"{weather.source}; moved to another climate by month",
        evidence=weakest(weather.evidence, Evidence.GUESS),
    )
