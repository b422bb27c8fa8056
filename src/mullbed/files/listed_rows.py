"""A list as CSV beside a file of ours: a row an entry, columns called as the keys of the file."""

from __future__ import annotations

import csv
from collections.abc import Callable, Collection, Sequence
from pathlib import Path
from typing import Any

from mullbed.errors import InputFault
from mullbed.files.plain_text import LARGEST_BYTES, read_plain_text
from mullbed.files.reading import Path as KeyPath
from mullbed.files.reading import Reading, Table, nearest_remedy, shown_text


class RowLines:
    """Lines of the rows of a CSV text; the first part of a path counts rows."""

    def __init__(self, lines: list[int]) -> None:
        self._lines = lines

    def line(self, path: KeyPath) -> int | None:
        """Return the line of the row a path begins with; the header line for an empty path."""
        row = next((part for part in path if isinstance(part, int)), None)
        return self._lines[row] if row is not None and row < len(self._lines) else 1


def listed_rows(
    path: Path,
    columns: Sequence[str],
    above: Reading,
    *,
    what: str,
    most: int,
    numbers: Collection[str] = (),
    needed: str | None = None,
    largest: int = LARGEST_BYTES,
    shaped: Callable[[dict[str, Any]], dict[str, Any]] = dict,
) -> list[Table]:
    """Return the rows of a list as tables; every fault joins those of the file that names the list.

    Remarks begin with #. An empty cell says nothing.

    Parameters
    ----------
    path : Path
    columns : sequence of str
        The columns there may be.
    above : Reading
        Of the file that names it.
    what : str
        What a row is, as a plural.
    most : int
        So many rows at most.
    numbers : collection of str
        Columns whose cells become numbers, decimal comma allowed.
    needed : str, optional
        A column that has to be there.
    largest : int
        Size of the file at most. [byte]
    shaped : callable
        Makes of a row's values what the file's own table would hold.
    """
    try:
        text = read_plain_text(path, f"a list of {what} (CSV)", largest)
    except InputFault as fault:
        above.faults.extend(fault.faults)
        return []
    rows: list[list[str]] = []
    lines: list[int] = []
    reading = Reading(str(path), RowLines(lines), above.faults)
    between = max((",", ";", "\t"), key=text.split("\n", 1)[0].count)
    records = csv.reader(text.splitlines(), delimiter=between)
    try:
        for cells in records:
            if any(cell.strip() for cell in cells) and not cells[0].startswith("#"):
                rows.append([cell.strip() for cell in cells])
                lines.append(records.line_num)
    except csv.Error as error:
        reading.fault((), f"not CSV ({error})", "rows of cells parted by commas", "Save the list again as CSV.")
        return []
    header = [cell.casefold() for cell in rows[0]] if rows else []
    del lines[:1]
    if not _sound(header, columns, needed, reading):
        return []
    if len(rows) - 1 > most:
        reading.fault((), f"{len(rows) - 1} rows", f"at most {most} {what}", "Part them in two files.")
        return []
    tables = []
    for index, cells in enumerate(rows[1:]):
        if len(cells) > len(header):
            remedy = "Put cells that hold a comma in double quotes."
            reading.fault((index,), f"{len(cells)} cells", f"at most {len(header)}", remedy)
            continue
        values: dict[str, Any] = {
            column: plain_cell(cell) if column in numbers else cell
            for column, cell in zip(header, cells, strict=False)
            if cell
        }
        tables.append(Table(reading, shaped(values), ("row", index)))
    return tables


def _sound(header: Sequence[str], columns: Sequence[str], needed: str | None, reading: Reading) -> bool:
    """Say whether a header can be read, and tell what is wrong with it."""
    before = len(reading.faults)
    for column in header:
        if column not in columns:
            remedy = nearest_remedy(column, columns) or "Remove the column."
            reading.fault((), f"unknown column '{shown_text(column)}'", ", ".join(columns), remedy)
    if len(set(header)) != len(header):
        reading.fault((), "a column stands twice", "each column once", "Remove one of them.")
    if needed is not None and needed not in header:
        reading.fault((), f"no column {needed}", f"a column called {needed}", "Mend the header.")
    return len(reading.faults) == before


def plain_cell(cell: str) -> int | float | str:
    """Return a number where the cell is one, else its text, which the reader of the table then refuses."""
    try:
        number = float(cell.replace(",", ".") if cell.count(",") == 1 and "." not in cell else cell)
    except ValueError:
        return cell
    return int(number) if number.is_integer() else number
