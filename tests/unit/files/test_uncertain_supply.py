"""The chance that an expected supply does not come is read, refused where it is no share, and written back."""

from __future__ import annotations

from pathlib import Path

import pytest

from mullbed.errors import InputFault
from mullbed.files.garden_file import parse_garden
from mullbed.files.garden_writer import garden_toml

TEXT = """
[site]
name = "Mill Field"
latitude = 52.0
[season]
first_day = 2027-03-01
last_day = 2027-10-31
[weather]
monthly_low = [1, 1, 3, 5, 8, 11, 13, 13, 10, 7, 4, 2]
monthly_high = [7, 8, 11, 14, 18, 21, 23, 23, 19, 14, 10, 7]
monthly_rain = [60, 45, 50, 45, 50, 50, 50, 55, 55, 65, 65, 60]
[[beds]]
name = "Wall Bed"
area = "6 m2"
soil = { texture = "loam" }
[[supplies]]
residue = "grass clippings"
amount = "2 barrow"
every = "14 days"
may_fail = "20 %"
"""


def test_the_chance_is_read_and_written_back() -> None:
    garden = parse_garden(TEXT, "garden.toml", Path())
    assert garden.supplies[0].may_fail == 0.2
    again = parse_garden(garden_toml(garden, Path()), "garden.toml", Path())
    assert again.supplies == garden.supplies


def test_without_it_a_supply_is_sure() -> None:
    sure = parse_garden(TEXT.replace('may_fail = "20 %"\n', ""), "garden.toml", Path())
    assert sure.supplies[0].may_fail == 0.0
    assert "may_fail" not in garden_toml(sure, Path())


def test_what_is_no_share_is_refused_with_its_place() -> None:
    with pytest.raises(InputFault) as refused:
        parse_garden(TEXT.replace("20 %", "120 %"), "garden.toml", Path())
    assert "may_fail" in str(refused.value)
