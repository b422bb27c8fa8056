"""Station files of daily weather: read whole or refused, every fault at once; missing days are named.

A file is CSV in UTF-8 with a header line: ``date`` (ISO 8601), ``tmin_c``, ``tmax_c``, ``precip_mm`` and, if
they are known, ``srad``, ``humidity``, ``wind``, ``et0``. Lines that begin with ``#`` are remarks; one that
begins with ``# source:`` names the source. Cells are parted by comma, semicolon (then a decimal comma is
understood) or tab. There is one row for every day; an empty cell is a missing value and stays missing. A text that is
JSON is taken for the answer of an open data service (`service_days`).
"""

from __future__ import annotations

import csv
import difflib
import math
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path

import numpy as np

from mullbed.domain.daily_weather import DailyWeather, Series
from mullbed.domain.spread import Evidence
from mullbed.errors import Fault, InputFault
from mullbed.weather.bounded_text import read_bounded_text
from mullbed.weather.daily_columns import COLUMNS, LARGEST_DAILY_RANGE, LONGEST_RECORD_DAYS, NAMES, Column
from mullbed.weather.service_days import is_service_answer, station_rows
from mullbed.weather.suspicions import whole_file_fault

MOST_ALIKE = 6
"""So many faults of one kind are listed one by one; the rest is counted."""


@dataclass(slots=True)
class _Row:
    line: int
    day: date
    values: dict[str, float]


def read_daily_weather(path: Path, latitude: float | None = None) -> DailyWeather:
    """Return the daily weather of a station file.

    Raises
    ------
    InputFault
        With every fault of the file: its line, what was found, what is allowed and the remedy.
    """
    return parse_daily_weather(read_bounded_text(path), str(path), latitude)


def parse_daily_weather(text: str, place: str, latitude: float | None = None) -> DailyWeather:
    """Return the daily weather written in a text; ``place`` is the file's name in faults.

    Raises
    ------
    InputFault
        With every fault of the text.
    """
    if is_service_answer(text, place):
        text = station_rows(text, place)
    source, header_line, lines = _split_lines(text, place)
    delimiter = _delimiter(header_line[1])
    columns, faults = _columns(header_line, delimiter, place)
    if faults:
        raise InputFault(faults)
    rows: list[_Row] = []
    for line, content in lines:
        row = _row(line, content, delimiter, columns, place, faults)
        if row is not None:
            rows.append(row)
    if not rows and not faults:
        faults.append(Fault(place, "no rows", "one row for every day", "Add the daily rows below the header line."))
    if rows:
        faults = _temperature_faults(rows, place, latitude, faults) + _calendar_faults(rows, place)
    if faults:
        raise InputFault(_shortened(faults, place))
    return _weather(rows, columns, source or Path(place).name)


def _split_lines(text: str, place: str) -> tuple[str, tuple[int, str], list[tuple[int, str]]]:
    source = ""
    kept: list[tuple[int, str]] = []
    for number, content in enumerate(text.split("\n"), start=1):
        content = content.rstrip("\r")
        if content.startswith("#"):
            remark = content.lstrip("# ").strip()
            if remark.lower().startswith("source:"):
                source = remark[len("source:") :].strip()
        elif content.strip(" ,;\t"):
            kept.append((number, content))
    if not kept:
        raise InputFault([Fault(place, "no header line", ", ".join(NAMES[:4]), "Add a header line and the rows.")])
    return source, kept[0], kept[1:]


def _delimiter(header: str) -> str:
    return max((",", ";", "\t"), key=header.count)


def _cells(content: str, delimiter: str) -> list[str]:
    try:
        return [cell.strip() for cell in next(csv.reader([content], delimiter=delimiter))]
    except (csv.Error, StopIteration):
        return []


