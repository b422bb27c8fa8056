"""A station's table of days as it is: any headings, any delimiter, dates in the usual forms, marks for missing values.

Here it is only taken apart; what the columns are is found in `station_columns`.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from itertools import pairwise

import numpy as np

from mullbed.domain.daily_weather import Series
from mullbed.errors import Fault, InputFault

MISSING = frozenset({"", "-", "--", "na", "n/a", "nan", "null", "none", "m", "missing", "#n/a", "x", "*", "."})
NUMBERS_FOR_MISSING = frozenset(
    {-99.0, -99.9, -999.0, -999.9, -9999.0, -9999.9, -99.99, -99999.0, 9999.0, 99999.0, 999.9}
)
"""Numbers that stand for "not measured" in many tables."""
TRACE = frozenset({"t", "tr", "trace"})
"""Too little to measure; taken for 0 mm."""
MOST_ROWS = 150_000
DATE_NAMES = frozenset(
    {"date", "day", "time", "datum", "fecha", "dato", "yyyymmdd", "timestamp", "datetime", "obsdate"}
)
_YEARS, _MONTHS = frozenset({"year", "yr", "yyyy", "jahr"}), frozenset({"month", "mo", "mm", "mon"})
_DAYS_OF_YEAR = frozenset({"doy", "dayofyear", "jday", "julianday", "yday", "julian"})
_DAYS_OF_MONTH = frozenset({"day", "dd", "dom", "da"})


class DateOrder(StrEnum):
    """In which order a date is written."""

    YEAR_FIRST = "year-month-day"
    DAY_FIRST = "day-month-year"
    MONTH_FIRST = "month-day-year"


@dataclass(slots=True)
class StationTable:
    """The rows of a table, with their days."""

    place: str
    headings: tuple[str, ...]
    units: dict[str, str]
    """What stands in a row of units below the headings, by heading."""
    date_headings: tuple[str, ...]
    order: DateOrder | None
    """None where the days stand in several columns."""
    days: list[date]
    lines: list[int]
    cells: list[list[str]]
    decimal_comma: bool

    def numbers(self, heading: str) -> Series:
        """Return a column as numbers; NaN where nothing was measured.

        Raises
        ------
        InputFault
            When a cell is neither a number nor a mark for missing.
        """
        place = self.headings.index(heading)
        values = np.full(len(self.cells), np.nan)
        faults: list[Fault] = []
        for row, cells in enumerate(self.cells):
            text = cells[place].strip() if place < len(cells) else ""
            number = self._number(text)
            if number is None:
                if len(faults) < 6:
                    remedy = "Write a number, or leave the cell empty where nothing was measured."
                    where = f"{self.place}, line {self.lines[row]}, {heading}"
                    faults.append(Fault(where, f"'{_printable(text)}'", "a number or an empty cell", remedy))
                continue
            values[row] = number
        if faults:
            raise InputFault(faults)
        return values

    def _number(self, text: str) -> float | None:
        folded = text.casefold()
        if folded in MISSING:
            return math.nan
        if folded in TRACE:
            return 0.0
        if self.decimal_comma:
            text = text.replace(",", ".")
        try:
            number = float(text)
        except ValueError:
            return None
        if not math.isfinite(number):
            return math.nan
        return math.nan if number in NUMBERS_FOR_MISSING else number

    def marks(self, headings: Sequence[str]) -> dict[str, int]:
        """Return how often each number for "not measured", and traces, stand in some columns."""
        counted: dict[str, int] = {}
        for heading in headings:
            place = self.headings.index(heading)
            for cells in self.cells:
                text = cells[place].strip().casefold() if place < len(cells) else ""
                if text in TRACE:
                    counted["trace"] = counted.get("trace", 0) + 1
                    continue
                try:
                    number = float(text.replace(",", ".") if self.decimal_comma else text)
                except ValueError:
                    continue
                if number in NUMBERS_FOR_MISSING:
                    counted[f"{number:g}"] = counted.get(f"{number:g}", 0) + 1
        return counted


def station_table(text: str, place: str, order: DateOrder | None = None) -> StationTable:
    """Return a table taken apart.

    Parameters
    ----------
    text : str
    place : str
        The file's name in faults.
    order : DateOrder, optional
        How dates are written, where they do not tell it themselves.

    Raises
    ------
    InputFault
        When there is no heading, no day can be read, or dates can be read in two ways.
    """
    lines = [
        (number, content.rstrip("\r"))
        for number, content in enumerate(text.split("\n"), start=1)
        if content.strip(" \r,;\t") and not content.startswith(("#", "!", "//"))
    ]
    if len(lines) < 2:
        raise InputFault([Fault(place, "no rows", "a line of headings and one row a day", "Give the station's table.")])
    if len(lines) > MOST_ROWS:
        remedy = "Give daily values of one station."
        raise InputFault([Fault(place, f"{len(lines)} rows", f"at most {MOST_ROWS} days", remedy)])
    between = _delimiter([content for _, content in lines[:20]])
    rows = [(number, _cells(content, between)) for number, content in lines]
    start = _heading_row(rows)
    headings = _unique([cell.strip().strip('"') for cell in rows[start][1]])
    body = rows[start + 1 :]
    units: dict[str, str] = {}
    if body and not any(_looks_like_data(cell) for cell in body[0][1]):
        units = {heading: cell.strip().strip("()[]") for heading, cell in zip(headings, body[0][1], strict=False)}
        body = body[1:]
    comma = between != "," and any(re.fullmatch(r"-?\d+,\d+", cell.strip()) for _, row in body[:50] for cell in row)
    date_headings, found_order, days = _days(headings, body, place, order)
    return StationTable(
        place,
        tuple(headings),
        units,
        date_headings,
        found_order,
        days,
        [number for number, _ in body],
        [cells for _, cells in body],
        comma,
    )


def _delimiter(lines: Sequence[str]) -> str:
    """Return what parts the cells: comma, semicolon, tab, or runs of blanks."""
    counts = {sign: min(line.count(sign) for line in lines[-10:]) for sign in (";", "\t", ",")}
    best = max(counts, key=lambda sign: counts[sign])
    return best if counts[best] > 0 else " "


def _cells(content: str, between: str) -> list[str]:
    if between == " ":
        return content.split()
    try:
        return next(csv.reader([content], delimiter=between, skipinitialspace=True))
    except (csv.Error, StopIteration):
        return []


def _heading_row(rows: Sequence[tuple[int, list[str]]]) -> int:
    """Return the row of headings: the last of the first lines before one that holds numbers or dates."""
    for place, (_, cells) in enumerate(rows[:40]):
        if sum(_looks_like_data(cell) for cell in cells) >= max(2, len(cells) // 3):
            above = [p for p in range(place) if len(rows[p][1]) >= len(cells) - 1 and len(rows[p][1]) > 1]
            texts = [p for p in above if not any(_looks_like_data(cell) for cell in rows[p][1])]
            return texts[-2] if len(texts) > 1 and _is_units(rows[texts[-1]][1]) else texts[-1] if texts else 0
    return 0


def _is_units(cells: Sequence[str]) -> bool:
    """Tell whether a row under headings holds units: short texts, brackets or signs."""
    short = sum(len(cell.strip()) <= 9 for cell in cells)
    signs = sum(bool(re.search(r"[°/%²()\[\]]|^(mm|in|c|f|m|k|mj|w)$", cell.strip(), re.I)) for cell in cells)
    return short >= len(cells) - 1 and signs >= 1


def _looks_like_data(cell: str) -> bool:
    return bool(re.match(r"^\s*\"?-?\d", cell))


def _unique(headings: Sequence[str]) -> list[str]:
    found: list[str] = []
    for heading in headings:
        name, number = heading or "unnamed", 2
        while name in found:
            name, number = f"{heading or 'unnamed'} {number}", number + 1
        found.append(name)
    return found


def _days(
    headings: Sequence[str], body: Sequence[tuple[int, list[str]]], place: str, order: DateOrder | None
) -> tuple[tuple[str, ...], DateOrder | None, list[date]]:
    """Return the headings of the dates, their order and the days."""
    plain = [re.sub(r"[^a-z]", "", heading.casefold()) for heading in headings]

    def at(names: frozenset[str]) -> int | None:
        return next((place for place, name in enumerate(plain) if name in names), None)

    year, month = at(_YEARS), at(_MONTHS)
    of_year, of_month = at(_DAYS_OF_YEAR), at(_DAYS_OF_MONTH)
    if year is not None and month is not None and of_month is not None:
        used: tuple[int, ...] = (year, month, of_month)
        return tuple(headings[p] for p in used), None, _joined(body, used, place)
    if year is not None and of_year is not None:
        used = (year, of_year)
        return tuple(headings[p] for p in used), None, _joined(body, used, place)
    column = at(DATE_NAMES)
    if column is None:
        column = next((p for p in range(len(headings)) if _all_dates(body, p)), None)
    if column is None:
        allowed = "a column date, or year with month and day, or year with day of year"
        raise InputFault([Fault(place, f"no dates under {', '.join(headings)[:120]}", allowed, "Name it date.")])
    texts = [_at(cells, column) for _, cells in body]
    chosen = order or _order(texts, place, headings[column])
    days: list[date] = []
    faults: list[Fault] = []
    for (line, _), text in zip(body, texts, strict=True):
        day = _day(text, chosen)
        if day is None:
            faults.append(
                Fault(f"{place}, line {line}", f"'{_printable(text)}'", f"a date, {chosen}", "Write a whole date.")
            )
        else:
            days.append(day)
    if faults:
        raise InputFault(faults[:6])
    return (headings[column],), chosen, days


def _at(cells: Sequence[str], column: int) -> str:
    return cells[column].strip().strip('"') if column < len(cells) else ""


def _all_dates(body: Sequence[tuple[int, list[str]]], column: int) -> bool:
    sample = [_at(cells, column) for _, cells in body[:20]]
    return bool(sample) and all(any(_day(text, order) for order in DateOrder) for text in sample)


def _order(texts: Sequence[str], place: str, heading: str) -> DateOrder:
    """Return the one order in which all dates can be read.

    Raises
    ------
    InputFault
        When there is none, or day and month cannot be told apart.
    """
    fits = [order for order in DateOrder if all(_day(text, order) is not None for text in texts)]
    if len(fits) > 1:
        # both read, but only one of them counts the days up one by one
        steps = {order: _single_steps(texts, order) for order in fits}
        best = max(steps.values())
        fits = [order for order in fits if steps[order] == best]
    if len(fits) == 1:
        return fits[0]
    if not fits:
        odd = next((text for text in texts if not any(_day(text, order) for order in DateOrder)), texts[0])
        remedy = "Write dates as 2024-05-31."
        raise InputFault([Fault(f"{place}, {heading}", f"'{_printable(odd)}'", "dates in one order", remedy)])
    remedy = f"Say which: --dates {fits[0]} or --dates {fits[1]}."
    raise InputFault([Fault(f"{place}, {heading}", f"'{texts[0]}' can be read in two ways", "one order", remedy)])


def _single_steps(texts: Sequence[str], order: DateOrder) -> int:
    days = [_day(text, order) for text in texts]
    return sum(b == a + timedelta(days=1) for a, b in pairwise(days) if a and b)


def _day(text: str, order: DateOrder) -> date | None:
    """Return the day a text tells in an order; a time of midnight or noon behind it is left out."""
    text = re.sub(r"[T ]\d{1,2}:\d{2}.*$", "", text.strip())
    if re.fullmatch(r"\d{8}", text):
        parts = (text[:4], text[4:6], text[6:]) if order is DateOrder.YEAR_FIRST else (text[:2], text[2:4], text[4:])
    else:
        pieces = re.split(r"[-/.]", text)
        if len(pieces) != 3 or not all(piece.isdigit() for piece in pieces):
            return None
        parts = (pieces[0], pieces[1], pieces[2])
    if order is DateOrder.YEAR_FIRST:
        year, month, day = parts
    elif order is DateOrder.DAY_FIRST:
        day, month, year = parts
    else:
        month, day, year = parts
    if len(year) != 4:
        return None
    try:
        return date(int(year), int(month), int(day))
    except ValueError:
        return None


def _joined(body: Sequence[tuple[int, list[str]]], used: Sequence[int], place: str) -> list[date]:
    """Return days told by year, month and day, or by year and day of the year."""
    days: list[date] = []
    faults: list[Fault] = []
    for line, cells in body:
        texts = [_at(cells, column) for column in used]
        try:
            numbers = [int(float(text)) for text in texts]
            if len(used) == 3:
                days.append(date(numbers[0], numbers[1], numbers[2]))
            else:
                day = date(numbers[0], 1, 1) + timedelta(days=numbers[1] - 1)
                if day.year != numbers[0]:
                    raise ValueError
                days.append(day)
        except (ValueError, OverflowError):
            told = "-".join(texts)
            faults.append(Fault(f"{place}, line {line}", f"'{_printable(told)}'", "a day", "Correct the date."))
    if faults:
        raise InputFault(faults[:6])
    return days


def _printable(text: str, longest: int = 40) -> str:
    clean = "".join(letter if letter.isprintable() else "?" for letter in text)
    return clean if len(clean) <= longest else clean[: longest - 3] + "..."
