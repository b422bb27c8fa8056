"""What every grower would expect of a layer, held for many random beds ([@mullbed_model] sections 1, 7 and 9)."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as make

from season_bed import LEAVES, STRAW, ammonia_percent, carbon_left, fresh, lift, rainy, run, weather

few = settings(max_examples=15, deadline=None)


# Up to 0.8 kg of dry matter a square metre, three to four times a usual layer: above that a cap keeps a thick mat
# moister than the open sky does, and may lose up to half a point more (told in docs/decisions/0008).
@few
@given(make.floats(0.2, 0.8), make.floats(2.5, 4.8))
def test_a_dry_cap_lowers_ammonia_loss_in_a_moist_spring(kilograms: float, nitrogen: float) -> None:
    sky = rainy(45, 12, 24, 3.0, 0.45, 6.0)
    open_loss = ammonia_percent(run(sky, fresh(kilograms, nitrogen)))
    capped = ammonia_percent(run(sky, fresh(kilograms, nitrogen), lift(LEAVES, 0.6, free=1.2)))
    assert capped <= open_loss + 0.3


@few
@given(make.floats(0.1, 1.5))
def test_a_warmer_season_leaves_less(kilograms: float) -> None:
    cool = run(rainy(60, 6, 14, 2.0, 0.4, 6.0), lift(LEAVES, kilograms, free=kilograms))
    warm = run(rainy(60, 14, 22, 2.0, 0.4, 6.0), lift(LEAVES, kilograms, free=kilograms))
    assert carbon_left(warm) < carbon_left(cool)


@few
@given(make.floats(0.3, 1.2))
def test_a_wetter_season_is_not_slower(kilograms: float) -> None:
    dry = run(rainy(60, 12, 22, 3.0, 0.08, 5.0), lift(STRAW, kilograms))
    wet = run(rainy(60, 12, 22, 3.0, 0.4, 5.0), lift(STRAW, kilograms))
    assert carbon_left(wet) < carbon_left(dry)


@few
@given(make.floats(0.1, 1.5))
def test_more_cover_cools_summer_soil(kilograms: float) -> None:
    sky = weather(40, 18, 32, 5.0, 0.0, radiation=25.0)
    less = run(sky, lift(STRAW, kilograms)).daily["shallow_temperature"][0, -1]
    more = run(sky, lift(STRAW, 2 * kilograms)).daily["shallow_temperature"][0, -1]
    assert more < less


@few
@given(make.floats(0.2, 0.9), make.floats(2.6, 4.8))
def test_rich_greens_feed_and_straw_does_not(kilograms: float, nitrogen: float) -> None:
    sky = rainy(60, 12, 22, 3.0, 0.4, 5.0)
    feeds = run(sky, fresh(kilograms, nitrogen), twin=True).daily["net_nitrogen"][:, -1].mean()
    robs = run(sky, lift(STRAW, kilograms), twin=True).daily["net_nitrogen"][:, -1].mean()
    assert feeds > 0.0
    assert robs < 0.02 * 1000.0 * kilograms * 0.006 + 0.3


@few
@given(make.floats(0.05, 2.0))
def test_a_cover_saves_soil_water(kilograms: float) -> None:
    sky = weather(30, 14, 28, 5.0, 0.0)
    bare = run(sky).daily["root_zone_water"][0, -1]
    covered = run(sky, lift(STRAW, kilograms)).daily["root_zone_water"][0, -1]
    assert covered > bare


def test_layers_sink_and_never_rise_between_layings() -> None:
    outcome = run(rainy(120, 10, 22, 3.0, 0.4, 5.0), fresh(0.6), lift(LEAVES, 0.5))
    assert np.all(np.diff(outcome.daily["thickness"], axis=1) <= 1e-9)
    assert np.all(np.diff(outcome.daily["carbon_left"], axis=1) <= 1e-9)


@pytest.mark.parametrize(
    "output", ["ammonia_lost", "leached", "denitrified", "crop_nitrogen", "carbon_dioxide", "drained"]
)
def test_ledgers_only_grow(output: str) -> None:
    outcome = run(rainy(120, 10, 22, 3.0, 0.4, 5.0), fresh(0.6), lift(LEAVES, 0.5))
    assert np.all(np.diff(outcome.daily[output], axis=1) >= -1e-12)
