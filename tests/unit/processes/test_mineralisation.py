"""Who gives and who takes nitrogen, and what happens when there is too little."""

from __future__ import annotations

import pytest

from mullbed.processes import mineralisation
from plain_form import plain

slowed = plain(mineralisation.slowed_share)
turnover = plain(mineralisation.turnover_nitrogen)
supply = plain(mineralisation.supply_ratio)


def test_without_takers_the_supply_meets_them_all() -> None:
    assert supply(0.0, 0.0) == 1.0
    assert supply(3.0, 1.0) == 1.0
    assert supply(0.0, 1.0) == 0.0


def test_microbes_first_grow_poorer_and_only_then_slower() -> None:
    # 30 g of new biomass at C:N 30 needs 1 g of nitrogen, known
    assert slowed(0.6, 0.2, 0.2, 30.0) == 1.0
    assert slowed(0.0, 0.3, 0.2, 30.0) == pytest.approx(0.5)
    assert slowed(0.5, 0.0, 0.0, 30.0) == 0.0
    assert slowed(0.5, 0.1, 0.15, 30.0) == pytest.approx(0.5)


def test_no_growth_is_never_slowed() -> None:
    assert slowed(0.0, 0.0, 0.0, 0.0) == 1.0


def test_humus_made_of_dead_microbes_keeps_no_more_nitrogen_than_they_had() -> None:
    assert turnover(0.5, 80.0, 0.0, 0.434, 8.0) == 0.0
    assert turnover(10.0, 80.0, 0.3, 0.434, 8.0) == pytest.approx(10.0 - 0.434 * 80.0 / 8.0 + 0.3)


def test_a_cohort_that_frees_more_than_it_wants_gives() -> None:
    assert plain(mineralisation.given_nitrogen)(1.0, 0.5, 0.2) == pytest.approx(1.3)
    assert plain(mineralisation.given_nitrogen)(0.1, 0.1, 0.2) == 0.0
