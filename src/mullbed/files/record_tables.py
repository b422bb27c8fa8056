"""The record as CSV tables, one for each kind of entry, out and in: units in the header (UCUM), nothing lost.

A cell that is empty is missing. Parts of an entry, such as the lifts of a layer, have a row each, numbered in ``part``.
What has no column of its own stands as JSON in a cell. A text that begins with a quote, or with a sign a spreadsheet
would take for a formula, stands in JSON quotes. RFC 4180, UTF-8.
"""

from __future__ import annotations

import csv
import json
import types
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from datetime import UTC, date, datetime
from enum import StrEnum
from functools import cache
from io import StringIO
from pathlib import Path
from types import MappingProxyType
from typing import Any, Union, get_args, get_origin, get_type_hints

from mullbed.domain.record import Entry
from mullbed.domain.record_codec import entry_from_plain, entry_to_plain
from mullbed.domain.record_kinds import FORMS, Kind
from mullbed.errors import Fault, InputFault

ENTRY_COLUMNS = ("id", "garden", "day", "written_at", "author", "bed", "batch", "subject", "corrects", "withdraws")
OTHERS = "record-of-other-kinds.csv"
"""Table of what only a newer program knows."""
_FORMULA = ('"', "=", "+", "-", "@", "\t", "\r")

#: UCUM units of numbers by field; where a field has two meanings, by facts and field.
UNITS: Mapping[str, str] = MappingProxyType(
    {
        "amount": "",  # money: its currency stands beside it
        "area": "m2",
        "beans_in_pot": "1",
        "control_harmed": "1",
        "control_healthy": "1",
        "control_pots": "1",
        "cores": "1",
        "count": "1",
        "days_since_rain": "d",
        "depth": "m",
        "depth_from": "m",
        "depth_per_week": "mm/wk",
        "depth_to": "m",
        "dry_kg": "kg",
        "dry_matter": "g/m2",
        "dry_matter_log_sd": "1",
        "elevation": "m",
        "error": "",  # unit of the observable
        "every_days": "d",
        "free_water": "mm",
        "fresh_kg": "kg",
        "harmed": "1",
        "harvested": "",
        "healthy": "1",
        "high": "Cel",
        "latitude": "deg",
        "longitude": "deg",
        "low": "Cel",
        "may_fail": "1",
        "mid": "1",
        "mineral_share": "1",
        "minutes": "min",
        "minutes_to_fetch": "min",
        "nitrogen": "g/m2",
        "people": "1",
        "phosphorus": "g/m2",
        "potassium": "g/m2",
        "pots": "1",
        "rain": "mm",
        "repeats": "1",
        "shade": "1",
        "share": "1",
        "shelf_life_days": "d",
        "size": "By",
        "thickness": "m",
        "tissue_water": "mm",
        "value": "",  # unit of the observable, or the column beside it
        "version": "1",
        "water": "mm",
        "weighed_kg": "kg",
        "yield_goal": "kg/m2",
        "Watered.depth": "mm",
        "Container.low": "L",
        "Soil.sand": "1",
        "Soil.clay": "1",
        "Soil.mineral_nitrogen": "g/m2",
        "Soil.bulk_density": "kg/m3",
        "Spread.low": "",  # the unit stands beside it
        "Spread.mid": "",
        "Spread.high": "",
        "Soil.lead": "mg/kg",
        "Near.building": "m",
        "Near.drain": "m",
        "Near.water": "m",
        "Near.well": "m",
        "Limits.nitrogen_fed_share": "1",
        "Limits.nitrogen_laid_per_year": "g/m2",
        "Limits.phosphorus_share_of_removal": "1",
        "Limits.legal_nitrogen_per_year": "g/m2",
        "Limits.legal_phosphorus_per_year": "g/m2",
        "Limits.minutes_per_day": "min",
        "Limits.litres_per_day": "L",
        "Limits.days_between_layers": "d",
        "Limits.thickest_soft_fresh": "m",
        "Limits.thickest_cover": "m",
        "Limits.days_before_direct_sowing": "d",
        "Limits.days_before_fine_seed": "d",
    }
)


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table: where its value stands in the facts, of what type, in which unit."""

    path: tuple[str, ...]
    kind: Any
    optional: bool
    unit: str
    part: bool = False
    """True where each part of the entry has its own value."""

    @property
    def header(self) -> str:
        """What stands above it."""
        name = ".".join(self.path)
        return f"{name} [{self.unit}]" if self.unit else name


@cache
def columns_of(facts: type) -> tuple[Column, ...]:
    """Return the columns of facts; the first list of parts has one row for each."""
    return tuple(_columns(facts, (), part=False, may_part=True))


def _columns(facts: Any, prefix: tuple[str, ...], *, part: bool, may_part: bool) -> Iterator[Column]:
    hints = get_type_hints(facts)
    for one in fields(facts):
        kind, optional = _plain_kind(hints[one.name])
        path = (*prefix, one.name)
        inner = get_args(kind)[0] if get_origin(kind) is tuple and len(get_args(kind)) == 2 else None
        kind = str if kind is Path else kind
        if is_dataclass(kind) and not optional:
            yield from _columns(kind, path, part=part, may_part=False)
        elif may_part and inner is not None and get_args(kind)[1] is Ellipsis and is_dataclass(inner):
            may_part = False
            yield from _columns(inner, path, part=True, may_part=False)
        else:
            unit = UNITS.get(f"{facts.__name__}.{one.name}", UNITS.get(one.name, "")) if kind in (int, float) else ""
            yield Column(path, kind, optional, unit, part)


def _plain_kind(hint: Any) -> tuple[Any, bool]:
    if get_origin(hint) in (Union, types.UnionType):
        left = [kind for kind in get_args(hint) if kind is not types.NoneType]
        return (left[0] if len(left) == 1 else hint), len(left) < len(get_args(hint))
    return hint, False


def table_name(kind: str) -> str:
    """Return the file name of a kind's table."""
    return f"record-{kind.replace(' ', '-')}.csv" if kind in set(Kind) else OTHERS


