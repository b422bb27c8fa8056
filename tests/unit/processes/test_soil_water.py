"""Edges of water in soil: dry, drained, and the exchange with what lies on it."""

from __future__ import annotations

import pytest

from mullbed.processes import soil_water
from plain_form import plain

exchange = plain(soil_water.contact_exchange)
evaporated = plain(soil_water.soil_evaporation)


def test_a_wet_sublayer_gives_and_a_dry_one_draws() -> None:
    assert exchange(0.4, 0.2, 0.05, 5.0, 0.03) == pytest.approx(0.3 * 0.2)
    assert exchange(0.2, 0.4, 0.05, 5.0, 0.03) == pytest.approx(-0.3 * 0.2)


def test_the_pull_fades_with_distance_and_ends_at_half_a_kilogram() -> None:
    near, middle, far = (exchange(1.0, 0.0, distance, 5.0, 0.1) for distance in (0.05, 0.3, 0.5))
    assert near == pytest.approx(0.3)
    assert near > middle > far > 0.0
    assert exchange(1.0, 0.0, 0.5000001, 5.0, 0.1) == 0.0


def test_dry_soil_gives_nothing_up_and_air_dry_matter_nothing_down() -> None:
    assert exchange(1.0, 0.0, 0.05, 0.0, 0.1) == 0.0
    assert exchange(1.0, 0.0, 0.05, -3.0, 0.1) == 0.0
    assert exchange(0.0, 0.1, 0.05, 5.0, 0.1) == 0.0


def test_bare_soil_evaporates_at_full_demand_until_forty_percent_is_gone() -> None:
    assert evaporated(6.0, 4.0, 10.0) == pytest.approx(4.0)
    assert evaporated(3.0, 4.0, 10.0) == pytest.approx(2.0)
    assert evaporated(-1.0, 4.0, 10.0) == 0.0


def test_only_water_above_field_capacity_drains() -> None:
    assert plain(soil_water.drained_water)(14.0, 14.0) == 0.0
    assert plain(soil_water.drained_water)(13.0, 14.0) == 0.0
