"""The gardens of a region: a CSV table with a row each, or every cell of a weather grid."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from mullbed.domain.region import RegionGarden
from mullbed.files.listed_rows import listed_rows
from mullbed.files.reading import Table, nearest_remedy, shown, shown_text

COLUMNS = ("name", "latitude", "longitude", "weather", "soil", "district", "area_m2")
_NUMBERS = ("latitude", "longitude", "area_m2")
MOST_GARDENS = 200_000
LARGEST_TABLE = 40_000_000
"""[bytes]"""
EVERY_CELL = "every cell"
USUAL_AREA = 10.0
"""Beds of a garden whose area is not told; judgement. [m2]"""


def read_region_gardens(
    root: Table, told: Any, folder: Path, stations: Sequence[str], grids: Sequence[str], soils: Sequence[str]
) -> tuple[RegionGarden, ...]:
    """Return the gardens of the table a region file names; faults join those of the file.

    "every cell" leaves them to whoever opens the grid.
    """
    if told == EVERY_CELL:
        if len(grids) != 1 or len(soils) != 1 or stations:
            remedy = "Keep one grid of weather and one soil, or write a table of gardens."
            root.fault("gardens", f"'{EVERY_CELL}'", "one grid and one soil", remedy)
        return ()
    if not isinstance(told, str):
        found = "missing" if told is None else shown(told)
        root.fault("gardens", found, f'the name of a CSV table, or "{EVERY_CELL}"', 'Write gardens = "gardens.csv".')
        return ()
    gardens: list[RegionGarden] = []
    seen: set[str] = set()
    for table in listed_rows(
        folder / told, COLUMNS, root.reading, what="gardens", most=MOST_GARDENS, numbers=_NUMBERS, largest=LARGEST_TABLE
    ):
        garden = _garden(table, [*stations, *grids], soils)
        if garden is None:
            continue
        if garden.name in seen:
            table.fault("name", f"'{shown_text(garden.name)}' stands twice", "each name once", "Give another name.")
            continue
        seen.add(garden.name)
        gardens.append(garden)
    if not gardens and not root.reading.faults:
        root.fault("gardens", "no row", "at least one garden", "Add a row for each garden.")
    return tuple(gardens)


def _garden(table: Table, weathers: Sequence[str], soils: Sequence[str]) -> RegionGarden | None:
    name = table.text("name", required="Give the garden a name.")
    latitude = table.number("latitude", -72.0, 72.0, "degrees, north positive", required="Say where it is.")
    longitude = table.number("longitude", -180.0, 180.0, "degrees, east positive", required="Say where it is.")
    weather = _one_of(table, "weather", weathers)
    soil = _one_of(table, "soil", soils)
    district = table.text("district")
    area = table.number("area_m2", 0.1, 1e6, "m2")
    if name is None or latitude is None or longitude is None or weather is None or soil is None:
        return None
    return RegionGarden(name, latitude, longitude, weather, soil, district or weather, area or USUAL_AREA)


def _one_of(table: Table, key: str, names: Sequence[str]) -> str | None:
    """Return one of the names of the region file; the only one where nothing is told."""
    told = table.text(key)
    if told is None:
        if len(names) == 1:
            return names[0]
        if not table.has(key):
            table.missing(key, ", ".join(names)[:120] or "a name of the region file", f"Name its {key}.")
        return None
    if told not in names:
        remedy = nearest_remedy(told, names) or "Choose one of them, or describe it in the region file."
        table.fault(key, shown(told), ", ".join(names)[:120] or "a name of the region file", remedy)
        return None
    return told