def record_tables(entries: Iterable[Entry]) -> dict[str, str]:
    """Return all entries as tables by file name, each kind in its own, in the order given."""
    kinds: dict[str, list[Entry]] = {}
    for entry in entries:
        kinds.setdefault(table_name(entry.kind) if entry.known else OTHERS, []).append(entry)
    return {name: _others(found) if name == OTHERS else _table(found) for name, found in sorted(kinds.items())}


def _table(entries: list[Entry]) -> str:
    columns = columns_of(FORMS[Kind(entries[0].kind)].facts)
    parted = any(column.part for column in columns)
    text = StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow([*ENTRY_COLUMNS, *(["part"] if parted else []), *(column.header for column in columns)])
    for entry in entries:
        plain = entry_to_plain(entry)
        head = [_text(plain[name]) for name in ENTRY_COLUMNS]
        facts = plain["facts"]
        parts = len(facts[_parts_at(columns)]) if parted else 0
        for number in range(max(1, parts)):
            cells = [_cell(column, _value(facts, column, number)) for column in columns]
            part = [str(number + 1) if parts else ""] if parted else []
            writer.writerow([*head, *part, *cells])
    return text.getvalue()


def _others(entries: list[Entry]) -> str:
    text = StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow([*ENTRY_COLUMNS, "kind", "version [1]", "facts"])
    for entry in entries:
        plain = entry_to_plain(entry)
        facts = json.dumps(plain["facts"], ensure_ascii=False)
        writer.writerow(
            [*(_text(plain[name]) for name in ENTRY_COLUMNS), _text(plain["kind"]), str(plain["version"]), facts]
        )
    return text.getvalue()


def _parts_at(columns: tuple[Column, ...]) -> str:
    return next(column.path[0] for column in columns if column.part)


def _value(facts: Any, column: Column, number: int) -> Any:
    for place, name in enumerate(column.path):
        facts = facts[name]
        if column.part and place == 0:
            if number >= len(facts):
                return None
            facts = facts[number]
    return facts


def _cell(column: Column, value: Any) -> str:
    if value is None:
        return ""
    if column.kind is bool:
        return "yes" if value else "no"
    if column.kind in (int, float):
        return repr(value)
    if column.kind is str:
        return '""' if value == "" and column.optional else _text(value)
    if isinstance(value, str):
        return _text(value)
    return json.dumps(value, ensure_ascii=False)


def _text(value: str | None) -> str:
    """Return a text as a cell; in JSON quotes where a spreadsheet or a reader could take it for something else."""
    if value is None:
        return ""
    return json.dumps(value, ensure_ascii=False) if value.startswith(_FORMULA) or value != value.strip() else value


@dataclass(frozen=True, slots=True)
class Unsigned:
    """What rows without id, moment or author get."""

    garden: str
    author: str
    written_at: datetime
    new_id: Any
    """Called for each new id."""


def read_record_table(text: str, place: str, kind: str | None, unsigned: Unsigned) -> tuple[Entry, ...]:
    """Return the entries of a table; the kind is that of its file name, None for the table of other kinds.

    Rows without an id are new entries and get one; rows of one id are the parts of one entry.

    Raises
    ------
    InputFault
        With every row that is wrong.
    """
    rows = csv.reader(StringIO(text.lstrip("\ufeff"), newline=""))
    try:
        header = next(rows, [])
        body = [(rows.line_num, row) for row in rows if any(cell for cell in row)]
    except csv.Error as error:
        raise InputFault(
            [Fault(place, f"not CSV ({error})", "rows of cells", "Save the table again as CSV.")]
        ) from error
    facts = FORMS[Kind(kind)].facts if kind is not None else None
    columns = columns_of(facts) if facts is not None else ()
    faults = _header_faults(header, columns, place, others=kind is None)
    if faults:
        raise InputFault(faults)
    grouped: dict[str, list[tuple[int, dict[str, str]]]] = {}
    for line, row in body:
        if len(row) > len(header):
            faults.append(Fault(f"{place}, line {line}", f"{len(row)} cells", f"{len(header)}", "Quote commas."))
            continue
        cells = dict(zip(header, (*row, *[""] * (len(header) - len(row))), strict=True))
        identity = cells.get("id", "") or unsigned.new_id()
        grouped.setdefault(identity, []).append((line, cells))
    found = []
    for identity, parts in grouped.items():
        try:
            found.append(_entry(identity, parts, kind, columns, place, unsigned))
        except InputFault as error:
            faults.extend(error.faults)
    if faults:
        raise InputFault(faults)
    return tuple(found)


