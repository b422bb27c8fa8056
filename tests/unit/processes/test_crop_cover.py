"""A crop's four stages, and what they leave to evaporate."""

from __future__ import annotations

import pytest

from mullbed.processes import canopy_and_snow, crop_cover, crop_uptake
from plain_form import plain

basal = plain(crop_cover.basal_coefficient)
STAGES = (20.0, 30.0, 40.0, 20.0, 1.10, 0.80)


@pytest.mark.parametrize(
    ("day", "found"),  # known: flat, straight up, flat, straight down, then as at the end
    [(-5, 0.15), (0, 0.15), (20, 0.15), (35, 0.625), (50, 1.10), (90, 1.10), (100, 0.95), (110, 0.80), (300, 0.80)],
)
def test_the_stages_join(day: float, found: float) -> None:
    assert basal(float(day), *STAGES) == pytest.approx(found)


def test_full_cover_still_leaves_a_little_to_evaporate() -> None:
    assert plain(crop_cover.evaporation_demand)(1.30, 4.0) == pytest.approx(0.2)
    assert plain(crop_cover.evaporation_demand)(1.15, 4.0) == pytest.approx(0.2)
    assert plain(crop_cover.crop_ground_cover)(1.3) == 0.95
    assert plain(crop_cover.crop_ground_cover)(0.05) == 0.0


def test_snow_falls_lies_and_melts() -> None:
    assert plain(canopy_and_snow.snow_fall)(5.0, -1.0) == 0.0
    assert plain(canopy_and_snow.snow_fall)(5.0, -1.01) == 5.0
    assert plain(canopy_and_snow.snow_melt)(4.0, 2.0) == 4.0
    assert plain(canopy_and_snow.snow_melt)(4.0, -2.0) == 0.0


def test_a_covered_soil_takes_in_up_to_twice_as_much() -> None:
    runoff = plain(canopy_and_snow.runoff)
    assert [runoff(80.0, covering) for covering in (1.0, 0.5, 0.0)] == pytest.approx([30.0, 5.0, 0.0])


def test_half_the_want_falls_in_the_middle_of_the_season_and_most_around_it() -> None:
    wanted = plain(crop_uptake.wanted_by)
    assert wanted(0.5, 20.0) == pytest.approx(10.0)
    assert wanted(0.7, 20.0) - wanted(0.3, 20.0) > 0.7 * 20.0
    assert wanted(2.0, 20.0) == pytest.approx(20.0)
