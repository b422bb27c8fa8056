"""Check P54: an empty bed is the soil-only model, which is written a second time in ``soil_alone``."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from soil_alone import soil_alone

from mullbed.simulate import layout as at
from mullbed.simulate.case import BedCase, CropCover, Feed, Lay, Pour
from mullbed.simulate.ensemble import NOTHING, draw_members
from mullbed.simulate.run import pack, run_packed
from season_bed import LEAVES, column, lift, weather

DAYS = 730


def empty_bed(seed: int) -> BedCase:
    """Return two years of storms, frost, drought and crops without a layer."""
    chance = np.random.default_rng(seed)
    air = 9.0 + 14.0 * np.sin(np.arange(DAYS) / 58.0 + seed) + chance.normal(0.0, 4.0, DAYS)
    rain = np.where(chance.random(DAYS) < 0.35, chance.exponential(7.0, DAYS), 0.0)
    sky = replace(
        weather(DAYS, 0, 0, 0, 0),
        low=(air - 5.0)[None],
        high=(air + 5.0)[None],
        rain=rain[None],
        reference_evaporation=np.maximum(0.0, air / 5.0)[None],
        radiation=np.clip(chance.normal(14.0, 6.0, DAYS), 1.0, 30.0)[None],
    )
    kcb = np.clip(0.15 + np.sin(np.arange(DAYS) / 60.0), 0.15, 1.1)
    crop = CropCover(kcb, np.clip(kcb - 0.15, 0.0, 0.95), np.where(kcb > 0.4, 0.15, 0.0))
    events = (Pour(150, 30.0), Feed(200, 2.0, 3.0), Feed(560, 1.0, 4.0))
    return BedCase("empty", sky, column(8.0, mineral=6.0), events, crop)


@pytest.mark.parametrize("seed", range(4))
def test_p54_an_empty_bed_is_the_soil_only_model(seed: int) -> None:
    case = empty_bed(seed)
    outcome = run_packed(pack(case), draw_members(case, 1, 1, vary=NOTHING), tolerance=1e-12)
    alone = soil_alone(case.weather, case.soil, case.cover, {150: 30.0}, {200: (2.0, 3.0), 560: (1.0, 4.0)})
    for name, output in (
        ("warmth", "shallow_temperature"),
        ("water", "root_zone_water"),
        ("drained", "drained"),
        ("leached", "leached"),
        ("gas", "denitrified"),
        ("crop", "crop_nitrogen"),
        ("side", "soil_side_nitrogen"),
    ):
        assert outcome.daily[output][0] == pytest.approx(alone[name], rel=1e-9, abs=1e-9), output
    ledger = outcome.ledgers[0]
    assert ledger[at.CO2_SOIL] == pytest.approx(alone["co2"][-1], rel=1e-9)
    assert ledger[at.EVAP_SOIL] == pytest.approx(alone["evaporated"][-1], rel=1e-9)
    assert ledger[at.TRANSPIRED] == pytest.approx(alone["drunk"][-1], rel=1e-9)
    assert ledger[at.CO2_LAYER] == ledger[at.NH3] == ledger[at.EVAP_LAYER] == 0.0


def test_p54_a_layer_still_to_come_changes_nothing_before_its_day() -> None:
    case = empty_bed(7)
    later = replace(case, events=(*case.events, Lay(300, (lift(LEAVES, 0.6),))))
    members = draw_members(later, 1, 1, vary=NOTHING)
    bare, laid = (run_packed(pack(one), members, tolerance=1e-12) for one in (case, later))
    for name, values in bare.daily.items():
        assert np.array_equal(values[:, :300], laid.daily[name][:, :300], equal_nan=True), name
    assert not np.array_equal(bare.daily["thickness"], laid.daily["thickness"])
