"""A list of beds as CSV, for gardens of many beds: one row a bed, read by the same rules as the garden file.

Columns: ``name``; then any of ``like``, ``size``, ``area``, ``texture``, ``sand``, ``clay``, ``organic_matter``,
``phosphorus``, ``cover``, ``shade``, ``watering``, ``water_per_week``, and for one crop ``crop``, ``planted``,
``harvested``, ``start``, ``residues``. An empty cell says nothing, so the bed it is like decides.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from mullbed.files.garden_beds import MOST_BEDS, BedReader
from mullbed.files.listed_rows import listed_rows
from mullbed.files.reading import Reading

BED_COLUMNS = ("name", "like", "size", "area", "cover", "shade", "watering", "water_per_week")
SOIL_COLUMNS = ("texture", "sand", "clay", "organic_matter", "phosphorus")
CROP_COLUMNS = ("crop", "planted", "harvested", "start", "residues")
COLUMNS = (*BED_COLUMNS, *SOIL_COLUMNS, *CROP_COLUMNS)


def read_bed_table(path: Path, reader: BedReader, garden: Reading) -> None:
    """Read the beds of a CSV file into the reader; faults join those of the garden file."""
    for row in listed_rows(path, COLUMNS, garden, what="beds", most=MOST_BEDS, needed="name", shaped=_bed):
        reader.read(row)


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