def _columns(header: tuple[int, str], delimiter: str, place: str) -> tuple[dict[str, int], list[Fault]]:
    """Return where each known column stands, and what is wrong with the header line."""
    line, content = header
    names = [cell.lower() for cell in _cells(content, delimiter)]
    where = f"{place}, line {line}"
    faults: list[Fault] = []
    missing = [name for name in ("date", *(c.name for c in COLUMNS if c.required)) if name not in names]
    if missing:
        shown = content if len(content) <= 60 else content[:57] + "..."
        faults.append(
            Fault(
                where,
                f"the header line '{_printable(shown)}' lacks {', '.join(missing)}",
                "columns " + ", ".join(NAMES[:4]) + "; if known also " + ", ".join(NAMES[4:]),
                "Name the columns in the first line so.",
            )
        )
    for name in sorted({name for name in names if name in NAMES and names.count(name) > 1}):
        faults.append(Fault(where, f"column {name} stands twice", "each column once", "Remove one of them."))
    for name in names:
        near = difflib.get_close_matches(name, NAMES, n=1, cutoff=0.7)
        if name not in NAMES and near and near[0] not in names and near[0] not in missing:
            faults.append(
                Fault(where, f"column '{_printable(name)}'", ", ".join(NAMES), f"Write {near[0]}, or remove it.")
            )
    return {name: names.index(name) for name in NAMES if name in names}, faults


def _row(
    line: int, content: str, delimiter: str, columns: dict[str, int], place: str, faults: list[Fault]
) -> _Row | None:
    where = f"{place}, line {line}"
    cells = _cells(content, delimiter)
    if len(cells) <= max(columns.values()):
        faults.append(
            Fault(
                where,
                f"{len(cells)} cells",
                f"at least {max(columns.values()) + 1}, as in the header line",
                "Complete the row; leave a cell empty where nothing was measured.",
            )
        )
        return None
    written = cells[columns["date"]]
    try:
        day = date.fromisoformat(written)
    except ValueError:
        faults.append(
            Fault(
                f"{where}, date",
                f"'{_printable(written)}'",
                "a date such as 2024-05-31",
                "Write year-month-day with two digits for month and day.",
            )
        )
        return None
    values: dict[str, float] = {}
    for column in COLUMNS:
        if column.name in columns:
            values[column.name] = _value(cells[columns[column.name]], column, where, delimiter, faults)
    return _Row(line, day, values)


def _value(cell: str, column: Column, where: str, delimiter: str, faults: list[Fault]) -> float:
    """Return the number in a cell, NaN where it is missing; adds a fault and returns NaN where it is wrong."""
    if not cell:
        return math.nan
    allowed = f"{column.lowest:g} to {column.highest:g} {column.unit}, or an empty cell for a missing value"
    try:
        value = float(cell.replace(",", ".") if delimiter != "," else cell)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        remedy = "Write a number, or leave the cell empty where nothing was measured."
        faults.append(Fault(f"{where}, {column.name}", f"'{_printable(cell)}' is not a number", allowed, remedy))
        return math.nan
    if not column.lowest <= value <= column.highest:
        if column.name in ("tmin_c", "tmax_c") and abs(value) < 150.0:
            return value  # judged with the whole file first: it may be Fahrenheit
        faults.append(Fault(f"{where}, {column.name}", f"{value:g} {column.unit}", allowed, column.hint))
        return math.nan
    return value


def _temperature_faults(rows: list[_Row], place: str, latitude: float | None, faults: list[Fault]) -> list[Fault]:
    """Return the faults so far and those of the temperatures: one for a whole-file slip, else line by line."""
    low = np.array([row.values["tmin_c"] for row in rows])
    high = np.array([row.values["tmax_c"] for row in rows])
    whole = whole_file_fault(place, low, high, latitude)
    if whole is not None:
        return [whole, *faults]
    found = list(faults)
    limits = {column.name: column for column in COLUMNS}
    for row in rows:
        where = f"{place}, line {row.line}"
        impossible = False
        for name in ("tmin_c", "tmax_c"):
            column, value = limits[name], row.values[name]
            if value < column.lowest or value > column.highest:
                impossible = True
                allowed = f"{column.lowest:g} to {column.highest:g} {column.unit}"
                found.append(Fault(f"{where}, {name}", f"{value:g} °C", allowed, column.hint))
        spread = row.values["tmax_c"] - row.values["tmin_c"]
        if impossible:
            continue
        if spread < 0:
            found.append(
                Fault(
                    where,
                    f"tmin_c {row.values['tmin_c']:g} is above tmax_c {row.values['tmax_c']:g}",
                    "tmin_c not above tmax_c",
                    "Swap the two values, or leave both cells empty if you cannot tell.",
                )
            )
        elif spread > LARGEST_DAILY_RANGE:
            allowed = f"at most {LARGEST_DAILY_RANGE:g} °C in one day"
            found.append(
                Fault(where, f"{spread:g} °C between low and high", allowed, "Correct it or leave the cells empty.")
            )
    return found


