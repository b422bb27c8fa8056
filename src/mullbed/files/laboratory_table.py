"""A laboratory's table: a row a sample or a row a value, the grower's own column names, every fault at once.

Units are forced, because a number without one has spoiled more tests than any laboratory: they stand in brackets behind
the name, ``K [mg/kg]``, or in a column of their own. The method of phosphorus must be named, and whether nitrogen is
given as nitrate or as nitrate-N.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from mullbed.domain.record_seen import TestedValue
from mullbed.errors import Fault, InputFault
from mullbed.files.laboratory_values import Analyte, analyte_of, tested_value
from mullbed.files.table_rows import table_rows

SAMPLE_COLUMNS = ("bed", "plot", "sample", "day", "depth", "cores")
LONG_COLUMNS = ("name", "value", "unit", "method")
#: Other words for our columns, in small letters.
ALSO = {
    "date": "day",
    "sampled": "day",
    "sample id": "sample",
    "sample no": "sample",
    "field": "bed",
    "analyte": "name",
    "parameter": "name",
    "test": "name",
    "result": "value",
    "units": "unit",
}
_DEPTH = re.compile(r"(?:(\d+(?:[.,]\d+)?)\s*(?:-|–|to)\s*)?(\d+(?:[.,]\d+)?)\s*(cm|in|mm|m)?", re.IGNORECASE)
_LENGTHS = {"cm": 0.01, "mm": 0.001, "m": 1.0, "in": 0.0254}
MOST_FAULTS = 60


@dataclass(frozen=True, slots=True)
class LaboratorySample:
    """One sample as the table tells it."""

    place: str
    """Row of the file, for a fault."""
    bed: str
    """As it is written there; empty for none."""
    plot: str
    sample: str
    day: date | None
    depth_from: float
    """[m]"""
    depth_to: float
    """[m]"""
    cores: int | None
    values: tuple[TestedValue, ...]


def read_laboratory(
    path: Path, *, columns: Mapping[str, str], methods: Mapping[str, str], depth: float = 0.15
) -> tuple[LaboratorySample, ...]:
    """Return the samples of a table.

    Parameters
    ----------
    path : Path
        .csv or .xlsx.
    columns : mapping
        Our name of a column, or a value's name, to the name it has in the file.
    methods : mapping
        A value's name to its method, where no column tells it.
    depth : float
        Lower edge where no column tells it. [m]

    Raises
    ------
    InputFault
        With every fault of the file.
    """
    rows = table_rows(path, "laboratory values")
    faults: list[Fault] = []
    heads = _heads(path, rows[0], columns, faults)
    long = "name" in heads.values() and "value" in heads.values()
    values_at = {} if long else _analytes(path, rows[0], heads, columns, methods, faults)
    if not long and not values_at and not faults:
        allowed = "pH, organic matter [%], phosphorus (Bray 1) [mg/kg], nitrate-N [mg/kg] ..."
        faults.append(Fault(path.name, ", ".join(rows[0])[:120], allowed, "Name a column: --column potassium=K2."))
    found: dict[tuple[str, ...], LaboratorySample] = {}
    for number, row in enumerate(rows[1:], start=2):
        if not any(row):
            continue
        place = f"{path.name}, row {number}"
        told = {name: row[at] for at, name in heads.items() if at < len(row)}
        values = (
            _long_values(told, methods, place, faults)
            if long
            else [
                value
                for at, (one, unit, method) in values_at.items()
                if at < len(row) and (value := tested_value(one, row[at], unit, method, place, faults)) is not None
            ]
        )
        sample = _sample(told, tuple(values), place, depth, faults)
        row_of_its_own = "" if long else str(number)
        key = (sample.bed, sample.plot, sample.sample, str(sample.day), f"{sample.depth_to}", row_of_its_own)
        before = found.get(key)
        found[key] = (
            sample
            if before is None
            else LaboratorySample(
                before.place,
                before.bed,
                before.plot,
                before.sample,
                before.day,
                before.depth_from,
                before.depth_to,
                before.cores,
                (*before.values, *sample.values),
            )
        )
    kept = tuple(one for one in found.values() if one.values)
    if not kept and not faults:
        faults.append(Fault(path.name, "no value in any row", "one at least", "Fill the table in."))
    if faults:
        raise InputFault(faults[:MOST_FAULTS])
    return kept


def _heads(path: Path, header: Sequence[str], columns: Mapping[str, str], faults: list[Fault]) -> dict[int, str]:
    """Return which of our sample columns stands where."""
    theirs = {name.casefold(): ours for ours, name in columns.items() if ours in (*SAMPLE_COLUMNS, *LONG_COLUMNS)}
    found: dict[int, str] = {}
    for at, name in enumerate(header):
        plain = name.casefold()
        ours = theirs.get(plain) or ALSO.get(plain, plain)
        if ours in (*SAMPLE_COLUMNS, *LONG_COLUMNS) and (plain in theirs or ours not in theirs.values()):
            found[at] = ours
    folded = [name.casefold() for name in header]
    faults += [
        Fault(path.name, f"no column '{name}'", ", ".join(header)[:120], f"Say --column {ours}=NAME.")
        for ours, name in columns.items()
        if name.casefold() not in folded
    ]
    return found


def _analytes(
    path: Path,
    header: Sequence[str],
    heads: Mapping[int, str],
    columns: Mapping[str, str],
    methods: Mapping[str, str],
    faults: list[Fault],
) -> dict[int, tuple[Analyte, str, str]]:
    """Return the columns that hold values, with unit and method; others are left alone."""
    given = {name.casefold(): ours for ours, name in columns.items()}
    found = {}
    for at, name in enumerate(header):
        if at in heads or not name:
            continue
        told = analyte_of(name, given.get(name.casefold(), ""))
        if told is None:
            continue
        one, unit, method = told
        method = method or methods.get(one.name, "")
        if one.needs_method and not method:
            faults.append(one.method_fault(f"{path.name}, column '{name}'"))
        if one.ambiguous:
            faults.append(one.unit_fault(f"{path.name}, column '{name}'", name))
        elif not unit and not one.bare:
            faults.append(one.unit_fault(f"{path.name}, column '{name}'", "no unit"))
        found[at] = (one, unit, method)
    return found


def _long_values(
    told: Mapping[str, str], methods: Mapping[str, str], place: str, faults: list[Fault]
) -> list[TestedValue]:
    """Return the value of a row that holds one."""
    named = analyte_of(told.get("name", ""), "")
    if named is None:
        faults.append(Fault(place, f"value '{told.get('name', '')[:40]}'", "a known name", "Take the row out."))
        return []
    one, unit, method = named
    unit = told.get("unit") or unit
    method = told.get("method") or method or methods.get(one.name, "")
    if one.needs_method and not method:
        faults.append(one.method_fault(place))
        return []
    if one.ambiguous or (not unit and not one.bare):
        faults.append(one.unit_fault(place, told.get("name", "") if one.ambiguous else "no unit"))
        return []
    kept = tested_value(one, told.get("value", ""), unit, method, place, faults)
    return [kept] if kept is not None else []


def _sample(
    told: Mapping[str, str], values: tuple[TestedValue, ...], place: str, depth: float, faults: list[Fault]
) -> LaboratorySample:
    """Return a row's sample."""
    day = None
    if told.get("day"):
        try:
            day = date.fromisoformat(told["day"][:10])
        except ValueError:
            faults.append(Fault(place, f"day '{told['day'][:30]}'", "year-month-day", "Write 2027-06-15."))
    first, last = 0.0, depth
    if told.get("depth"):
        found = _DEPTH.fullmatch(told["depth"].strip())
        if found is None or found[3] is None:
            faults.append(Fault(place, f"depth '{told['depth'][:30]}'", "0-15 cm, or 6 in", "Give it with its unit."))
        else:
            turn = _LENGTHS[found[3].casefold()]
            first = turn * float((found[1] or "0").replace(",", "."))
            last = turn * float(found[2].replace(",", "."))
            if not 0.0 <= first < last <= 3.0:
                faults.append(Fault(place, f"depth '{told['depth'][:30]}'", "down to 3 m", "From above to below."))
                first, last = 0.0, depth
    cores = told.get("cores", "")
    if cores and not (cores.isdigit() and 0 < int(cores) < 1000):
        faults.append(Fault(place, f"cores '{cores[:20]}'", "a whole number", "Count the cores of the sample."))
        cores = ""
    return LaboratorySample(
        place, told.get("bed", ""), told.get("plot", ""), told.get("sample", ""), day, first, last,
        int(cores) if cores else None, values,
    )  # fmt: skip
