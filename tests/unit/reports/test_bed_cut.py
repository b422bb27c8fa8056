"""The cut: to scale, told in words, its own face for every layer."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from season_sample import FIRST, GARDEN, PLAN, PLANNED

from mullbed.domain.garden import UnitSystem
from mullbed.domain.residue import Texture
from mullbed.reports.bed_cut import Cut, CutLift, cut_drawing
from mullbed.reports.cut_scene import bare_cut, planned_cut
from mullbed.reports.textures import Patch, pieces

SVG = "{http://www.w3.org/2000/svg}"
METRIC = UnitSystem.METRIC


def wall() -> Cut:
    return planned_cut(PLANNED[0], GARDEN.bed("Wall"), PLAN.forecasts["Wall"], METRIC)


def outlines(svg: str) -> list[tuple[float, float]]:
    """Mean height of the top and bottom edge of every lift, from its clip path."""
    found = []
    for path in re.findall(r'<clipPath id="c[0-9a-f]+l\d+"><path d="M([^"]+)Z"', svg):
        ys = [float(point.split(" ")[1]) for point in path.split("L")]
        half = len(ys) // 2
        found.append((sum(ys[:half]) / half, sum(ys[half:]) / (len(ys) - half)))
    return found


@pytest.mark.parametrize("line", [False, True])
def test_the_cut_is_a_picture_with_title_and_description(line: bool) -> None:
    root = ElementTree.fromstring(cut_drawing(wall(), line=line).svg)
    assert root.get("role") == "img"
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None and title.text == "Wall bed on 24 April"
    assert desc is not None and desc.text is not None
    assert desc.text.index("Shredded autumn leaves, 5.0 cm") < desc.text.index("Fresh grass clippings, 2.1 cm")
    assert "Lying now, 3.1 cm" in desc.text
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"


@pytest.mark.parametrize("scale", [9.0, 12.0, 14.0])
def test_lifts_are_drawn_to_scale(scale: float) -> None:
    cut = Cut(
        "Bed", "", tuple(CutLift("x", Texture.LEAVES, thick, seed=str(thick)) for thick in (2.1, 5.0, 3.4)),
    )  # fmt: skip
    heights = [(bottom - top) / scale for top, bottom in outlines(cut_drawing(cut, scale=scale).svg)]
    assert heights == pytest.approx([2.1, 5.0, 3.4], abs=0.12)


def test_two_beds_give_two_cuts_and_one_layer_keeps_its_face() -> None:
    low = planned_cut(PLANNED[2], GARDEN.bed("Low"), PLAN.forecasts["Low"], METRIC)
    assert cut_drawing(wall()).svg != cut_drawing(low).svg
    assert cut_drawing(wall()).svg == cut_drawing(wall()).svg
    same_matter_elsewhere = replace(
        PLANNED[0], layer=replace(PLANNED[0].layer, bed="Low"), lying_before=0.0, settled_thickness=0.0
    )
    here = planned_cut(replace(PLANNED[0], lying_before=0.0, settled_thickness=0.0), None, None, METRIC)
    there = planned_cut(same_matter_elsewhere, None, None, METRIC)
    assert pieces_of(cut_drawing(here).svg) != pieces_of(cut_drawing(there).svg)


def pieces_of(svg: str) -> list[str]:
    return re.findall(r'clip-path="url\(#c[0-9a-f]+l\d+\)">(.*?)</g></g>', svg)


def test_the_line_version_is_black_on_white() -> None:
    colours = set(re.findall(r"\"(#[0-9A-Fa-f]{6})\"", cut_drawing(wall(), line=True, words=False).svg))
    assert colours == {"#000000", "#FFFFFF"}


def test_labels_are_at_most_five_and_never_overlap_or_cross() -> None:
    lifts = tuple(CutLift(f"Lift {index}", Texture.STRAW, 0.4, "0.4 cm", "dry", f"s{index}") for index in range(9))
    drawing = cut_drawing(Cut("Bed", "", lifts, soil_words=("Soil", "")), label_pitch=46)
    places = [label.y for label in drawing.labels]
    assert len(places) == 5
    assert all(after - before >= 46 - 1e-9 for before, after in itertools.pairwise(places))
    assert drawing.labels[-1].name == "Soil"
    leaders = re.findall(r"H[\d.]+L[\d.]+ ([\d.]+)H", drawing.svg)
    assert [float(y) for y in leaders] == sorted(float(y) for y in leaders)


def test_names_of_beds_cannot_break_the_picture() -> None:
    cut = planned_cut(PLANNED[3], None, None, METRIC)
    root = ElementTree.fromstring(cut_drawing(cut).svg)
    title = root.find(f"{SVG}title")
    assert title is not None and title.text is not None and "<Arch>" in title.text


def test_a_planned_layer_lies_on_what_is_there() -> None:
    cut = wall()
    lying = [lift for lift in cut.lifts if lift.group == "lying"]
    assert sum(lift.centimetres for lift in lying) == pytest.approx(3.1)
    assert [lift.centimetres for lift in cut.lifts if not lift.group] == pytest.approx([2.1, 5.0])


def test_bare_soil_has_no_lifts() -> None:
    bed = GARDEN.beds[3]
    cut = bare_cut(bed, PLAN.forecasts[bed.name], FIRST, METRIC)
    assert cut.lifts == ()
    assert "bare soil" in cut.description


def test_worms_are_drawn_one_for_four() -> None:
    def worms(count: int) -> int:
        return cut_drawing(Cut("Bed", "", (), worms=count)).svg.count("#F0B8A0")

    assert (worms(0), worms(4), worms(9)) == (0, 1, 2)


def test_each_kind_of_matter_has_its_own_shape() -> None:
    import numpy as np

    drawn = {}
    for matter in Texture:
        svg = pieces(matter, Patch(0, 0, 200, 60, 12), np.random.default_rng(3))
        drawn[matter] = re.sub(r"#[0-9A-Fa-f]{6}|-?\d+\.?\d*", "", svg)[:400]
        assert svg.count("<path") + svg.count("<ellipse") > 8
    drawn.pop(Texture.HAY)  # dried grass stays grass: the same stroke, thinner and ochre
    assert len(set(drawn.values())) == len(drawn)


def test_older_matter_is_in_shorter_pieces() -> None:
    import numpy as np

    def longest(gone: float) -> float:
        svg = pieces(Texture.STRAW, Patch(0, 0, 400, 100, 12, gone), np.random.default_rng(5))
        spans = []
        for path in re.findall(r'd="M([-\d.]+) [-\d.]+L([-\d.]+) ', svg):
            spans.append(abs(float(path[1]) - float(path[0])))
        return max(spans)

    assert longest(0.9) < 0.6 * longest(0.0)
