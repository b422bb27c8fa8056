"""Readings of a trial or a laboratory out of a table: CSV or a spreadsheet, with the grower's own column names."""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from io import StringIO
from pathlib import Path

from mullbed.domain.trial import Reading
from mullbed.errors import Fault, InputFault
from mullbed.files.plain_text import read_plain_text

COLUMNS = ("plot", "measure", "season", "value", "day", "operator", "note")
NEEDED = ("plot", "value")
LOST = {"", "-", "na", "n/a", "lost", "missing"}
MOST_ROWS = 200_000


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
    rows = _sheet_rows(path) if path.suffix.casefold() == ".xlsx" else _csv_rows(path)
    if not rows:
        raise InputFault([Fault(str(path), "no rows", "a header and one row a reading", "Fill the field sheet in.")])
    header = [cell.strip() for cell in rows[0]]
    places = _places(path, header, columns or {})
    faults: list[Fault] = []
    found = []
    for number, row in enumerate(rows[1 : MOST_ROWS + 1], start=2):
        if not any(cell.strip() for cell in row):
            continue

        def cell(name: str, row: Sequence[str] = row) -> str:
            place = places.get(name)
            return row[place].strip() if place is not None and place < len(row) else ""

        where = f"{path.name}, row {number}"
        value = _number(cell("value"), where, faults)
        day = _day(cell("day"), where, faults)
        told_measure, told_season = cell("measure") or measure, cell("season") or season
        if not told_season:
            told_season = str(day.year) if day else "1"
        if not told_measure:
            faults.append(Fault(where, "no measure", "a column or --measure", "Say what was measured."))
        found.append(Reading(cell("plot"), told_measure, told_season, value, cell("note"), cell("operator"), day))
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
        return float(text.replace(",", ".") if text.count(",") == 1 and "." not in text else text)
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


def _csv_rows(path: Path) -> list[list[str]]:
    """Return the rows of a CSV file, comma or semicolon or tab between."""
    text = read_plain_text(path, "a table of readings (CSV)")
    first = text.split("\n", 1)[0]
    between = max((",", ";", "\t"), key=first.count)
    return list(csv.reader(StringIO(text), delimiter=between))


def _sheet_rows(path: Path) -> list[list[str]]:
    """Return the rows of the first sheet of a spreadsheet."""
    try:
        from openpyxl import load_workbook
    except ImportError as error:
        fault = Fault(str(path), "a spreadsheet", "CSV here", "Install mullbed[excel], or save the sheet as CSV.")
        raise InputFault([fault]) from error
    try:
        book = load_workbook(path, read_only=True, data_only=True)
    except Exception as error:  # the library raises many kinds for a file that is no spreadsheet
        fault = Fault(str(path), "not readable", "a spreadsheet (.xlsx)", "Save it anew, or as CSV.")
        raise InputFault([fault]) from error
    try:
        sheet = book.worksheets[0]
        rows = []
        for row in sheet.iter_rows(max_row=MOST_ROWS, values_only=True):
            rows.append([_cell_text(cell) for cell in row])
        return rows
    finally:
        book.close()


def _cell_text(cell: object) -> str:
    """Return what stands in a cell."""
    if cell is None:
        return ""
    if isinstance(cell, datetime):
        return cell.date().isoformat()
    return str(cell)
