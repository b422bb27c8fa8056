"""When ammonia escapes: not at once, not from browns, not from dry matter, less under a cap."""

from __future__ import annotations

import math

import pytest

from mullbed.processes import ammonia

rate = ammonia.volatilisation_rate.py_func


def test_browns_and_the_first_day_give_none() -> None:
    assert ammonia.richness.py_func(0.9) == 0.0
    assert ammonia.richness.py_func(2.4) == 1.0
    assert ammonia.alkaline_share.py_func(1.0, 1.0) < 0.001
    assert ammonia.alkaline_share.py_func(12.0, 1.0) == pytest.approx(1.0 - math.exp(-1.0))


def test_ten_degrees_double_it_and_half_the_wetness_quarters_it() -> None:
    assert rate(1.0, 30.0, 1.0, 0.0) == pytest.approx(8.0)
    assert rate(1.0, 20.0, 0.5, 0.0) == pytest.approx(1.0)
    assert rate(1.0, 20.0, 0.0, 0.0) == 0.0


def test_half_a_kilogram_of_browns_above_holds_back_nearly_two_thirds() -> None:
    trapped = 0.5 * ammonia.trap_strength.py_func(0.0)
    assert rate(1.0, 20.0, 1.0, trapped) == pytest.approx(4.0 * math.exp(-1.0))
    assert ammonia.trap_strength.py_func(1.0) == pytest.approx(0.2)


def test_two_losses_without_rates_take_nothing_and_share_in_proportion() -> None:
    split = ammonia.competing_losses.py_func
    assert split(5.0, 0.0, 0.0) == (0.0, 0.0)
    assert split(5.0, 3.0, 1.0) == pytest.approx((0.75 * 5 * (1 - math.exp(-4)), 0.25 * 5 * (1 - math.exp(-4))))
    assert sum(split(5.0, 1e9, 0.0)) == 5.0
