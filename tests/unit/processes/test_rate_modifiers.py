"""Joints of the responses to warmth and water."""

from __future__ import annotations

import math

import pytest

from mullbed.processes import rate_modifiers
from plain_form import plain

warmth = plain(rate_modifiers.temperature_response)
moisture = plain(rate_modifiers.layer_moisture_response)


def test_warmth_is_held_from_32_to_45_and_has_no_jump() -> None:
    assert warmth(32.0) == warmth(40.0) == warmth(45.0)
    assert warmth(45.0 + 1e-9) == pytest.approx(warmth(45.0))
    assert warmth(50.0) == pytest.approx(0.5 * warmth(32.0))


def test_frost_stops_everything_and_the_first_warmth_does_not_start_from_nothing() -> None:
    assert warmth(0.0) == 0.0
    assert warmth(-40.0) == 0.0
    assert warmth(1e-9) == pytest.approx(12.0 / (1.0 + 11.0 * math.exp(0.0816 * 15.0)))  # known: 0.31


def test_moisture_has_no_jump_at_its_joints() -> None:
    for joint in (0.3, 1.8, 0.8 * 3.6, 3.6):
        assert moisture(joint - 1e-9) == pytest.approx(moisture(joint + 1e-9), abs=1e-6)
    assert moisture(0.0) == pytest.approx(0.05)
    assert moisture(9.0) == pytest.approx(0.5)


def test_soil_never_stops_wholly_where_it_is_dry() -> None:
    assert plain(rate_modifiers.soil_moisture_response)(0.0) == pytest.approx(0.15 / 0.95)
    assert plain(rate_modifiers.soil_moisture_response)(1.0) == 1.0


def test_wetness_has_no_floor() -> None:
    assert plain(rate_modifiers.wetness)(0.1) == 0.0
    assert plain(rate_modifiers.wetness)(2.5) == 1.0
