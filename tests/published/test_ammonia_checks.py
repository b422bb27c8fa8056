"""Checks P25-P30 and P57: ammonia in laboratory and field ([@whitehead1988]; [@nett2015]; [@weber2018])."""

from __future__ import annotations

import numpy as np
import pytest
from numbered import checks, expected, numbers, tolerance

from season_bed import LEAVES, ammonia_percent, carbon_left, column, fresh, lift, rainy, run, weather

ALONE = {"contact_rate": 0.0, "worm_mass": 0.0, "mixing": 0.0, "diffusivity": 0.0}


def pot(nitrogen: float, temperature: float, demand: float):
    """Greens in a pot: no soil contact, no cap, no fauna; 0.3 kg, 1.2 mm of tissue water."""
    layer = fresh(0.3, nitrogen, covers=3.7)
    return run(weather(70, temperature, temperature, demand, 0.0), layer, soil=column(temperature), override=ALONE)


def test_p25_moist_clippings_lose_much() -> None:
    low, high = numbers(checks()["P25"]["tolerance"])
    for nitrogen, value in zip((2.3, 3.5), expected("P25"), strict=False):
        found = ammonia_percent(pot(nitrogen, 20.0, 0.0))
        assert low <= found <= high
        assert found == pytest.approx(value, abs=4.0)


def test_p26_cool_clippings_lose_less() -> None:
    low, high = numbers(checks()["P26"]["tolerance"])
    for nitrogen, value in zip((2.3, 3.5), expected("P26"), strict=False):
        found = ammonia_percent(pot(nitrogen, 10.0, 0.0))
        assert low <= found <= high
        assert found < ammonia_percent(pot(nitrogen, 20.0, 0.0))
        assert found == pytest.approx(value, abs=4.0)


def test_p27_drying_clippings_lose_little() -> None:
    for nitrogen in (2.3, 3.5):
        assert ammonia_percent(pot(nitrogen, 20.0, 3.0)) < tolerance("P27")


def test_p28_nothing_in_the_first_days() -> None:
    for nitrogen in (2.3, 3.5):
        assert ammonia_percent(pot(nitrogen, 20.0, 0.0), day=3) < tolerance("P28")


FIELD = (
    (0.7, 4.1, 65, 9, 21, 3.0, 0.4, 5.0),
    (0.35, 3.3, 60, 9, 21, 3.0, 0.4, 6.0),
    (0.3, 2.6, 60, 7, 17, 2.0, 0.4, 5.0),
    (3.0, 4.33, 90, 10, 22, 3.0, 0.4, 5.0),
    (2.83, 2.12, 90, 10, 22, 3.0, 0.4, 5.0),
    (1.5, 1.15, 90, 10, 22, 3.0, 0.4, 5.0),
)


def field(number: int, cut: int = 1):
    kilograms, nitrogen, days, low, high, demand, share, mean = FIELD[number]
    sky = rainy(days, low, high, demand, share, mean, radiation=15.0)
    return run(sky, fresh(kilograms, nitrogen), cut=cut)


@pytest.mark.parametrize("number", range(6))
def test_p29_field_losses(number: int) -> None:
    value = expected("P29")[number]
    found = ammonia_percent(field(number))
    assert found == pytest.approx(value, rel=0.30, abs=0.3)


def test_p30_a_dry_cap_lowers_ammonia_loss() -> None:
    sky = rainy(60, 12, 24, 3.0, 0.45, 6.0)
    found = []
    for cap in (0.0, 0.4, 0.8):
        lifts = [fresh(0.8, 4.5)] + ([lift(LEAVES, cap, free=2.0 * cap)] if cap else [])
        found.append(ammonia_percent(run(sky, *lifts)))
    assert found[0] > found[1] > found[2]
    for value, one in zip(expected("P30"), found, strict=True):
        assert one == pytest.approx(value, rel=tolerance("P30") / 100.0)


def test_p57_ammonia_hardly_depends_on_the_cut_into_sublayers() -> None:
    most = tolerance("P57") / 100.0
    rain = np.zeros(60)
    rain[::5] = 8.0
    sky = weather(60, 12, 24, 3.5, rain)
    capped = (lift(LEAVES, 0.4, free=1.0), fresh(0.5), lift(LEAVES, 0.4, free=1.0))
    pairs = [(run(sky, *lifts), run(sky, *lifts, cut=2)) for lifts in (capped, (fresh(0.5),))]
    pairs += [(field(number), field(number, cut=2)) for number in range(6)]
    for whole, cut in pairs:
        assert ammonia_percent(cut) == pytest.approx(ammonia_percent(whole), rel=most)
        assert abs(carbon_left(cut) - carbon_left(whole)) < 0.01
