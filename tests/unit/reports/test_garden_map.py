"""The garden from above: true sizes, north up, every bed a link with its words."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from mullbed.domain.garden import UnitSystem
from mullbed.domain.residue import Texture
from mullbed.reports.garden_map import LEAST_TARGET, MapBed, map_svg, placed_beds


def bed(
    name: str, outline: tuple[tuple[float, float], ...] | None = None, area: float = 6.0, **other: object
) -> MapBed:
    values: dict[str, object] = {"matter": None, "grows": False, "stop": None, "verb": "", "words": "leave it alone"}
    return MapBed(name, f"/bed/{name}", outline, area, **(values | other))  # type: ignore[arg-type]


def box(left: float, south: float, wide: float, high: float) -> tuple[tuple[float, float], ...]:
    return ((left, south), (left + wide, south), (left + wide, south + high), (left, south + high))


def points(svg: str) -> list[list[tuple[float, float]]]:
    return [
        [(float(x), float(y)) for x, y in (pair.split(",") for pair in one.split())]
        for one in re.findall(r'<polygon points="([^"]+)"', svg)
    ]


def area(corners: list[tuple[float, float]]) -> float:
    ends = [*corners[1:], corners[0]]
    return abs(sum(x * v - u * y for (x, y), (u, v) in zip(corners, ends, strict=True))) / 2


def test_outlines_stand_where_they_are_with_north_up():
    svg = map_svg([bed("South", box(0, 0, 4, 1.2)), bed("North", box(0, 3, 4, 1.2))], UnitSystem.METRIC)
    south, north = points(svg)
    assert max(y for _, y in north) < min(y for _, y in south)
    assert area(south) == pytest.approx(area(north), rel=0.01)


def test_beds_without_a_place_keep_their_true_sizes_in_rows():
    beds = [bed("A", area=4.8), bed("B", area=9.6), bed("C", box(0, 0, 4, 1.2)), bed("D", area=1.0)]
    sizes = [area(one) for one in points(map_svg(beds, UnitSystem.METRIC))]
    assert sizes[1] == pytest.approx(2 * sizes[0], rel=0.02)
    assert sizes[2] == pytest.approx(sizes[0], rel=0.02)
    assert sizes[3] == pytest.approx(sizes[0] / 4.8, rel=0.05)


def test_outlines_measured_each_from_its_own_corner_tell_no_place():
    placed, others = placed_beds([bed("A", box(0, 0, 4, 1)), bed("B", box(0, 0, 5, 1)), bed("C", box(0, 9, 4, 1))])
    assert placed == [] and len(others) == 3


def test_every_bed_is_a_link_large_enough_for_a_glove_in_walking_order():
    beds = [bed(f"Bed {index}", area=3.0, stop=1 if index == 4 else None) for index in range(6)]
    svg = map_svg(beds, UnitSystem.METRIC)
    assert re.findall(r'<a href="/bed/(Bed \d)"', svg) == [f"Bed {index}" for index in range(6)]
    sizes = re.findall(r'width="([\d.]+)" height="([\d.]+)" fill="transparent"', svg)
    assert len(sizes) == 6
    assert all(min(float(wide), float(high)) >= LEAST_TARGET for wide, high in sizes)


def test_what_lies_on_top_fills_a_bed_and_words_say_the_rest():
    svg = map_svg(
        [bed("Wall", matter=Texture.LEAVES, stop=1, verb="lay", words="lay 3 buckets"), bed("Bare", grows=True)],
        UnitSystem.US,
    )
    assert f"url(#top-{Texture.LEAVES})" in svg and "url(#bare)" in svg and "stroke-dasharray" in svg
    assert 'aria-label="Wall: lay 3 buckets"' in svg and "6 ft" in svg


def test_a_wild_name_stays_a_name():
    svg = map_svg([bed('<script>"&', words="<b>")], UnitSystem.METRIC)
    assert ElementTree.fromstring(svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)) is not None
    assert "<script" not in svg
