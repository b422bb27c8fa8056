"""Read an open data set of the folder a user names; a missing file is told, never guessed."""

from __future__ import annotations

import csv
from pathlib import Path

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
