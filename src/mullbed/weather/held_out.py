"""Split the weather of a place in two: years to plan with, and years kept unseen to try plans in."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from mullbed.domain.daily_weather import DailyWeather, WeatherYears
from mullbed.domain.garden import Site
from mullbed.weather.climate_years import equal_date
from mullbed.weather.daily_file import read_daily_weather
from mullbed.weather.place_weather import place_weather
from mullbed.weather.possible_seasons import moved_climate, possible_seasons

MIXED = ("joined", "generated from")
"""Labels of seasons that hold days of many years."""


def seen_and_unseen(site: Site, first_day: date, last_day: date, seed: int) -> tuple[WeatherYears, WeatherYears]:
    """Return every second possible season of a place, and the others.

    Where seasons are joined from blocks or generated from a fit, the calendar years themselves are parted first, so
    that no day of an unseen season was ever in a seen one.

    Parameters
    ----------
    site : Site
    first_day, last_day : date
    seed : int
        As `place_weather` takes it.

    Raises
    ------
    InputFault
        When the weather is at fault, or a half of a short record lacks some two weeks of the season.
    """
    whole = place_weather(site, first_day, last_day, seed)
    daily = site.weather.daily_file
    if daily is None or not whole.labels[0].startswith(MIXED):
        rows = np.arange(whole.years)
        return of_rows(whole, rows[0::2]), of_rows(whole, rows[1::2])
    record = read_daily_weather(daily, site.latitude)
    halves = []
    for half in (0, 1):
        generator = np.random.default_rng(np.random.SeedSequence([seed, 77, half]))
        kept = only_years(record, half, parting_day(first_day, last_day))
        halves.append(_of_half(site, kept, first_day, last_day, generator))
    return halves[0], halves[1]


def _of_half(
    site: Site, kept: DailyWeather, first_day: date, last_day: date, generator: np.random.Generator
) -> WeatherYears:
    """Return the seasons of half a record, made and moved as those of the whole are."""
    source = site.weather
    found = possible_seasons(
        kept, first_day, last_day, site.latitude, generator, way=source.seasons, elevation=site.elevation
    )
    if source.warmer is None and source.rain_times is None:
        return found
    return moved_climate(found, source.warmer or (0.0,) * 12, source.rain_times or (1.0,) * 12, site.latitude)


def of_rows(weather: WeatherYears, rows: np.ndarray) -> WeatherYears:
    """Return some of the seasons."""
    return replace(
        weather,
        low=weather.low[rows],
        high=weather.high[rows],
        rain=weather.rain[rows],
        reference_evaporation=weather.reference_evaporation[rows],
        radiation=weather.radiation[rows],
        labels=tuple(weather.labels[int(row)] for row in rows),
    )


def parting_day(first_day: date, last_day: date) -> date:
    """Return a day of the year that lies between the end of a season and the beginning of the next."""
    between = (equal_date(first_day, 1) - last_day).days
    return last_day + timedelta(days=between // 2) if between > 0 else first_day


def only_years(record: DailyWeather, half: int, parting: date) -> DailyWeather:
    """Return a record in which every second year is missing; years are parted on a day of the year."""
    years = np.empty(record.rain.shape[0], dtype=np.int64)
    for place in range(years.shape[0]):
        day = record.first_day + timedelta(days=place)
        years[place] = day.year + ((day.month, day.day) >= (parting.month, parting.day))
    gone = (years - years[0]) % 2 != half
    low, high, rain = record.low.copy(), record.high.copy(), record.rain.copy()
    for series in (low, high, rain):
        series[gone] = np.nan
    return replace(record, low=low, high=high, rain=rain)
