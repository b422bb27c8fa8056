"""The region file: what it says becomes days, lifts and gardens; all that is wrong is told at once."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest

from mullbed.errors import InputFault
from mullbed.files.region_file import read_region


def test_a_region_file_becomes_gardens_ways_and_days(small_region: Path) -> None:
    spec = read_region(small_region)
    assert [garden.name for garden in spec.gardens] == ["Ash", "Beech", "Cherry", "Dogwood", "Elder"]
    assert spec.gardens[0].district == "wet"  # known: the weather's key where no district is told
    assert [layer.day for layer in spec.ways[0].layers] == [7, 28, 49]  # known: 8 April, then every 21 days
    assert [layer.day for layer in spec.ways[1].layers] == [9]
    assert spec.ways[0].layers[0].water == pytest.approx(2.0)
    assert spec.ways[1].layers[0].lifts[0].thickness == pytest.approx(0.040)
    assert (spec.days, spec.years, spec.members, spec.runs_per_garden) == (70, 3, 4, 3 * 3 * 4)
    assert spec.crop is not None
    assert (spec.crop.planted, spec.crop.harvested) == (19, 68)


def test_southern_gardens_begin_half_a_year_later_where_asked(small_region: Path, tmp_path: Path) -> None:
    folder = shutil.copytree(small_region.parent, tmp_path / "south")
    path = folder / "region.toml"
    text = path.read_text(encoding="utf-8").replace("years = 3", "years = 3\nsouth_half_a_year_later = true")
    path.write_text(text.replace("47.5\n", "-31.0\n"), encoding="utf-8")
    table = folder / "gardens.csv"
    table.write_text(table.read_text(encoding="utf-8").replace("47.5", "-31.5"), encoding="utf-8")
    spec = read_region(path)
    assert spec.begins(spec.gardens[0]) == date(2027, 4, 1)
    assert spec.begins(spec.gardens[3]) == date(2027, 9, 30)  # known: 182 days later


def test_every_fault_of_file_and_table_is_told_at_once(small_region: Path, tmp_path: Path) -> None:
    folder = shutil.copytree(small_region.parent, tmp_path / "broken")
    path = folder / "region.toml"
    text = path.read_text(encoding="utf-8")
    for right, wrong in (
        ("members = 4", "members = 2"),
        ("straw: 15 mm", "straw: 15 weeks"),
        ("days = [2027-04-10]", "days = [2028-04-10]"),
        ('texture = "clay loam"', 'texture = "clayish"'),
        ("latitude = 47.5", "latitude = 147.5"),
        ('name = "once"', 'name = "nothing laid"'),
        ("seed = 3", 'seed = 3\nsurface = "green"'),
    ):
        assert right in text
        text = text.replace(right, wrong)
    path.write_text(text, encoding="utf-8")
    table = folder / "gardens.csv"
    rows = table.read_text(encoding="utf-8")
    rows = rows.replace("Beech,51.02", "Ash,51.02").replace("wet,sand,8.0", "west,sand,8.0").replace("7.1,", "north,")
    table.write_text(rows, encoding="utf-8")
    with pytest.raises(InputFault) as told:
        read_region(path)
    words = str(told.value)
    for part in ("members", "15 weeks", "2028-04-10", "clayish", "147.5", "surface", "stands twice", "west", "'north'"):
        assert part in words, part
    assert "gardens.csv, line 3" in words  # known: the header is line 1, Beech the second row
    assert "region.toml, line" in words


def test_a_region_without_anything_is_told_what_it_lacks(tmp_path: Path) -> None:
    path = tmp_path / "empty.toml"
    path.write_text('gardens = "none.csv"\n', encoding="utf-8")
    with pytest.raises(InputFault) as told:
        read_region(path)
    for part in ("name", "[season]", "weather", "soils", "ways", "none.csv"):
        assert part in str(told.value)
