"""Rows of a table as texts: CSV with comma, semicolon or tab between, or the first sheet of a spreadsheet."""

from __future__ import annotations

import csv
from datetime import date, datetime
from io import StringIO
from pathlib import Path
from zipfile import BadZipFile, ZipFile

from mullbed.errors import Fault, InputFault
from mullbed.files.plain_text import read_plain_text

MOST_ROWS = 200_000
LARGEST_OPENED = 80_000_000
"""Size of a spreadsheet's parts together. [byte]"""


def table_rows(path: Path, what: str) -> list[list[str]]:
    """Return the rows of a .csv or .xlsx file, header first, blanks around cells taken off.

    Parameters
    ----------
    path : Path
    what : str
        What is looked for, for the sentence of a fault.

    Raises
    ------
    InputFault
        When it cannot be read, or holds nothing.
    """
    rows = _sheet_rows(path) if path.suffix.casefold() == ".xlsx" else _text_rows(path, what)
    kept = [[cell.strip() for cell in row] for row in rows]
    if not any(any(row) for row in kept):
        raise InputFault([Fault(str(path), "no rows", f"a header and rows of {what}", "Fill the table in.")])
    return kept


def number_cell(text: str) -> float:
    """Return a number, decimal comma allowed; raises ValueError where it is none."""
    return float(text.replace(",", ".") if text.count(",") == 1 and "." not in text else text)


def _text_rows(path: Path, what: str) -> list[list[str]]:
    text = read_plain_text(path, f"a table of {what} (CSV)")
    first = text.split("\n", 1)[0]
    between = max((",", ";", "\t"), key=first.count)
    try:
        return list(csv.reader(StringIO(text), delimiter=between))[: MOST_ROWS + 1]
    except csv.Error as error:
        raise InputFault([Fault(str(path), str(error), "a CSV table", "Save it anew as CSV.")]) from error


def _sheet_rows(path: Path) -> list[list[str]]:
    from openpyxl import load_workbook

    _refuse_swelling(path)
    try:
        book = load_workbook(path, read_only=True, data_only=True)
    except Exception as error:  # the library raises many kinds for a file that is no spreadsheet
        fault = Fault(str(path), "not readable", "a spreadsheet (.xlsx)", "Save it anew, or as CSV.")
        raise InputFault([fault]) from error
    try:
        sheet = book.worksheets[0]
        return [[_cell_text(cell) for cell in row] for row in sheet.iter_rows(max_row=MOST_ROWS, values_only=True)]
    except Exception as error:  # a sheet damaged further in
        fault = Fault(str(path), "not readable", "a spreadsheet (.xlsx)", "Save it anew, or as CSV.")
        raise InputFault([fault]) from error
    finally:
        book.close()


def _refuse_swelling(path: Path) -> None:
    """Refuse a spreadsheet that is no archive, or that would swell beyond any table of ours when it is opened."""
    try:
        with ZipFile(path) as archive:
            size = sum(one.file_size for one in archive.infolist())
    except (BadZipFile, OSError, ValueError, NotImplementedError) as error:
        fault = Fault(path.name, "not readable", "a spreadsheet (.xlsx)", "Save it anew, or as CSV.")
        raise InputFault([fault]) from error
    if size > LARGEST_OPENED:
        found = f"{size / 1e6:.0f} MB when opened"
        raise InputFault(
            [Fault(path.name, found, f"up to {LARGEST_OPENED / 1e6:.0f} MB", "Save the one sheet as CSV.")]
        )


def _cell_text(cell: object) -> str:
    if cell is None:
        return ""
    if isinstance(cell, datetime):
        return cell.date().isoformat()
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return str(cell)
