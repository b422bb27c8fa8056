"""Daily weather as a record to show: gaps dealt with as told, suspicions, years, and its station file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from mullbed.domain.daily_weather import DailyWeather
from mullbed.domain.weather_record import ColumnFound, HeadingLeftOut, WeatherRead
from mullbed.weather.gaps import GapPolicy, gaps_of, without_gaps
from mullbed.weather.record_mapping import mapping_text
from mullbed.weather.record_summary import year_summaries
from mullbed.weather.station_file import station_file_text
from mullbed.weather.suspicions import suspicions


def record_of(
    weather: DailyWeather,
    place: str,
    policies: Sequence[GapPolicy],
    *,
    columns: tuple[ColumnFound, ...] = (),
    left_out: tuple[HeadingLeftOut, ...] = (),
    date_order: str = "",
    wind_height: float = 2.0,
    absent_days: int = 0,
    swapped: tuple[date, ...] = (),
    latitude: float | None = None,
    elevation: float | None = None,
    source: str | None = None,
    remarks: Sequence[str] = (),
) -> WeatherRead:
    """Return daily weather with all that is to be told about it.

    Raises
    ------
    InputFault
        When gaps are to be refused and there are some.
    """
    if source:
        weather = replace(weather, source=source)
    weather, filled = without_gaps(weather, policies)
    told = [f"filled: {one.gap.column} {one.gap.first_day} to {one.gap.last_day} by {one.how}" for one in filled]
    return WeatherRead(
        place,
        weather,
        columns,
        left_out,
        date_order,
        wind_height,
        absent_days,
        swapped,
        gaps_of(weather),
        filled,
        suspicions(weather, latitude),
        year_summaries(weather, latitude, elevation),
        station_file_text(weather, [*remarks, *told]),
        mapping_text(columns, date_order, wind_height),
    )
