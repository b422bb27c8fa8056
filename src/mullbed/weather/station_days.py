"""From a station's table and what its columns are to daily weather: our units, every day in order, gaps left open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from mullbed.domain.daily_weather import DailyWeather, Series
from mullbed.domain.spread import Evidence
from mullbed.errors import Fault, InputFault
from mullbed.processes.evapotranspiration import saturation_vapour_pressure, wind_at_two_metres
from mullbed.weather.daily_columns import COLUMNS, LARGEST_DAILY_RANGE, LONGEST_RECORD_DAYS
from mullbed.weather.station_columns import DEW_POINT, Understood
from mullbed.weather.station_table import StationTable
from mullbed.weather.suspicions import whole_file_fault

MOST_FAULTS = 24
MOST_HUMIDITY = 110.0
"""A sensor may overshoot: humidity up to this is taken for 100. Judgement. [%]"""


@dataclass(frozen=True, slots=True)
class StationDays:
    """Daily weather of a station's table, and what was done to it on the way."""

    weather: DailyWeather
    absent: tuple[date, ...]
    """Days without a row, which now stand empty."""
    swapped: tuple[date, ...]
    """Days on which lowest and highest were swapped back."""


def station_days(
    table: StationTable,
    columns: Understood,
    *,
    source: str,
    latitude: float | None = None,
    wind_height: float = 2.0,
    swap: bool = False,
) -> StationDays:
    """Return the daily weather of a table.

    Parameters
    ----------
    table : StationTable
    columns : Understood
    source : str
        Where it is from.
    latitude : float, optional
        North positive; finds degrees Fahrenheit better. [degrees]
    wind_height : float
        Where the wind was measured; it is brought to 2 m ([@allen1998] eq. 47). [m]
    swap : bool
        Swap lowest and highest on days where they are the wrong way round, rather than refuse.

    Raises
    ------
    InputFault
        With everything that is wrong: units that are not known, doubled days, impossible values with their lines.
    """
    faults = [
        Fault(f"{table.place}, {one.sources[0]}", "its unit cannot be told", "a unit", f"Say it: --column "
              f"{one.column}={'+'.join(one.sources)}:UNIT.")
        for one in columns.found
        if one.unit is None
    ]  # fmt: skip
    faults += _doubled(table)
    first, last = min(table.days), max(table.days)
    length = (last - first).days + 1
    if length > LONGEST_RECORD_DAYS:
        remedy = "Correct the year that was mistyped."
        faults.append(Fault(table.place, f"dates from {first} to {last}", "about 400 years", remedy))
    if faults:
        raise InputFault(faults[:MOST_FAULTS])
    at = np.array([(day - first).days for day in table.days])
    series: dict[str, Series] = {}
    damp: tuple[Series, Series] | None = None
    for one in columns.found:
        if one.unit is None:
            continue
        parts = [one.unit.factor * table.numbers(heading) + one.unit.offset for heading in one.sources]
        values = np.asarray(sum(parts)) / len(parts)
        if one.column == "wind" and wind_height != 2.0:
            values = np.array([wind_at_two_metres(float(value), wind_height) for value in values])
        if one.column == "humidity":
            values = np.where((values > 100.0) & (values <= MOST_HUMIDITY), 100.0, values)
            if len(parts) == 2:
                damp = (np.minimum(*parts), np.maximum(*parts))
        spread = np.full(length, np.nan)
        spread[at] = np.round(values, 6)
        series[one.column] = spread
    dew = series.pop(DEW_POINT, None)
    if dew is not None:
        series["humidity"] = _humidity_of_dew(series["tmin_c"], series["tmax_c"], dew)
    elif damp is not None:
        series["humidity"][at] = _joined_humidity(series["tmin_c"][at], series["tmax_c"][at], *damp)
    lines = dict(zip(((day - first).days for day in table.days), table.lines, strict=True))
    whole = whole_file_fault(table.place, series["tmin_c"], series["tmax_c"], latitude)
    if whole is not None:
        raise InputFault([whole])
    swapped = _swapped(series, swap)
    faults = _impossible(series, table.place, lines)
    if faults:
        raise InputFault(_counted(faults, table.place))
    absent = tuple(first + timedelta(days=place) for place in range(length) if place not in lines)
    low, high, rain = series["tmin_c"], series["tmax_c"], series["precip_mm"]
    missing = np.flatnonzero(np.isnan(low) | np.isnan(high) | np.isnan(rain))
    weather = DailyWeather(
        first,
        low,
        high,
        rain,
        series.get("srad"),
        series.get("humidity"),
        series.get("wind"),
        series.get("et0"),
        source,
        Evidence.MEASURED,
        tuple(first + timedelta(days=int(place)) for place in missing),
    )
    return StationDays(weather, absent, tuple(first + timedelta(days=int(place)) for place in swapped))


