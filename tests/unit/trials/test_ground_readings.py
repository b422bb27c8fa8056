"""What is typed at the bed becomes readings in one unit, and nothing without its unit is taken."""

from __future__ import annotations

import pytest

from mullbed.errors import InputFault
from mullbed.reference.field_checks import find_field_check
from mullbed.trials.ground_readings import ground_reading, munsell, seconds_typed, split_typed

RING = 0.1524
"""6.00 in. [m]"""


@pytest.mark.parametrize(
    ("typed", "seconds"), [("200", 200.0), ("3:20", 200.0), ("200 s", 200.0), ("3,5 min", 210.0), ("1:00:05", 3605.0)]
)
def test_a_time_is_read_however_it_is_written(typed: str, seconds: float):
    assert seconds_typed(typed) == pytest.approx(seconds)


@pytest.mark.parametrize("typed", ["soon", "3:75", "-1:20", "1:2:3:4", ""])
def test_what_is_no_time_is_refused(typed: str):
    with pytest.raises(InputFault):
        seconds_typed(typed)


def test_a_ring_of_six_inches_gives_twenty_inches_an_hour_for_three_minutes():
    found = ground_reading(find_field_check("infiltration"), ["3:00", "10:00", "30:00", "100:00"], bore_m=RING)
    assert found.readings == pytest.approx((20.0, 6.0, 2.0, 0.6))  # derived, table of field checks
    assert "463 mL" in found.method and "3:00" in found.method


def test_a_ring_without_its_bore_and_a_strip_without_its_unit_are_refused():
    with pytest.raises(InputFault, match="bore"):
        ground_reading(find_field_check("infiltration"), ["200"])
    with pytest.raises(InputFault, match="nitrate or nitrate-N"):
        ground_reading(find_field_check("nitrate"), ["50"])


def test_nitrate_is_turned_into_nitrate_nitrogen_by_their_masses():
    found = ground_reading(find_field_check("nitrate"), ["50", "100"], reads="nitrate")
    assert found.readings == pytest.approx((11.3, 22.6))  # known: 14.007 / 62.005 = 0.2259
    assert ground_reading(find_field_check("psnt"), ["25"], reads="nitrate-N").readings == (25.0,)
    assert pytest.approx(0.226, abs=2e-4) == 14.007 / 62.005


def test_a_colour_is_kept_whole_and_its_value_compared():
    assert munsell("10yr 3/2") == ("10YR", 3.0, 2.0)
    found = ground_reading(find_field_check("colour"), split_typed("colour", "10YR 3/2 10YR 4/2"))
    assert found.readings == (3.0, 4.0)
    assert found.word == "10YR 3/2"
    with pytest.raises(InputFault, match="brown"):
        ground_reading(find_field_check("colour"), ["brown"])


def test_a_squeeze_a_crumb_a_block_and_a_ring_of_soil_are_read_in_their_own_ways():
    assert ground_reading(find_field_check("layer_moisture"), ["few drops", "crackles"]).readings == (55.0, 35.0)
    assert ground_reading(find_field_check("slake"), ["4s", "20s", "90s", "9%", "30%", "80%", "5"]).readings == (
        1.0, 2.0, 3.0, 3.0, 5.0, 6.0, 5.0,
    )  # fmt: skip
    assert ground_reading(find_field_check("structure"), ["2@8+4@12"]).readings == pytest.approx((3.2,))
    assert ground_reading(find_field_check("bulk_density"), ["396/300"]).readings == pytest.approx((1.32,))


def test_every_fault_of_what_was_typed_is_told_at_once():
    with pytest.raises(InputFault) as told:
        ground_reading(find_field_check("worms"), ["many", "9", "4000", "few"])
    words = str(told.value)
    assert "many" in words and "few" in words
    assert "4000" in words
