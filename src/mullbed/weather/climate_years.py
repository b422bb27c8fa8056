"""Past years as possible futures: the season of each complete past year, or seasons joined from two-week blocks.

Days are matched by month and day, so a season keeps its place in the year whatever leap days lie between:
29 February of a past leap year is left out, and a 29 February in the season to come takes the past 28 February
where the past year has none.
"""

from __future__ import annotations

from calendar import isleap
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.daily_weather import DailyWeather, WeatherYears
from mullbed.domain.spread import Evidence
from mullbed.errors import Fault, InputFault
from mullbed.weather.evaporative_demand import evaporative_demand

FEWEST_YEARS = 8
"""With fewer complete years, seasons are joined from blocks."""
JOINED_SEASONS = 24
"""How many seasons are joined then; each year serves each block equally often."""
BLOCK_DAYS = 14
LONGEST_SEASON_DAYS = 1100
"""Three years. [d]"""

Index = NDArray[np.int64]


def climate_years(
    weather: DailyWeather,
    first_day: date,
    last_day: date,
    latitude: float,
    generator: np.random.Generator,
    *,
    elevation: float | None = None,
    joined_seasons: int = JOINED_SEASONS,
    always_join: bool = False,
    fewest_years: int = FEWEST_YEARS,
) -> WeatherYears:
    """Return the seasons of past years between two days of the year as possible futures.

    Parameters
    ----------
    weather : DailyWeather
        The record; days with a missing value are never used.
    first_day, last_day : date
        The season to come; it may span year ends.
    latitude : float
        North positive. [degrees]
    generator : numpy.random.Generator
        Chooses the year of each block when seasons are joined; untouched when they are not.
    elevation : float, optional
        [m]; sea level where it is not known.
    joined_seasons : int
        How many seasons are joined where fewer than eight years are complete.
    always_join : bool
        Join blocks however many years are complete.
    fewest_years : int
        With fewer complete years, seasons are joined.

    Raises
    ------
    InputFault
        When the season is out of order, or some two weeks of it are missing from every year of the record.
    """
    days = (last_day - first_day).days + 1
    if not 1 <= days <= LONGEST_SEASON_DAYS:
        remedy = "Set season.first_day and season.last_day so that the season lasts a day to three years."
        raise InputFault([Fault("season", f"{first_day} to {last_day}", f"1 to {LONGEST_SEASON_DAYS} days", remedy)])
    demand, radiation = evaporative_demand(weather, latitude, elevation)
    usable = ~(np.isnan(weather.low) | np.isnan(weather.high) | np.isnan(weather.rain))
    chosen_years, sources = _equal_dates(weather, first_day, days)
    there = (sources >= 0) & usable[np.maximum(sources, 0)]
    complete = np.flatnonzero(there.all(axis=1))
    if complete.size >= fewest_years and not always_join:
        picked: Index = sources[complete]
        labels = tuple(_label(chosen_years[row], first_day, last_day) for row in complete)
        evidence = weather.evidence
    else:
        picked, labels = _joined(sources, there, chosen_years, generator, joined_seasons, weather, first_day)
        evidence = Evidence.WORKED_OUT
    return WeatherYears(
        first_day=first_day,
        low=weather.low[picked],
        high=weather.high[picked],
        rain=weather.rain[picked],
        reference_evaporation=demand[picked],
        radiation=radiation[picked],
        labels=labels,
        source=weather.source,
        evidence=evidence,
    )


def equal_date(day: date, years: int) -> date:
    """Return the same month and day so many years later; 29 February becomes the 28th where there is none."""
    year = day.year + years
    if day.month == 2 and day.day == 29 and not isleap(year):
        return date(year, 2, 28)
    return day.replace(year=year)


def _equal_dates(weather: DailyWeather, first_day: date, days: int) -> tuple[list[int], Index]:
    """Return the past start years and, by start year and day, the index in the record; -1 where there is none."""
    record = weather.rain.shape[0]
    record_end = weather.first_day + timedelta(days=record - 1)
    season = [first_day + timedelta(days=day) for day in range(days)]
    span = season[-1].year - season[0].year
    starts = [year for year in range(weather.first_day.year - span, record_end.year + 1) if year >= 1]
    sources = np.full((len(starts), days), -1, dtype=np.int64)
    for row, year in enumerate(starts):
        shift = year - first_day.year
        for column, day in enumerate(season):
            if 1 <= day.year + shift <= 9999:
                index = (equal_date(day, shift) - weather.first_day).days
                if 0 <= index < record:
                    sources[row, column] = index
    return starts, sources


def _joined(
    sources: Index,
    there: NDArray[np.bool_],
    years: list[int],
    generator: np.random.Generator,
    seasons: int,
    weather: DailyWeather,
    first_day: date,
) -> tuple[Index, tuple[str, ...]]:
    """Return seasons joined from two-week blocks of the years that have them whole."""
    days = sources.shape[1]
    picked = np.empty((seasons, days), dtype=np.int64)
    used: set[int] = set()
    absent: list[tuple[date, date]] = []
    for begin in range(0, days, BLOCK_DAYS):
        block = slice(begin, min(days, begin + BLOCK_DAYS))
        rows = np.flatnonzero(there[:, block].all(axis=1))
        if rows.size == 0:
            from_day = first_day + timedelta(days=begin)
            if absent and absent[-1][1] == from_day - timedelta(days=1):
                from_day = absent.pop()[0]
            absent.append((from_day, first_day + timedelta(days=block.stop - 1)))
            continue
        used.update(years[row] for row in rows)
        turns = np.tile(rows, -(-seasons // rows.size))[:seasons]
        picked[:, block] = sources[generator.permutation(turns)][:, block]
    if absent:
        raise InputFault(_absent_faults(absent, weather))
    name = f"{min(used)}" if len(used) == 1 else f"{min(used)}-{max(used)}"
    if len(used) == 1:
        return picked[:1], (f"{name} alone",)
    return picked, tuple(f"joined from {name}, no. {number}" for number in range(1, seasons + 1))


def _absent_faults(absent: list[tuple[date, date]], weather: DailyWeather) -> list[Fault]:
    record_end = weather.first_day + timedelta(days=weather.rain.shape[0] - 1)
    record = f"the record is {weather.first_day} to {record_end}"
    allowed = f"each two weeks of the season whole in at least one year; {record}"
    gaps = ""
    if weather.missing_days:
        shown = ", ".join(str(day) for day in weather.missing_days[:5])
        more = ", ..." if len(weather.missing_days) > 5 else ""
        gaps = f" Values are missing on {len(weather.missing_days)} days ({shown}{more})."
    return [
        Fault(
            f"weather {weather.source}",
            f"no year has the days from {from_day} to {to_day} of the season whole",
            allowed,
            "Give a longer record, or move the season into the months that were measured." + gaps,
        )
        for from_day, to_day in absent
    ]


def _label(year: int, first_day: date, last_day: date) -> str:
    span = last_day.year - first_day.year
    return str(year) if span == 0 else f"{year}-{year + span}"
