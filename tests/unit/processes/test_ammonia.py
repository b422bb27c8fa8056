"""When ammonia escapes: not at once, not from browns, not from dry matter, less under a cap."""

from __future__ import annotations

import math

import pytest

from mullbed.processes import ammonia
from plain_form import plain

rate = plain(ammonia.volatilisation_rate)


def test_browns_and_the_first_day_give_none() -> None:
    assert plain(ammonia.richness)(0.9) == 0.0
    assert plain(ammonia.richness)(2.4) == 1.0
    assert plain(ammonia.alkaline_share)(1.0, 1.0) < 0.001
    assert plain(ammonia.alkaline_share)(12.0, 1.0) == pytest.approx(1.0 - math.exp(-1.0))


def test_ten_degrees_double_it_and_half_the_wetness_quarters_it() -> None:
    assert rate(1.0, 30.0, 1.0, 0.0) == pytest.approx(8.0)
    assert rate(1.0, 20.0, 0.5, 0.0) == pytest.approx(1.0)
    assert rate(1.0, 20.0, 0.0, 0.0) == 0.0


def test_half_a_kilogram_of_browns_above_holds_back_nearly_two_thirds() -> None:
    trapped = 0.5 * plain(ammonia.trap_strength)(0.0)
    assert rate(1.0, 20.0, 1.0, trapped) == pytest.approx(4.0 * math.exp(-1.0))
    assert plain(ammonia.trap_strength)(1.0) == pytest.approx(0.2)


def test_two_losses_without_rates_take_nothing_and_share_in_proportion() -> None:
    split = plain(ammonia.competing_losses)
    assert split(5.0, 0.0, 0.0) == (0.0, 0.0)
    assert split(5.0, 3.0, 1.0) == pytest.approx((0.75 * 5 * (1 - math.exp(-4)), 0.25 * 5 * (1 - math.exp(-4))))
    assert sum(split(5.0, 1e9, 0.0)) == 5.0
