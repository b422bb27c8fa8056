"""A list of beds as CSV, for gardens of many beds: one row a bed, read by the same rules as the garden file.

Columns: ``name``; then any of ``like``, ``size``, ``area``, ``texture``, ``sand``, ``clay``, ``organic_matter``,
``phosphorus``, ``cover``, ``shade``, ``watering``, ``water_per_week``, and for one crop ``crop``, ``planted``,
``harvested``, ``start``, ``residues``. An empty cell says nothing, so the bed it is like decides.
"""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

from mullbed.files.garden_beds import MOST_BEDS, BedReader
from mullbed.files.plain_text import read_plain_text
from mullbed.files.reading import Path as KeyPath
from mullbed.files.reading import Reading, Table, nearest_remedy, shown_text

BED_COLUMNS = ("name", "like", "size", "area", "cover", "shade", "watering", "water_per_week")
SOIL_COLUMNS = ("texture", "sand", "clay", "organic_matter", "phosphorus")
CROP_COLUMNS = ("crop", "planted", "harvested", "start", "residues")
COLUMNS = (*BED_COLUMNS, *SOIL_COLUMNS, *CROP_COLUMNS)


class RowLines:
    """Lines of the rows of a CSV text; the first part of a path counts rows."""

    def __init__(self, lines: list[int]) -> None:
        self._lines = lines

    def line(self, path: KeyPath) -> int | None:
        """Return the line of the row a path begins with; the header line for an empty path."""
        row = next((part for part in path if isinstance(part, int)), None)
        return self._lines[row] if row is not None and row < len(self._lines) else 1


def read_bed_table(path: Path, reader: BedReader, garden: Reading) -> None:
    """Read the beds of a CSV file into the reader; faults join those of the garden file.

    Raises
    ------
    InputFault
        When the file is missing, too large or not UTF-8 text.
    """
    text = read_plain_text(path, "a list of beds (CSV)")
    rows: list[list[str]] = []
    lines: list[int] = []
    reading = Reading(str(path), RowLines(lines), garden.faults)
    delimiter = max((",", ";", "\t"), key=text.split("\n", 1)[0].count)
    records = csv.reader(text.splitlines(), delimiter=delimiter)
    try:
        for cells in records:
            if any(cell.strip() for cell in cells) and not cells[0].startswith("#"):
                rows.append([cell.strip() for cell in cells])
                lines.append(records.line_num)
    except csv.Error as error:
        reading.fault((), f"not CSV ({error})", "rows of cells parted by commas", "Save the list again as CSV.")
        return
    header = [cell.casefold() for cell in rows[0]] if rows else []
    del lines[:1]
    for column in header:
        if column not in COLUMNS:
            remedy = nearest_remedy(column, COLUMNS) or "Remove the column."
            reading.fault((), f"unknown column '{shown_text(column)}'", ", ".join(COLUMNS), remedy)
    if not set(header) <= set(COLUMNS):
        return
    if "name" not in header or len(set(header)) != len(header):
        reading.fault((), "column name is missing or a column stands twice", "each column once", "Mend the header.")
        return
    if len(rows) - 1 > MOST_BEDS:
        reading.fault((), f"{len(rows) - 1} rows", f"at most {MOST_BEDS} beds", "Part the garden in two files.")
        return
    for index, cells in enumerate(rows[1:]):
        if len(cells) > len(header):
            remedy = "Put cells that hold a comma in double quotes."
            reading.fault((index,), f"{len(cells)} cells", f"at most {len(header)}", remedy)
            continue
        values = {column: cell for column, cell in zip(header, cells, strict=False) if cell}
        reader.read(Table(reading, _bed(values), ("row", index)))


def _bed(values: dict[str, str]) -> dict[str, Any]:
    """Return the row as the table a garden file would hold."""
    bed: dict[str, Any] = {key: values[key] for key in BED_COLUMNS if key in values}
    soil = {key: values[key] for key in SOIL_COLUMNS if key in values}
    crop = {key: values[key] for key in CROP_COLUMNS if key in values}
    if soil:
        bed["soil"] = soil
    if crop:
        bed["crops"] = [crop]
    return bed
