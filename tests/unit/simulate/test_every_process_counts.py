"""Each process of the model, switched off for a season, moves the output it should: none is left out or idle."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from mullbed.simulate.case import BedCase, CropCover, DigIn, Lay
from mullbed.simulate.ensemble import NOTHING, draw_members
from mullbed.simulate.run import simulate
from season_bed import LEAVES, column, fresh, lift, rainy

DAYS = 150

#: process, parameter that carries its rate, output that must move, direction when it is switched off
PROCESSES = [
    ("decay of the soluble pool", "soluble_rate", "carbon_dioxide", -1),
    ("decay of the main pool", "main_rate", "carbon_left", +1),
    ("decay of the resistant pool", "resistant_rate", "carbon_left", +1),
    ("wash-out by rain", "wash_out", "washed_out_carbon", -1),
    ("growth of decomposers", "efficiency", "carbon_dioxide", +1),
    ("turnover of decomposers", "biomass_turnover", "organic_nitrogen_left", +1),
    ("decay of products", "product_rate", "carbon_dioxide", -1),
    ("making of products", "product_share", "carbon_dioxide", +1),
    ("release of soluble nitrogen", "soluble_release", "organic_nitrogen_left", +1),
    ("interception of rain", "interception_factor", "cover", -1),
    ("shading of the evaporation", "shading", "moisture", +1),
    ("drying of tissue", "tissue_exposure", "moisture", None),
    ("release of tissue water", "tissue_release", "moisture", None),
    ("contact with the soil", "contact_rate", "moisture", None),
    ("own heat", "heat_per_carbon", "layer_temperature", -1),
    ("ammonia", "volatilisation", "ammonia_lost", -1),
    ("holding back of ammonia", "trap_factor", "ammonia_lost", +1),
    ("nitrification in the layer", "layer_nitrification", "ammonia_lost", +1),
    ("nitrification in the soil", "soil_nitrification", "leached", -1),
    ("nitrous oxide", "nitrous_oxide_share", "denitrified", -1),
    ("denitrification", "denitrification", "denitrified", -1),
    ("spreading of mineral nitrogen", "diffusivity", "direct_nitrogen", None),
    ("worms", "worm_mass", "carbon_left", +1),
    ("mixing", "mixing", "carbon_left", +1),
    ("warming by the sun", "sun_gain", "shallow_temperature", -1),
    ("warming of the soil", "soil_warming_pace", "soil_temperature", None),
    ("soil organic matter", "soil_pool_rate", "mineral_nitrogen", None),
    ("uptake by the crop", "daily_uptake_share", "crop_nitrogen", -1),
    ("holding by leaves", "canopy_capacity", "drained", None),
    ("settling", "settling_pace", "thickness", +1),
    ("frost of the surface", "frost_factor", "shallow_temperature", None),
    ("melting of snow", "snow_degree_day", "root_zone_water", None),
    ("warmth of decay", "warmth_exponent", "carbon_left", None),
    ("nitrogen hastens decay", "half_effect", "carbon_left", None),
    ("dry floor of decay", "dry_floor", "carbon_left", +1),
    ("wash-down of mineral nitrogen by rain", "wash_down", "direct_nitrogen", -1),
    ("leaching of nitrate", "leaching", "leached", -1),
    ("drainage", "drainage", "drained", -1),
    ("evaporation from the soil", "soil_evaporation", "root_zone_water", +1),
    ("transpiration", "transpiration", "root_zone_water", +1),
    ("taking of nitrogen held in the layer", "held_reach", "direct_nitrogen", None),
    ("taking of nitrogen from the soil", "soil_reach", "direct_nitrogen", None),
    ("storage of water", "storage_factor", "moisture", -1),
    ("water dry matter never gives up", "dry_water", "moisture", -1),
    ("run-off of storms", "intake_per_day", "drained", +1),
]


@pytest.fixture(scope="module")
def bed() -> BedCase:
    """A bed with a crop, two layers, storms, some frost and snow."""
    sky = rainy(DAYS, 8, 20, 3.0, 0.4, 7.0)
    low, high = sky.low.copy(), sky.high.copy()
    low[:, :12], high[:, :12] = -9.0, -3.0
    rain = sky.rain.copy()
    rain[:, 110] = 140.0
    crop = CropCover(np.full(DAYS, 0.8), np.full(DAYS, 0.5), np.full(DAYS, 0.12))
    layers = (
        Lay(0, (lift(LEAVES, 0.4, free=0.8), fresh(0.6), lift(LEAVES, 0.5, free=0.6))),
        Lay(60, (fresh(0.5, 4.5),)),
    )
    return BedCase("a bed", replace(sky, low=low, high=high, rain=rain), column(10.0), layers, crop)


@pytest.fixture(scope="module")
def usual(bed: BedCase):
    return _run(bed, None)


def _run(bed: BedCase, override):
    members = draw_members(bed, bed.weather.years, 1, vary=NOTHING, override=override)
    members = replace(members, year_of=np.arange(bed.weather.years, dtype=np.int64))
    return simulate(bed, members, twin=False)


@pytest.mark.parametrize(("process", "parameter", "output", "direction"), PROCESSES)
def test_a_process_switched_off_moves_its_output(bed, usual, process, parameter, output, direction) -> None:
    off = 1e9 if parameter in ("half_effect", "intake_per_day") else 0.0
    changed = _run(bed, {parameter: off}).daily[output]
    difference = np.nanmean(changed - usual.daily[output], axis=0)
    largest = float(difference[np.nanargmax(np.abs(difference))])
    scale = float(np.nanmax(np.abs(usual.daily[output])))
    assert abs(largest) > 1e-4 * scale, f"{process} does nothing to {output}"
    if direction is not None:
        assert np.sign(largest) == direction, f"{process} moves {output} the wrong way"


def test_digging_in_hastens_decay(bed) -> None:
    dug = replace(bed, events=(*bed.events, DigIn(61, 0.15)))
    assert _run(dug, None).daily["carbon_left"][:, -1].max() == 0.0
    from mullbed.simulate import layout as at

    assert _run(dug, None).final(at.CO2_SOIL).mean() > _run(bed, None).final(at.CO2_SOIL).mean()
