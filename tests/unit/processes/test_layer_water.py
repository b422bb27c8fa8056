"""Edges of water in a layer: dry, full, without matter."""

from __future__ import annotations

import math

import pytest

from mullbed.processes import layer_water
from plain_form import plain

kept = plain(layer_water.kept_water)
evaporated = plain(layer_water.free_water_evaporation)
tissue = plain(layer_water.tissue_evaporation)
released = plain(layer_water.tissue_release)


def test_a_full_lift_keeps_nothing_and_an_overfull_one_gives_nothing_back_here() -> None:
    assert kept(10.0, 0.65, 0.25, 3.7, 2.6) == pytest.approx(0.0)
    assert kept(10.0, 2.0, 0.25, 3.7, 2.6) == 0.0


def test_a_drizzle_is_caught_by_the_share_of_ground_that_is_covered() -> None:
    assert kept(0.1, 0.0, 0.25, 3.7, 2.6) == pytest.approx(0.1 * (1.0 - math.exp(-0.925)))  # known


def test_air_dry_matter_gives_nothing() -> None:
    assert evaporated(5.0, 0.03, 0.25, 0.12, 2.6) == 0.0
    assert evaporated(5.0, 0.02, 0.25, 0.12, 2.6) == 0.0


def test_drying_is_unhindered_down_to_half_of_the_water_and_then_slows_in_proportion() -> None:
    full, dry, mass = 2.6, 0.12, 0.4
    half = dry * mass + 0.5 * (full - dry) * mass
    quarter = dry * mass + 0.25 * (full - dry) * mass
    assert evaporated(0.1, half, mass, dry, full) == pytest.approx(0.1)
    assert evaporated(0.1, quarter, mass, dry, full) == pytest.approx(0.05)


@pytest.mark.parametrize("equation", [evaporated, tissue])
def test_no_matter_is_no_division_by_nothing(equation) -> None:
    arguments = (3.0, 0.0, 0.0, 0.12, 2.6) if equation is evaporated else (0.0, 3.0, 0.0, 3.0)
    assert equation(*arguments) == 0.0


def test_tissue_gives_only_what_free_water_left_unmet() -> None:
    assert tissue(2.0, 4.0, 0.25, 0.0) == 0.0
    assert tissue(2.0, 4.0, 0.25, 0.3) == pytest.approx(0.3)
    assert tissue(0.1, 400.0, 0.25, 9.0) == pytest.approx(0.1)


def test_dying_tissue_sets_water_free_in_frost_too_and_never_more_than_it_has() -> None:
    assert released(1.0, 0.0) == pytest.approx(0.02)
    assert released(1.0, 30.0) == 1.0
