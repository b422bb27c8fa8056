"""Beds as GeoJSON (RFC 7946), out and in: outlines on the map where the place is known, in plain metres always.

A bed's outline is in metres, east and north of the garden's corner. Where the garden tells latitude and longitude the
corner is put there and every bed gets a polygon, wound against the clock as section 3.1.6 asks; elsewhere the geometry
is null, which section 3.2 calls an unlocated feature. The property ``bed`` holds the whole bed, so nothing is lost;
a map drawn elsewhere, without it, still gives names, outlines and areas.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from mullbed.domain.bed import Bed
from mullbed.domain.garden import Garden, Site
from mullbed.domain.plain_values import from_plain, to_plain
from mullbed.errors import Fault, InputFault
from mullbed.files.outline import Outline, edges_cross, outline_area

METRES_PER_DEGREE = 111_320.0
"""One degree along a meridian, and along the equator, on a sphere of 6378 km; enough for a garden. [m]"""
_ORDERLY = "Export the map anew, or draw the bed again."


@dataclass(frozen=True, slots=True)
class MappedBed:
    """A bed as another map tells it: a name and an outline in metres."""

    name: str
    outline: Outline

    @property
    def area(self) -> float:
        """Area within the outline. [m2]"""
        return outline_area(self.outline)


def bed_map(garden: Garden) -> str:
    """Return the beds of a garden as a GeoJSON feature collection."""
    document = {
        "type": "FeatureCollection",
        "garden": garden.site.name,
        "units": {"area": "m2", "outline": "m", "thickness": "m", "dry_matter": "g/m2", "water": "mm"},
        "features": [_feature(bed, garden.site) for bed in garden.beds],
    }
    return json.dumps(document, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def _feature(bed: Bed, site: Site) -> dict[str, Any]:
    return {
        "type": "Feature",
        "id": bed.name,
        "geometry": _polygon(bed.outline, site),
        "properties": {"name": bed.name, "area": bed.area, "bed": to_plain(bed)},
    }


def _polygon(outline: Outline | None, site: Site) -> dict[str, Any] | None:
    if outline is None or site.longitude is None:
        return None
    ring = list(outline) if _against_the_clock(outline) else list(reversed(outline))
    east = METRES_PER_DEGREE * math.cos(math.radians(site.latitude))
    places = [[site.longitude + x / east, site.latitude + y / METRES_PER_DEGREE] for x, y in (*ring, ring[0])]
    return {"type": "Polygon", "coordinates": [places]}


def _against_the_clock(outline: Sequence[tuple[float, float]]) -> bool:
    twice = 0.0
    for (x, y), (next_x, next_y) in zip(outline, [*outline[1:], *outline[:1]], strict=True):
        twice += x * next_y - next_x * y
    return twice > 0.0


def read_bed_map(text: str, place: str, site: Site | None = None) -> tuple[Bed | MappedBed, ...]:
    """Return the beds of a GeoJSON text: whole ones where it holds them, else names and outlines.

    Raises
    ------
    InputFault
        With everything in it that is no bed.
    """
    try:
        document = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputFault([Fault(place, f"not JSON: {str(error)[:120]}", "GeoJSON", _ORDERLY)]) from error
    features = document.get("features") if isinstance(document, dict) else None
    if not isinstance(features, list):
        raise InputFault([Fault(place, "no list of features", "a GeoJSON feature collection", _ORDERLY)])
    faults: list[Fault] = []
    found: list[Bed | MappedBed] = []
    for number, feature in enumerate(features, start=1):
        try:
            found.append(_bed(feature, f"{place}, feature {number}", site))
        except InputFault as error:
            faults.extend(error.faults)
    if faults:
        raise InputFault(faults)
    return tuple(found)


def _bed(feature: object, place: str, site: Site | None) -> Bed | MappedBed:
    if not isinstance(feature, dict) or not isinstance(feature.get("properties"), Mapping):
        raise InputFault([Fault(place, "no feature with properties", "a feature for each bed", _ORDERLY)])
    properties = feature["properties"]
    if "bed" in properties:
        return from_plain(Bed, properties["bed"], f"{place}.bed")
    name = properties.get("name")
    if not isinstance(name, str) or not name.strip():
        raise InputFault([Fault(place, "no name", "a property name", "Name every bed.")])
    return MappedBed(name.strip(), _outline(feature.get("geometry"), place, site))


def _outline(geometry: object, place: str, site: Site | None) -> Outline:
    """Return the outer ring in metres east and north of the garden's place, or of its first corner."""
    sound = isinstance(geometry, dict) and geometry.get("type") == "Polygon" and geometry.get("coordinates")
    rings = geometry["coordinates"] if isinstance(geometry, dict) and sound else []
    ring = rings[0] if isinstance(rings, list) and rings and isinstance(rings[0], list) else []
    places = [
        (float(one[0]), float(one[1]))
        for one in ring
        if isinstance(one, list) and len(one) >= 2 and all(isinstance(part, int | float) for part in one[:2])
    ]
    if len(places) != len(ring) or len(places) < 4 or places[0] != places[-1]:
        raise InputFault([Fault(place, "no closed polygon", "a polygon of three corners or more", _ORDERLY)])
    if site is not None and site.longitude is not None:
        corner = (site.longitude, site.latitude)
    else:
        corner = places[0]
    east = METRES_PER_DEGREE * math.cos(math.radians(corner[1]))
    outline = tuple(((x - corner[0]) * east, (y - corner[1]) * METRES_PER_DEGREE) for x, y in places[:-1])
    if edges_cross(outline):
        raise InputFault([Fault(place, "edges cross", "corners in order round the bed", "Put the corners in order.")])
    return outline
