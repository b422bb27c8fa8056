"""What is usual on each day of the year, kept beside the garden file so that a day not read can be filled."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from io import StringIO
from typing import Protocol

from mullbed.domain.record_seen import WeatherDay

USUAL_FILE = "usual-weather.csv"
HEADER = ("month_day", "low [Cel]", "high [Cel]", "rain [mm/d]")


class Usual(Protocol):
    """A day with what is usual on it."""

    @property
    def day(self) -> date: ...
    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...
    @property
    def rain(self) -> float: ...


def usual_text(days: Iterable[Usual]) -> str:
    """Return usual days as CSV, one row for each day of the year; the first of two equal ones holds."""
    rows: dict[str, tuple[str, str, str]] = {}
    for one in days:
        rows.setdefault(f"{one.day:%m-%d}", (f"{one.low:.1f}", f"{one.high:.1f}", f"{one.rain:.1f}"))
    text = StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(HEADER)
    writer.writerows([key, *row] for key, row in sorted(rows.items()))
    return text.getvalue()


def read_usual(text: str) -> Mapping[str, tuple[float, float, float]]:
    """Return low, high [°C] and rain [mm] by month and day."""
    rows = csv.reader(StringIO(text))
    next(rows, None)
    return {row[0]: (float(row[1]), float(row[2]), float(row[3])) for row in rows if len(row) == len(HEADER)}


def filled(told: WeatherDay, day: date, usual: Mapping[str, tuple[float, float, float]]) -> WeatherDay:
    """Return a day with what was not read taken from what is usual, and marked; as it is where nothing is known."""
    known = usual.get(f"{day:%m-%d}") or usual.get(f"{day - timedelta(days=1):%m-%d}")
    if known is None:
        return told
    low, high, rain = known
    lowest = told.low if told.low is not None else low if told.high is None else min(low, told.high)
    highest = told.high if told.high is not None else max(high, lowest)
    marks = [name for name in ("rain", "low", "high") if getattr(told, name) is None]
    wet = told.rain if told.rain is not None else rain
    return WeatherDay(wet, lowest, highest, told.expected, (*told.filled, *marks), told.words)