def _joined_humidity(low: Series, high: Series, driest: Series, dampest: Series) -> Series:
    """Return the humidity that gives the day's vapour pressure of its lowest and highest ([@allen1998] eq. 17, 12). [%]

    The highest humidity goes with the lowest temperature; the mean of the two would be too dry by far on hot days.
    """
    pressure_of = getattr(saturation_vapour_pressure, "py_func", saturation_vapour_pressure)
    at_low = np.array([pressure_of(float(value)) for value in low])
    at_high = np.array([pressure_of(float(value)) for value in high])
    dampest = np.minimum(dampest, 100.0)
    joined = (at_low * dampest + at_high * driest) / (at_low + at_high)
    return np.asarray(np.round(joined, 6))


def _humidity_of_dew(low: Series, high: Series, dew: Series) -> Series:
    """Return the humidity that gives the vapour pressure of a dew point ([@allen1998] eq. 14, 12). [%]"""
    pressure_of = getattr(saturation_vapour_pressure, "py_func", saturation_vapour_pressure)
    found = np.full(low.size, np.nan)
    for place in np.flatnonzero(~(np.isnan(low) | np.isnan(high) | np.isnan(dew))):
        saturation = (pressure_of(float(low[place])) + pressure_of(float(high[place]))) / 2.0
        found[place] = min(100.0, 100.0 * pressure_of(float(dew[place])) / saturation)
    return np.asarray(np.round(found, 6))


def _doubled(table: StationTable) -> list[Fault]:
    """Return a fault for each day that stands twice, one alone where the table is hourly."""
    seen: dict[date, int] = {}
    faults = []
    for day, line in zip(table.days, table.lines, strict=True):
        if day in seen:
            remedy = f"Keep one of lines {seen[day]} and {line}."
            faults.append(Fault(f"{table.place}, line {line}", f"{day} stands twice", "each day once", remedy))
        else:
            seen[day] = line
    if len(faults) > len(seen):
        remedy = "Give daily values: lowest, highest and sums of whole days."
        return [Fault(table.place, f"{len(table.days)} rows for {len(seen)} days", "one row a day", remedy)]
    return faults


def _swapped(series: dict[str, Series], swap: bool) -> Sequence[int]:
    """Return the days whose lowest and highest are the wrong way round, after swapping them back where allowed."""
    wrong = np.flatnonzero(series["tmin_c"] > series["tmax_c"])
    if not swap:
        return []
    low, high = series["tmin_c"][wrong].copy(), series["tmax_c"][wrong].copy()
    series["tmin_c"][wrong], series["tmax_c"][wrong] = high, low
    return [int(place) for place in wrong]


def _impossible(series: dict[str, Series], place: str, lines: dict[int, int]) -> list[Fault]:
    """Return values no place on earth has, and days whose lowest is above their highest, with their lines."""
    faults = []
    for column in COLUMNS:
        values = series.get(column.name)
        if values is None:
            continue
        for day in np.flatnonzero((values < column.lowest) | (values > column.highest)):
            allowed = f"{column.lowest:g} to {column.highest:g} {column.unit}"
            where = f"{place}, line {lines[int(day)]}, {column.name}"
            faults.append(Fault(where, f"{values[day]:g} {column.unit}", allowed, column.hint))
    spread = series["tmax_c"] - series["tmin_c"]
    for day in np.flatnonzero(spread < 0.0):
        found = f"lowest {series['tmin_c'][day]:g} above highest {series['tmax_c'][day]:g} °C"
        remedy = "Correct it, or allow swapping: --swap."
        faults.append(Fault(f"{place}, line {lines[int(day)]}", found, "lowest not above highest", remedy))
    for day in np.flatnonzero(spread > LARGEST_DAILY_RANGE):
        allowed = f"at most {LARGEST_DAILY_RANGE:g} °C in one day"
        remedy = "Correct it or leave the cells empty."
        faults.append(Fault(f"{place}, line {lines[int(day)]}", f"{spread[day]:g} °C apart", allowed, remedy))
    return faults


def _counted(faults: list[Fault], place: str) -> list[Fault]:
    """Return so many faults, and how many more there are."""
    if len(faults) <= MOST_FAULTS:
        return faults
    more = Fault(place, f"{len(faults) - MOST_FAULTS} more of them", "none", "Mend those above first.")
    return [*faults[:MOST_FAULTS], more]
