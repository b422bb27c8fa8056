"""Frost, sun and cover at the soil's surface; heat inside a layer; density of a lift."""

from __future__ import annotations

import pytest

from mullbed.processes import layer_heat, settling, soil_carbon, soil_temperature
from plain_form import plain

surface = plain(soil_temperature.surface_temperature)


def test_frost_reaches_the_soil_tenfold_weakened() -> None:
    assert surface(-8.0, 10.0, 0.0, 0.0) == pytest.approx(-0.8)
    assert surface(-1.0, 20.0, 0.0, 0.0) == pytest.approx(0.5)


def test_sun_warms_bare_soil_and_a_dark_day_cools_it() -> None:
    assert surface(20.0, 25.0, 0.0, 0.0) == pytest.approx(22.25)
    assert surface(20.0, 2.0, 0.0, 0.0) == pytest.approx(18.8)
    assert surface(20.0, 25.0, 0.0, 1.0) == pytest.approx(20.5625)


def test_a_layer_is_warmest_in_its_middle() -> None:
    warming = plain(layer_heat.warming)
    assert warming(4.0, 0.1, 0.5) > warming(4.0, 0.1, 0.25) == pytest.approx(warming(4.0, 0.1, 0.75))
    assert warming(0.0, 0.1, 0.5) == 0.0


def test_a_lift_that_does_not_rot_sinks_to_half_its_height() -> None:
    density = 40.0
    for _ in range(300):
        density = plain(settling.settled_density)(density, 40.0, 1.0, 0.0)
    assert plain(settling.lift_thickness)(1000.0, density) == pytest.approx(0.5 * 1000.0 / 40000.0, rel=0.001)


def test_soil_pools_rest_below_minus_five() -> None:
    assert plain(soil_carbon.soil_carbon_warmth)(-5.01) == 0.0
    assert plain(soil_carbon.soil_carbon_warmth)(-5.0) > 0.0
    assert plain(soil_carbon.soil_carbon_moisture)(0.0) == pytest.approx(0.2)
    assert plain(soil_carbon.soil_carbon_deficit_moisture)(-50.0, -50.0) == pytest.approx(0.2)
    assert plain(soil_carbon.soil_carbon_deficit_moisture)(-60.0, -50.0) == pytest.approx(0.2)