def _header_faults(header: list[str], columns: tuple[Column, ...], place: str, *, others: bool) -> list[Fault]:
    allowed = {*ENTRY_COLUMNS, "part", *(column.header for column in columns)}
    if others:
        allowed |= {"kind", "version [1]", "facts"}
    unknown = [name for name in header if name not in allowed]
    faults = []
    for name in unknown:
        bare = name.split(" [", 1)[0]
        near = next((column.header for column in columns if column.header.split(" [", 1)[0] == bare), None)
        remedy = f"Write it as '{near}' and give its numbers in that unit." if near else "Remove the column."
        faults.append(Fault(f"{place}, line 1", f"column '{name[:60]}'", ", ".join(sorted(allowed)), remedy))
    if len(set(header)) != len(header) or "day" not in header:
        faults.append(Fault(f"{place}, line 1", "day missing, or a column twice", "each once", "Mend the header."))
    return faults


def _entry(
    identity: str,
    rows: list[tuple[int, dict[str, str]]],
    kind: str | None,
    columns: tuple[Column, ...],
    place: str,
    unsigned: Unsigned,
) -> Entry:
    line, first = rows[0]
    where = f"{place}, line {line}"
    plain: dict[str, Any] = {name: _read_text(first.get(name, "")) or None for name in ENTRY_COLUMNS}
    plain["id"] = identity
    plain["garden"] = plain["garden"] or unsigned.garden
    plain["author"] = plain["author"] or unsigned.author
    plain["written_at"] = plain["written_at"] or unsigned.written_at.astimezone(UTC).isoformat()
    if kind is None:
        plain["kind"] = _read_text(first.get("kind", ""))
        plain["version"] = _read(int, first.get("version [1]", "1") or "1", where, "version [1]")
        plain["facts"] = _read(dict, first.get("facts", "{}"), where, "facts")
        return entry_from_plain(plain, where)
    plain["kind"] = kind
    facts: dict[str, Any] = {}
    whole = [column for column in columns if not column.part]
    for column in whole:
        _put(facts, column.path, _read_cell(column, first, where))
    if len(whole) < len(columns):
        name = _parts_at(columns)
        ordered = sorted(
            rows, key=lambda row: int(row[1].get("part") or 1) if (row[1].get("part") or "1").isdigit() else 1
        )
        parts = []
        for line, cells in ordered:
            part: dict[str, Any] = {}
            for column in columns:
                if column.part:
                    _put(part, column.path[1:], _read_cell(column, cells, f"{place}, line {line}"))
            if cells.get("part") or any(cells.get(column.header) for column in columns if column.part):
                parts.append(_without_absent(part))
        facts[name] = parts
    plain["version"] = FORMS[Kind(kind)].version
    plain["facts"] = _without_absent(facts)
    return entry_from_plain(plain, where)


_ABSENT = object()


def _read_cell(column: Column, cells: Mapping[str, str], where: str) -> Any:
    """Return the value of a cell; absent where an empty cell should take the default."""
    cell = cells.get(column.header, "")
    if cell == "":
        if column.header not in cells:
            return _ABSENT
        return None if column.optional else "" if column.kind is str else _ABSENT
    if column.kind is str or (isinstance(column.kind, type) and issubclass(column.kind, StrEnum | date)):
        return _read_text(cell)
    return _read(column.kind, cell, where, column.header)


def _read_text(cell: str) -> str:
    if not cell.startswith('"'):
        return cell
    try:
        value = json.loads(cell)
    except ValueError:
        return cell
    return value if isinstance(value, str) else cell


def _read(kind: Any, cell: str, where: str, header: str) -> Any:
    try:
        if kind is bool:
            return {"yes": True, "no": False}[cell.casefold()]
        if kind is int:
            return int(cell)
        if kind is float:
            return float(cell)
        return json.loads(cell)
    except (ValueError, KeyError):
        allowed = {bool: "yes or no", int: "a whole number", float: "a number such as 2.5"}.get(kind, "JSON")
        raise InputFault([Fault(f"{where}, {header}", f"'{cell[:60]}'", allowed, "Correct the cell.")]) from None


def _put(into: dict[str, Any], path: tuple[str, ...], value: Any) -> None:
    for name in path[:-1]:
        into = into.setdefault(name, {})
    into[path[-1]] = value


def _without_absent(values: dict[str, Any]) -> dict[str, Any]:
    return {
        key: _without_absent(value) if isinstance(value, dict) and value and _is_nested(value) else value
        for key, value in values.items()
        if value is not _ABSENT
    }


def _is_nested(value: dict[str, Any]) -> bool:
    return any(one is _ABSENT or isinstance(one, dict) for one in value.values())
