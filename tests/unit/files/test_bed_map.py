"""Beds on a map: GeoJSON as RFC 7946 wants it, and every bed whole again."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise

import pytest

from mullbed.domain.garden import Garden
from mullbed.errors import InputFault
from mullbed.files.bed_map import METRES_PER_DEGREE, MappedBed, bed_map, read_bed_map
from mullbed.files.bundled_garden import bundled_garden
from mullbed.files.garden_file import read_garden


@pytest.fixture(scope="module")
def garden() -> Garden:
    read = read_garden(bundled_garden())
    return replace(read, site=replace(read.site, longitude=-122.0))


def test_every_bed_comes_back_whole(garden: Garden) -> None:
    assert read_bed_map(bed_map(garden), "beds.geojson") == garden.beds


def test_polygons_are_closed_and_wound_against_the_clock(garden: Garden) -> None:
    features = json.loads(bed_map(garden))["features"]
    rings = [one["geometry"]["coordinates"][0] for one in features if one["geometry"]]
    assert len(rings) == 1  # known: one bed of the bundled garden has an outline
    for ring in rings:
        assert ring[0] == ring[-1]
        assert sum((b[0] - a[0]) * (b[1] + a[1] - 2 * ring[0][1]) for a, b in pairwise(ring)) < 0.0
        assert all(-180 <= x <= 180 and -90 <= y <= 90 for x, y in ring)


def test_a_garden_without_longitude_has_unlocated_beds_that_come_back_too(garden: Garden) -> None:
    nowhere = replace(garden, site=replace(garden.site, longitude=None))
    text = bed_map(nowhere)
    assert all(one["geometry"] is None for one in json.loads(text)["features"])
    assert read_bed_map(text, "beds.geojson") == nowhere.beds


def test_a_map_drawn_elsewhere_gives_outline_and_area_in_metres(garden: Garden) -> None:
    document = json.loads(bed_map(garden))
    crooked = next(one for one in document["features"] if one["geometry"])
    del crooked["properties"]["bed"]
    document["features"] = [crooked]
    (found,) = read_bed_map(json.dumps(document), "beds.geojson", garden.site)
    bed = garden.bed("Crooked Bed")
    assert isinstance(found, MappedBed)
    assert bed is not None and bed.outline is not None
    assert found.area == pytest.approx(bed.area, rel=1e-6)
    for corner, known in zip(found.outline, bed.outline, strict=True):
        assert corner == pytest.approx(known, abs=1e-3)


def test_a_degree_is_as_long_as_the_mean_radius_of_the_equator_says() -> None:
    assert pytest.approx(2 * 3.14159265 * 6378.1e3 / 360.0, rel=1e-4) == METRES_PER_DEGREE  # known


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("{", "not JSON"),
        ('{"type": "Point"}', "no list of features"),
        ('{"features": [{"properties": {}}]}', "no name"),
        ('{"features": [{"properties": {"name": "A"}, "geometry": null}]}', "no closed polygon"),
        ('{"features": [{"properties": {"bed": {"name": 3}}}]}', "feature 1.bed.name: 3"),
    ],
)
def test_what_is_no_map_of_beds_is_told_with_its_place(text: str, told: str) -> None:
    with pytest.raises(InputFault, match=told):
        read_bed_map(text, "beds.geojson")
