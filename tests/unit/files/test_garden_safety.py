"""What rules of safety ask of a garden file is read, refused where it is wrong, and written back the same."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from mullbed.domain.bed import Near
from mullbed.domain.garden import Danger, Garden
from mullbed.domain.refusal import Override
from mullbed.errors import InputFault
from mullbed.files.garden_file import parse_garden
from mullbed.files.garden_writer import garden_toml

TEXT = """
[site]
name = "Mill Field"
latitude = 52.0
dangers = ["fire", "jumping worms", "fire"]
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
soil = { texture = "loam", lead = 180 }
near = { building = "3 ft", well = "60 m" }
[[beds]]
name = "Far Bed"
like = "Wall Bed"
near = { building = "12 m" }
[[supplies]]
residue = "horse manure"
amount = "2 barrow"
heated = true
[[overrides]]
rule = "fire_strip"
reason = "The wall is stone and the strip is watered."
who = "Ada"
day = 2027-02-20
bed = "wall bed"
"""


def read(text: str = TEXT) -> Garden:
    return parse_garden(text, "garden.toml", Path())


def test_dangers_surroundings_lead_heat_and_overrides_are_read() -> None:
    garden = read()
    assert garden.site.dangers == (Danger.FIRE, Danger.JUMPING_WORMS)
    wall, far = garden.beds
    assert wall.near == Near(building=pytest.approx(0.9144), well=60.0)
    assert far.near == Near(building=12.0, well=60.0)  # what is not told is that of the bed it is like
    assert wall.soil.lead == 180.0
    assert garden.supplies[0].heated
    reason = "The wall is stone and the strip is watered."
    assert garden.overrides == (Override("fire_strip", reason, "Ada", date(2027, 2, 20), "Wall Bed"),)


def test_what_is_written_back_reads_the_same() -> None:
    garden = read()
    assert parse_garden(garden_toml(garden, Path()), "again.toml", Path()) == garden


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('rule = "fire_strip"', 'rule = "fire_stripe"', "Did you mean 'fire_strip'"),
        ('rule = "fire_strip"', 'rule = "herbicide_found"', "cannot be set aside"),
        ('reason = "The wall is stone and the strip is watered."\n', "", "reason is missing"),
        ('who = "Ada"\n', "", "who is missing"),
        ('bed = "wall bed"', 'bed = "Mall Bed"', "Did you mean 'wall bed'"),
        ('dangers = ["fire", "jumping worms", "fire"]', 'dangers = ["frost"]', '"termites"'),
        ("lead = 180", "lead = -1", "mg/kg"),
        ('building = "3 ft"', 'house = "3 ft"', "unknown key 'house'"),
    ],
)
def test_what_is_wrong_is_told_with_its_remedy(old: str, new: str, told: str) -> None:
    assert old in TEXT
    with pytest.raises(InputFault) as refused:
        read(TEXT.replace(old, new))
    assert told in str(refused.value)
