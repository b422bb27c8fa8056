"""Read a station's table whatever its columns: what they are, what is missing, what looks odd; write our own file.

Reads the table and, where one is named, a mapping file; writes a station file and a mapping file where it is told to,
never before somebody confirmed what was guessed. Raises InputFault with everything that is wrong.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from mullbed.domain.daily_weather import DailyWeather
from mullbed.domain.weather_record import ColumnFound, HeadingLeftOut, WeatherRead
from mullbed.errors import Fault, InputFault
from mullbed.weather.bounded_text import read_bounded_text
from mullbed.weather.daily_file import parse_daily_weather
from mullbed.weather.gaps import GapPolicy, gap_policy
from mullbed.weather.grid_days import is_grid, weather_at
from mullbed.weather.read_record import record_of
from mullbed.weather.record_mapping import ToldColumns, read_mapping, told_column
from mullbed.weather.service_days import is_service_answer
from mullbed.weather.station_columns import Understood, understood
from mullbed.weather.station_days import station_days
from mullbed.weather.station_file import write_whole
from mullbed.weather.station_table import DateOrder, StationTable, station_table
from mullbed.weather.told_units import OURS


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the user told, checked."""

    told: ToldColumns
    policies: tuple[GapPolicy, ...]


def read_weather(
    path: Path,
    *,
    columns: Sequence[str] = (),
    mapping: Path | None = None,
    dates: str | None = None,
    wind_height: float | None = None,
    latitude: float | None = None,
    longitude: float | None = None,
    elevation: float | None = None,
    gaps: Sequence[str] = (),
    swap: bool = False,
    source: str | None = None,
    confirmed: bool = False,
    out: Path | None = None,
    keep_mapping: Path | None = None,
) -> WeatherRead:
    """Return a record and all that was found out about it.

    Parameters
    ----------
    path : Path
        A station's table, the saved answer of an open data service, or a grid in NetCDF or Zarr.
    columns : sequence of str
        What columns are, such as "tmax_c=TX:°F"; they beat the mapping file.
    mapping : Path, optional
        A mapping file kept before.
    dates : str, optional
        Order of dates that can be read in two ways.
    wind_height : float, optional
        [m]
    latitude, longitude, elevation : float, optional
        A grid needs the first two. [degrees], [degrees], [m]
    gaps : sequence of str
        Ways of dealing with gaps, one after the other: "leave", "refuse", "line:3", "other-years".
    swap : bool
        Swap lowest and highest back where they are the wrong way round.
    source : str, optional
        Where it is from, in words.
    confirmed : bool
        True once somebody has seen what was guessed.
    out, keep_mapping : Path, optional
        Where to write the station file and the mapping.

    Raises
    ------
    InputFault
        When the table or what was told is at fault, or something guessed is to be written unconfirmed.
    """
    asked = _asked(columns, mapping, dates, wind_height, gaps)
    if is_grid(path):
        weather = _cell(path, latitude, longitude, asked.told)
        place = f"{path.name} at {latitude}, {longitude}"
        read = record_of(weather, place, asked.policies, latitude=latitude, elevation=elevation, source=source)
        _write(read, confirmed, out, None)
        return read
    text = read_bounded_text(path)
    found: tuple[ColumnFound, ...] = ()
    left: tuple[HeadingLeftOut, ...] = ()
    swapped: tuple[date, ...] = ()
    order, absent = "", 0
    if is_service_answer(text, str(path)):
        weather = parse_daily_weather(text, str(path), latitude)
    else:
        table = station_table(text, str(path), asked.told.dates)
        known = understood(table, asked.told.columns)
        days = station_days(
            table,
            known,
            source=source or _source_of(text) or path.name,
            latitude=latitude,
            wind_height=asked.told.wind_height,
            swap=swap,
        )
        weather, swapped, absent = days.weather, days.swapped, len(days.absent)
        found, left, order = _columns_found(table, known), known.left_out, str(table.order or "")
    read = record_of(
        weather,
        path.name,
        asked.policies,
        columns=found,
        left_out=left,
        date_order=order,
        wind_height=asked.told.wind_height,
        absent_days=absent,
        swapped=swapped,
        latitude=latitude,
        elevation=elevation,
        source=source,
    )
    _write(read, confirmed, out, keep_mapping)
    return read


def _asked(
    columns: Sequence[str], mapping: Path | None, dates: str | None, wind_height: float | None, gaps: Sequence[str]
) -> _Asked:
    """Return what was told, checked all at once."""
    faults: list[Fault] = []
    told = ToldColumns()
    try:
        if mapping is not None:
            told = read_mapping(read_bounded_text(mapping), str(mapping))
    except InputFault as refused:
        faults += refused.faults
    named = dict(told.columns)
    for one in columns:
        try:
            name, what = told_column(one)
            named[name] = what
        except InputFault as refused:
            faults += refused.faults
    policies = []
    for one in gaps:
        try:
            policies.append(gap_policy(one))
        except InputFault as refused:
            faults += refused.faults
    order = told.dates
    if dates is not None:
        if dates in list(DateOrder):
            order = DateOrder(dates)
        else:
            faults.append(Fault("--dates", f"'{dates[:30]}'", " | ".join(DateOrder), "Choose one of these."))
    if faults:
        raise InputFault(faults)
    height = told.wind_height if wind_height is None else wind_height
    return _Asked(ToldColumns(named, order, height), tuple(policies))


def _columns_found(table: StationTable, known: Understood) -> tuple[ColumnFound, ...]:
    """Return the columns as facts to show."""
    return tuple(
        ColumnFound(
            one.column,
            one.sources,
            "" if one.unit is None else one.unit.name,
            OURS[one.column],
            one.how,
            one.low,
            one.middle,
            one.high,
            tuple(sorted(table.marks(one.sources).items())),
        )
        for one in known.found
    )


def _cell(path: Path, latitude: float | None, longitude: float | None, told: ToldColumns) -> DailyWeather:
    """Return the weather of a place out of a grid."""
    if latitude is None or longitude is None:
        remedy = "Say which place: --latitude 48.2 --longitude 16.4."
        raise InputFault([Fault(path.name, "a grid of many places", "latitude and longitude", remedy)])
    names = {column: headings[0] for column, (headings, _) in told.columns.items() if headings}
    return weather_at(path, latitude, longitude, columns=names)


def _source_of(text: str) -> str:
    """Return the source a table names in a remark; empty where it names none."""
    for line in text.splitlines()[:60]:
        if line.startswith("#") and line.lstrip("# ").casefold().startswith("source:"):
            return line.lstrip("# ")[len("source:") :].strip()
    return ""


def _write(read: WeatherRead, confirmed: bool, out: Path | None, keep_mapping: Path | None) -> None:
    """Write what is asked for; refuse what rests on a guess nobody has confirmed."""
    if (out is not None or keep_mapping is not None) and not confirmed and read.unconfirmed:
        raise InputFault(
            Fault(
                f"{read.place}, {'+'.join(one.headings)}",
                f"taken for {one.column} in {one.unit or '?'}: {one.how}",
                "a unit you have seen and confirmed",
                f"Add --yes if all are right, or say it: --column {one.column}={'+'.join(one.headings)}:UNIT.",
            )
            for one in read.unconfirmed
        )
    if out is not None:
        write_whole(out, read.text)
    if keep_mapping is not None:
        write_whole(keep_mapping, read.mapping)
