"""Readings of a trial or a laboratory out of a table: CSV or a spreadsheet, with the grower's own column names."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

from mullbed.domain.trial import Reading
from mullbed.errors import Fault, InputFault
from mullbed.files.table_rows import number_cell, table_rows

COLUMNS = ("plot", "measure", "season", "value", "day", "operator", "note")
NEEDED = ("plot", "value")
LOST = {"", "-", "na", "n/a", "lost", "missing"}


def read_readings(
    path: Path, *, columns: Mapping[str, str] | None = None, measure: str = "", season: str = ""
) -> tuple[Reading, ...]:
    """Return the readings of a table.

    Parameters
    ----------
    path : Path
        A .csv or .xlsx file (first sheet) with one row a reading.
    columns : mapping
        Our name of a column to the name it has in the file; the same where not given.
    measure, season : str
        What rows without such a column are.

    Raises
    ------
    InputFault
        With every fault of the file: missing columns, values that are no number, days that are none.
    """
    rows = table_rows(path, "readings")
    header = rows[0]
    places = _places(path, header, columns or {})
    faults: list[Fault] = []
    found = []
    for number, row in enumerate(rows[1:], start=2):
        if not any(row):
            continue

        def cell(name: str, row: Sequence[str] = row) -> str:
            place = places.get(name)
            return row[place] if place is not None and place < len(row) else ""

        where = f"{path.name}, row {number}"
        value = _number(cell("value"), where, faults)
        day = _day(cell("day"), where, faults)
        told_measure, told_season = cell("measure") or measure, cell("season") or season
        if not told_season:
            told_season = str(day.year) if day else "1"
        if not told_measure:
            faults.append(Fault(where, "no measure", "a column or --measure", "Say what was measured."))
        note = "lost" if cell("value").casefold() == "lost" else cell("note")
        found.append(Reading(cell("plot"), told_measure, told_season, value, note, cell("operator"), day))
    if faults:
        raise InputFault(faults[:60])
    return tuple(found)


def _places(path: Path, header: list[str], columns: Mapping[str, str]) -> dict[str, int]:
    """Return where each column stands."""
    folded = {name.casefold(): place for place, name in enumerate(header)}
    faults = [
        Fault("column", f"'{ours}'", ", ".join(COLUMNS), "Name our column first: plot=their name.")
        for ours in columns
        if ours not in COLUMNS
    ]
    places = {}
    for ours in COLUMNS:
        theirs = columns.get(ours, ours)
        place = folded.get(theirs.casefold())
        if place is not None:
            places[ours] = place
        elif ours in columns or ours in NEEDED:
            faults.append(
                Fault(path.name, f"no column '{theirs}'", ", ".join(header)[:120], f"Say --column {ours}=NAME.")
            )
    if faults:
        raise InputFault(faults)
    return places


def _number(text: str, where: str, faults: list[Fault]) -> float | None:
    """Return a number, decimal comma allowed; None for a lost plot."""
    if text.casefold() in LOST:
        return None
    try:
        return number_cell(text)
    except ValueError:
        faults.append(Fault(where, f"value '{text[:30]}'", "a number, or empty for a lost plot", "Correct the cell."))
        return None


def _day(text: str, where: str, faults: list[Fault]) -> date | None:
    """Return a date, None where none is given."""
    if not text:
        return None
    try:
        return date.fromisoformat(text[:10])
    except ValueError:
        faults.append(Fault(where, f"day '{text[:30]}'", "year-month-day", "Write 2027-06-15."))
        return None