def _calendar_faults(rows: list[_Row], place: str) -> list[Fault]:
    """Return doubled, unsorted and absent days."""
    faults: list[Fault] = []
    lines: dict[date, int] = {}
    latest = rows[0].day
    for row in rows:
        where = f"{place}, line {row.line}, date"
        if row.day in lines:
            remedy = f"Keep one of lines {lines[row.day]} and {row.line}."
            faults.append(Fault(where, f"{row.day} stands twice", "each day once", remedy))
            continue
        lines[row.day] = row.line
        if row.day < latest:
            faults.append(Fault(where, f"{row.day} comes after {latest}", "days in order", "Sort the rows by date."))
        latest = max(latest, row.day)
    for earlier, later in pairwise(sorted(lines)):
        absent = (later - earlier).days - 1
        if absent > 0:
            from_day, to_day = earlier + timedelta(days=1), later - timedelta(days=1)
            days = f"{from_day} is missing" if absent == 1 else f"{absent} days are missing, {from_day} to {to_day}"
            remedy = "Add a row for each; leave its cells empty where nothing was measured. Gaps are never filled."
            faults.append(Fault(f"{place}, line {lines[later]}, date", days, "one row for every day", remedy))
    if (max(lines) - min(lines)).days > LONGEST_RECORD_DAYS:
        found, allowed = f"dates from {min(lines)} to {max(lines)}", f"at most {LONGEST_RECORD_DAYS // 365} years"
        faults.append(Fault(place, found, allowed, "Correct the year that was mistyped."))
    return faults


def _weather(rows: list[_Row], columns: dict[str, int], source: str) -> DailyWeather:
    def series(name: str) -> Series | None:
        return np.array([row.values[name] for row in rows]) if name in columns else None

    needed = ("tmin_c", "tmax_c", "precip_mm")
    missing = tuple(row.day for row in rows if any(math.isnan(row.values[name]) for name in needed))
    return DailyWeather(
        first_day=rows[0].day,
        low=np.array([row.values["tmin_c"] for row in rows]),
        high=np.array([row.values["tmax_c"] for row in rows]),
        rain=np.array([row.values["precip_mm"] for row in rows]),
        radiation=series("srad"),
        humidity=series("humidity"),
        wind=series("wind"),
        reference_evaporation=series("et0"),
        source=source,
        evidence=Evidence.MEASURED,
        missing_days=missing,
    )


def _shortened(faults: list[Fault], place: str) -> list[Fault]:
    """Return the faults with what is wrong alike on many lines said a few times, then counted."""
    listed: list[Fault] = []
    alike: dict[tuple[str, str], int] = {}
    for fault in faults:
        kind = (fault.allowed, fault.remedy)
        alike[kind] = alike.get(kind, 0) + 1
        if alike[kind] <= MOST_ALIKE:
            listed.append(fault)
    for (allowed, remedy), count in alike.items():
        if count > MOST_ALIKE:
            listed.append(Fault(place, f"the same on {count - MOST_ALIKE} more lines", allowed, remedy))
    return listed


def _printable(text: str, longest: int = 40) -> str:
    """Return the text short and without control characters, fit for an error line."""
    clean = "".join(letter if letter.isprintable() else "?" for letter in text)
    return clean if len(clean) <= longest else clean[: longest - 3] + "..."
