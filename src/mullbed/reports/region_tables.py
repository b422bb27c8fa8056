"""Tables of a region: every garden and way as CSV and as GeoJSON points, groups of gardens as CSV."""

from __future__ import annotations

import csv
import json
from collections.abc import Mapping
from io import StringIO
from math import isfinite

from mullbed.domain.region import MEANINGS, NITRATE_LIMIT, THINGS, RegionResult, drainage_nitrate

PARTS = ("mean", "p10", "p50", "p90")


def _columns() -> list[str]:
    """Return the columns of values; the unit stands in each name."""
    units = {"g m-2": "g_m2", "mm": "mm", "1": "count"}
    return [f"{thing}_{units[MEANINGS[thing].unit]}_{part}" for thing in THINGS for part in PARTS]


def gardens_csv(result: RegionResult) -> str:
    """Return a row for every garden that was run and way."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    about = ["garden", "latitude", "longitude", "district", "soil", "weather", "area_m2", "way"]
    writer.writerow([*about, "drainage_nitrate_mg_L", *_columns()])
    nitrate = result.drainage_nitrate
    for number, garden in enumerate(result.spec.gardens):
        if not result.done[number]:
            continue
        place = [garden.name, garden.latitude, garden.longitude, garden.district, garden.soil, garden.weather]
        for way, name in enumerate(result.spec.way_names):
            cells = [_cell(float(value)) for value in result.figures[number, way].ravel()]
            writer.writerow([*place, garden.area, name, _cell(float(nitrate[number, way])), *cells])
    return out.getvalue()


def groups_csv(result: RegionResult) -> str:
    """Return a row for every group of gardens and way."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(["kind", "name", "gardens", "area_m2", "way", "drainage_nitrate_mg_L", *_columns()])
    for group in result.groups:
        for way, name in enumerate(result.spec.way_names):
            nitrate = _cell(float(drainage_nitrate(group.figures[way, :, 0])))
            cells = [_cell(float(value)) for value in group.figures[way].ravel()]
            writer.writerow([group.kind, group.name, group.gardens, f"{group.area:.1f}", name, nitrate, *cells])
    return out.getvalue()


def gardens_geojson(result: RegionResult, way: int) -> str:
    """Return the gardens of one way as points after RFC 7946; a garden that was not run is left out.

    Names, units and the limit stand in the collection, values of a garden flat in its properties, as programs that
    draw maps read them.
    """
    concentration = result.drainage_nitrate[:, way]
    collection = {
        "type": "FeatureCollection",
        "title": f"{result.spec.name}: {result.spec.way_names[way]}",
        "units": {str(thing): MEANINGS[thing].unit for thing in THINGS},
        "meanings": {str(thing): MEANINGS[thing].meaning for thing in THINGS},
    }
    # Each point becomes text at once: as words of Python they would take ten times the room.
    points = ",\n".join(
        _compact(_feature(result, number, way, float(concentration[number])))
        for number in range(len(result.spec.gardens))
        if result.done[number]
    )
    return f'{_compact(collection)[:-1]},"features":[\n{points}\n]}}\n'


def _feature(result: RegionResult, number: int, way: int, nitrate: float) -> dict[str, object]:
    """Return a garden as a point with its values."""
    garden = result.spec.gardens[number]
    properties: dict[str, object] = {
        "garden": garden.name,
        "district": garden.district,
        "soil": garden.soil,
        "area_m2": garden.area,
        "drainage_nitrate_mg_L": _value(nitrate),
        "above_limit": nitrate > NITRATE_LIMIT if isfinite(nitrate) else None,
    }
    for at, thing in enumerate(THINGS):
        for part, value in zip(PARTS, result.figures[number, way, at], strict=True):
            properties[f"{thing}_{part}"] = _value(float(value))
    point = {"type": "Point", "coordinates": [round(garden.longitude, 6), round(garden.latitude, 6)]}
    return {"type": "Feature", "geometry": point, "properties": properties}


def _compact(document: Mapping[str, object]) -> str:
    return json.dumps(document, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def _cell(value: float) -> str:
    return f"{value:.5g}" if isfinite(value) else ""


def _value(value: float) -> float | None:
    return float(f"{value:.5g}") if isfinite(value) else None
