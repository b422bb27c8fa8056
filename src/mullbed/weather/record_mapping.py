"""What a station's columns are, as a small TOML file: written once it is right, given again with the next table."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from mullbed.domain.weather_record import ColumnFound
from mullbed.errors import Fault, InputFault
from mullbed.weather.daily_columns import COLUMNS
from mullbed.weather.station_columns import DEW_POINT
from mullbed.weather.station_table import DateOrder

NAMES = (*(one.name for one in COLUMNS), DEW_POINT)
LOWEST_WIND, HIGHEST_WIND = 0.5, 100.0


@dataclass(frozen=True, slots=True)
class ToldColumns:
    """What a user told about a table."""

    columns: Mapping[str, tuple[tuple[str, ...], str]] = field(default_factory=dict)
    """Our column to headings and unit."""
    dates: DateOrder | None = None
    wind_height: float = 2.0
    """[m]"""


def told_column(text: str) -> tuple[str, tuple[tuple[str, ...], str]]:
    """Return one column as typed: "tmax_c=TX:°F", "humidity=RHMIN+RHMAX:%", "srad=" to leave it out.

    Raises
    ------
    InputFault
        When it is not so written.
    """
    name, sign, rest = text.partition("=")
    name = name.strip().casefold()
    if not sign or name not in NAMES:
        remedy = "Write our column first: --column tmax_c=TX:°F."
        raise InputFault([Fault("--column", f"'{text[:40]}'", ", ".join(NAMES), remedy)])
    headings, colon, unit = rest.rpartition(":")
    if not colon:
        headings, unit = rest, ""
    return name, (tuple(part.strip() for part in headings.split("+") if part.strip()), unit.strip())


def read_mapping(text: str, place: str) -> ToldColumns:
    """Return what a mapping file tells.

    Raises
    ------
    InputFault
        With every fault of the file.
    """
    try:
        values = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise InputFault([Fault(place, str(error)[:120], "TOML", "Mend the line named.")]) from error
    faults: list[Fault] = []
    columns: dict[str, tuple[tuple[str, ...], str]] = {}
    given = values.get("columns", {})
    for name, told in (given if isinstance(given, dict) else {}).items():
        headings = told.get("from", []) if isinstance(told, dict) else None
        headings = [headings] if isinstance(headings, str) else headings
        unit = told.get("unit", "") if isinstance(told, dict) else None
        if name not in NAMES:
            faults.append(Fault(f"{place}, columns", f"'{name[:30]}'", ", ".join(NAMES), "Choose one of these."))
        elif not (
            isinstance(headings, list) and all(isinstance(one, str) for one in headings) and isinstance(unit, str)
        ):
            allowed = 'tmax_c = { from = "TX", unit = "°F" }'
            faults.append(Fault(f"{place}, columns.{name}", "not so written", allowed, "Write headings and unit."))
        else:
            columns[name] = (tuple(headings), unit)
    dates = values.get("dates")
    if dates is not None and dates not in list(DateOrder):
        faults.append(Fault(f"{place}, dates", f"'{dates}'", " | ".join(DateOrder), "Choose one of these."))
    height = values.get("wind_height_m", 2.0)
    if isinstance(height, bool) or not isinstance(height, int | float) or not LOWEST_WIND <= height <= HIGHEST_WIND:
        allowed = f"{LOWEST_WIND:g} to {HIGHEST_WIND:g} m"
        faults.append(Fault(f"{place}, wind_height_m", f"'{height}'", allowed, "Write wind_height_m = 3."))
    for key in values:
        if key not in ("columns", "dates", "wind_height_m"):
            allowed = "columns, dates, wind_height_m"
            faults.append(Fault(place, f"unknown key '{key[:30]}'", allowed, "Remove it."))
    if faults:
        raise InputFault(faults)
    return ToldColumns(columns, None if dates is None else DateOrder(dates), float(height))


def mapping_text(columns: Sequence[ColumnFound], dates: str, wind_height: float) -> str:
    """Return what was understood as the text of a mapping file."""
    lines = []
    if dates:
        lines.append(f"dates = {json.dumps(dates)}")
    if any(one.column == "wind" for one in columns):
        lines.append(f"wind_height_m = {wind_height:g}")
    lines += ["", "[columns]"]
    for one in columns:
        headings = json.dumps(list(one.headings), ensure_ascii=False)
        lines.append(f"{one.column} = {{ from = {headings}, unit = {json.dumps(one.unit, ensure_ascii=False)} }}")
    return "\n".join(lines) + "\n"
