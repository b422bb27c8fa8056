"""Read an open data set of the folder a user names; a missing file is told, never guessed."""

from __future__ import annotations

import csv
from pathlib import Path

from mullbed.errors import Fault, InputFault

Row = dict[str, str]


def read_rows(path: Path) -> list[Row] | None:
    """Return the rows of a table with remarks on lines that begin with #, or None when there is no such file."""
    if not path.is_file():
        return None
    with path.open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(line for line in handle if not line.startswith("#")))


def value(row: Row, column: str) -> float | None:
    """Return a number of a row, or None where it is missing."""
    text = (row.get(column) or "").strip()
    return float(text) if text else None


def needed(row: Row, column: str) -> float:
    """Return a number of a row that must be there.

    Raises
    ------
    InputFault
        When it is missing or no number.
    """
    try:
        found = value(row, column)
    except ValueError:
        found = None
    if found is None:
        name = row.get("series_id") or row.get("case_id") or "a row"
        raise InputFault([Fault(f"{name}, column {column}", f"'{row.get(column, '')}'", "a number", "Mend the table.")])
    return found
