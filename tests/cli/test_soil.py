"""``mullbed soil``: a place's soil out of a table, and lines a garden file takes as they are."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from mullbed.domain.spread import Evidence
from mullbed.errors import InputFault
from mullbed.files.bundled_garden import bundled_garden
from mullbed.files.garden_file import parse_garden, read_garden
from mullbed.files.garden_writer import garden_toml


@pytest.fixture
def asked(tmp_path: Path) -> tuple[str, ...]:
    path = tmp_path / "soils.csv"
    path.write_text("lat,lon,sand_pct,clay_pct,soc_g_kg\n48.2,16.4,40,22,18\n", encoding="utf-8")
    return ("soil", str(path), "--latitude", "48.21", "--longitude", "16.41")


def test_the_printed_lines_are_a_soil_read_off_a_map(asked: tuple[str, ...], mullbed: Callable[..., Any]) -> None:
    document = json.loads(mullbed(*asked, "--json").out)
    assert document["texture"] == "loam"
    whole = bundled_garden().read_text(encoding="utf-8")
    soil = "\n".join(document["garden_file"])
    start = whole.index("[soil]") if "[soil]" in whole else None
    if start is None:
        text = whole.replace("[[beds]]", f"{soil}\n\n[[beds]]", 1)
    else:
        end = whole.index("\n[", start + 1)
        text = whole[:start] + soil + "\n" + whole[end:]
    garden = parse_garden(text, "garden.toml", bundled_garden().parent)
    matter = next(bed.soil.organic_matter for bed in garden.beds if bed.soil.organic_matter.mid == pytest.approx(0.031))
    assert (matter.low, matter.high) == (pytest.approx(0.019), pytest.approx(0.058))
    assert matter.evidence is Evidence.PUBLISHED


def test_a_soil_read_off_a_map_is_written_back_the_same(tmp_path: Path) -> None:
    garden = read_garden(bundled_garden())
    soil = garden.beds[0].soil
    matter = replace(soil.organic_matter, low=0.019, mid=0.031, high=0.058, evidence=Evidence.PUBLISHED)
    beds = (replace(garden.beds[0], soil=replace(soil, organic_matter=matter)), *garden.beds[1:])
    changed = replace(garden, beds=beds)
    text = garden_toml(changed, bundled_garden().parent)
    again = parse_garden(text, "garden.toml", bundled_garden().parent)
    assert again.beds[0].soil.organic_matter == matter


@pytest.mark.parametrize(
    "lines",
    ['organic_matter = "3 %"\norganic_matter_low = "2 %"', 'organic_matter_low = "2 %"\norganic_matter_high = "5 %"',
     'organic_matter = "3 %"\norganic_matter_low = "4 %"\norganic_matter_high = "5 %"'],
)  # fmt: skip
def test_half_a_range_of_organic_matter_is_refused(lines: str) -> None:
    text = bundled_garden().read_text(encoding="utf-8").replace("[[beds]]", "[[beds]]", 1)
    begin = text.index("[[beds]]")
    bed = '[[beds]]\nname = "Odd"\nsize = "1 m x 2 m"\nsoil.texture = "loam"\n' + "\n".join(
        f"soil.{line}" for line in lines.splitlines()
    )
    with pytest.raises(InputFault, match="a range that is not whole"):
        parse_garden(text[:begin] + bed + "\n\n" + text[begin:], "garden.toml", bundled_garden().parent)


def test_the_page_tells_middle_range_and_what_was_assumed(asked: tuple[str, ...], mullbed: Callable[..., Any]) -> None:
    shown = mullbed(*asked, "--plain")
    assert shown.code == 0
    told = " ".join(shown.out.split())
    assert all(part in told for part in ("Loam", "not measured in your garden", "judgement", 'clay = "22 %"'))
    assert all(len(line) <= 80 for line in shown.out.splitlines())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--latitude", "99"), "-90 to 90"),
        (("--reach", "0"), "above 0"),
        (("--column", "peat=x"), "organic_carbon"),
        (("--latitude", "58"), "the nearest is"),
    ],
)
def test_what_cannot_be_found_ends_with_two(
    asked: tuple[str, ...], words: tuple[str, ...], said: str, mullbed: Callable[..., Any]
) -> None:
    ended = mullbed(*asked, *words)
    assert (ended.code, ended.out) == (2, "")
    assert said in ended.err
