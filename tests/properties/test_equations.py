"""Laws the equations keep for any input inside their range: bounds, direction, conservation, NaN.

The plain form is tried; tests/compiled holds the compiled form to it.
"""

from __future__ import annotations

import importlib
import inspect
import math
import pkgutil

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import mullbed.processes
from mullbed.compiled import EQUATIONS
from mullbed.processes import (
    ammonia,
    canopy_and_snow,
    crop_cover,
    crop_uptake,
    decomposition,
    evapotranspiration,
    exchange,
    fauna,
    gaseous_nitrogen,
    layer_heat,
    layer_water,
    leaching,
    mineralisation,
    nitrification,
    rate_modifiers,
    residue_quality,
    settling,
    soil_carbon,
    soil_temperature,
    soil_texture,
    soil_water,
    transpiration,
)
from plain_form import plain

for _module in pkgutil.iter_modules(mullbed.processes.__path__):
    importlib.import_module(f"mullbed.processes.{_module.name}")

settings.register_profile("equations", max_examples=60, deadline=None, derandomize=True)
settings.load_profile("equations")

TINY = 1e-12


def reals(low: float, high: float):
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


SHARE, AMOUNT, RATE = reals(0.0, 1.0), reals(0.0, 50.0), reals(0.0, 5.0)
MASS, WATER, RAIN = reals(0.02, 0.5), reals(0.0, 3.0), reals(0.0, 120.0)
WARMTH, SHORT, NITROGEN, LIGNIN = reals(-10.0, 45.0), reals(0.0, 1.0), reals(0.1, 6.0), reals(1.0, 50.0)


def pairs(strategy):
    """Two values, the smaller first."""
    return st.tuples(strategy, strategy).map(sorted)


# --- bounds
@given(NITROGEN, LIGNIN)
def test_pools_are_shares_of_one(nitrogen: float, lignin: float) -> None:
    pools = plain(residue_quality.residue_pools)(nitrogen, lignin)
    assert sum(pools) == pytest.approx(1.0)
    assert all(0.0 <= pool <= 1.0 for pool in pools)
    measured = plain(residue_quality.pools_from_soluble)(nitrogen / 10.0, lignin, 0.1)
    assert sum(measured) == pytest.approx(1.0)
    assert all(0.0 <= pool <= 1.0 for pool in measured)


@given(NITROGEN, SHARE, WATER, reals(-5.0, 60.0), MASS, RAIN)
def test_every_share_lies_between_nothing_and_all(nitrogen, share, water, temperature, mass, passing) -> None:
    shares = {
        "soluble nitrogen": plain(residue_quality.soluble_nitrogen_share)(nitrogen),
        "wetness": plain(rate_modifiers.wetness)(water),
        "layer moisture": plain(rate_modifiers.layer_moisture_response)(water),
        "soil moisture": plain(rate_modifiers.soil_moisture_response)(share),
        "relative water": plain(rate_modifiers.relative_water)(20.0 * share, 5.0, 18.0),
        "richness": plain(ammonia.richness)(nitrogen),
        "alkaline": plain(ammonia.alkaline_share)(30.0 * share, plain(ammonia.richness)(nitrogen)),
        "washed": plain(leaching.washed_share)(passing, water * mass, mass),
        "washed out": plain(leaching.washed_out_share)(passing, share),
        "leached": plain(leaching.leached_share)(passing, 0.28, 200.0),
        "supply": plain(mineralisation.supply_ratio)(share, water),
        "crop cover": plain(crop_cover.crop_ground_cover)(1.3 * share),
        "mixed": plain(fauna.mixed_share)(2.0, share, mass),
        "worms": plain(fauna.worm_share)(passing, share, mass),
        "damping": plain(soil_temperature.damping)(share, 5.0 * share),
        "soil carbon moisture": plain(soil_carbon.soil_carbon_moisture)(share),
    }
    assert not {name: value for name, value in shares.items() if not 0.0 <= value <= 1.0}
    assert plain(rate_modifiers.temperature_response)(temperature) >= 0.0


@given(AMOUNT, RATE, RATE)
def test_two_losses_never_take_more_than_there_is(stock: float, first: float, second: float) -> None:
    taken = plain(ammonia.competing_losses)(stock, first, second)
    assert min(taken) >= -TINY
    assert sum(taken) <= stock * (1.0 + TINY)
    assert taken[0] * second == pytest.approx(taken[1] * first, abs=1e-9)


@given(AMOUNT, RATE, RATE)
def test_a_pool_never_loses_more_than_it_holds(pool: float, rate: float, modifier: float) -> None:
    lost = plain(decomposition.daily_loss)(pool, rate, modifier)
    assert 0.0 <= lost <= pool
    assert 0.0 <= plain(soil_carbon.pool_decay)(pool, rate, modifier, 1.0 / 365.0) <= pool


@given(AMOUNT, AMOUNT, AMOUNT, AMOUNT, AMOUNT)
def test_carbon_lost_is_respired_kept_in_biomass_or_in_products(soluble, main, resistant, biomass, product) -> None:
    uptake = plain(decomposition.carbon_uptake)(soluble, main, resistant)
    residue = soluble + main + resistant
    gas = plain(decomposition.carbon_dioxide)(residue, uptake, biomass, product)
    humus = 0.434 * biomass
    assert gas + uptake + humus == pytest.approx(residue + biomass + product, abs=1e-9)
    assert gas >= 0.0
    assert uptake <= residue


@given(RAIN, reals(0.0, 1.5), MASS, reals(0.3, 8.0), reals(0.8, 4.0))
def test_a_lift_keeps_no_more_than_falls_and_fits(rain, water, mass, interception, capacity) -> None:
    kept = plain(layer_water.kept_water)(rain, water, mass, interception, capacity)
    assert 0.0 <= kept <= rain
    assert water + kept <= max(water, capacity * mass) + TINY


@given(reals(0.0, 8.0), reals(0.0, 1.5), MASS, reals(0.0, 0.4), reals(0.8, 4.0), reals(0.0, 3.0))
def test_drying_takes_no_more_than_demand_and_what_is_there(demand, water, mass, dry, capacity, tissue) -> None:
    free = plain(layer_water.free_water_evaporation)(demand, water, mass, dry, capacity)
    assert 0.0 <= free <= demand + TINY
    assert free <= max(0.0, water - dry * mass) + TINY
    out = plain(layer_water.tissue_evaporation)(tissue, demand, mass, demand - free)
    assert 0.0 <= out <= min(tissue, demand - free) + TINY


@given(reals(0.0, 30.0), reals(0.0, 9.0), reals(5.0, 40.0), reals(0.0, 60.0), reals(0.1, 1.2), reals(20.0, 120.0))
def test_soil_and_crop_take_no_more_than_is_asked_and_held(held, demand, full, available, basal, total) -> None:
    assert 0.0 <= plain(soil_water.soil_evaporation)(held, demand, full) <= min(held, demand) + TINY
    drunk = plain(transpiration.transpiration)(basal, demand, available, total)
    assert 0.0 <= drunk <= min(available, basal * demand) + TINY


@given(reals(0.0, 3.0), reals(0.0, 3.0), reals(0.0, 1.0), reals(-1.0, 8.0), reals(0.0, 0.2))
def test_contact_with_the_soil_moves_at_most_a_millimetre_towards_rest(
    target, water, distance, available, floor
) -> None:
    flow = plain(soil_water.contact_exchange)(target, water, distance, available, floor)
    assert -1.0 <= flow <= 1.0
    assert flow * (target - water) >= 0.0
    assert abs(flow) <= abs(target - water) + TINY
    assert flow <= max(0.0, available) + TINY
    assert -flow <= max(0.0, water - floor) + TINY
    if distance > 0.5:
        assert flow == 0.0


@given(RAIN, SHARE, reals(-15.0, 20.0), reals(0.0, 80.0))
def test_rain_held_lying_and_melting_is_rain_that_fell(rain, cover, air, lying) -> None:
    assert 0.0 <= plain(canopy_and_snow.canopy_interception)(rain, cover) <= rain
    assert plain(canopy_and_snow.snow_fall)(rain, air) in (0.0, rain)
    assert 0.0 <= plain(canopy_and_snow.snow_melt)(lying, air) <= lying
    assert 0.0 <= plain(canopy_and_snow.runoff)(rain, cover) <= rain


@given(AMOUNT, AMOUNT, AMOUNT, AMOUNT)
def test_slowing_is_a_share_and_plenty_does_not_slow(freed, turned, taken, uptake) -> None:
    share = plain(mineralisation.slowed_share)(freed, turned, taken, uptake)
    assert 0.0 <= share <= 1.0
    if freed + turned + taken >= uptake / 30.0:
        assert share == 1.0
    elif uptake / 30.0 - freed > TINY:
        # what is left of growth can be fed: share of release and of demand, turnover and taking whole
        assert share * freed + turned + taken >= share * uptake / 30.0 - 1e-9


@given(AMOUNT, AMOUNT, AMOUNT, reals(6.0, 14.0))
def test_turnover_frees_no_more_than_died(nitrogen, carbon, product, ratio) -> None:
    freed = plain(mineralisation.turnover_nitrogen)(nitrogen, carbon, product, 0.434, ratio)
    assert product - TINY <= freed <= nitrogen + product + TINY


@given(AMOUNT, AMOUNT, SHARE)
def test_a_crop_takes_no_more_than_it_wants_or_reaches(wanted, nitrate, share) -> None:
    reach = plain(crop_uptake.reachable_nitrogen)(nitrate, share)
    assert 0.0 <= reach <= nitrate + share
    assert 0.0 <= plain(crop_uptake.crop_uptake)(wanted, reach) <= min(wanted, reach)


@given(pairs(reals(-0.2, 1.2)), reals(0.0, 40.0))
def test_the_want_of_a_crop_grows_from_nothing_to_all(stages, want) -> None:
    first, second = (plain(crop_uptake.wanted_by)(stage, want) for stage in stages)
    assert -1e-9 <= first <= second + 1e-9 <= want + 2e-9
    assert plain(crop_uptake.wanted_by)(0.0, want) == pytest.approx(0.0, abs=1e-9)
    assert plain(crop_uptake.wanted_by)(1.0, want) == pytest.approx(want)


# --- directions
@given(pairs(reals(0.0, 0.8 * 3.6)))
def test_wetter_is_not_slower_up_to_80_percent_of_saturation(waters) -> None:
    response = plain(rate_modifiers.layer_moisture_response)
    assert response(waters[0]) <= response(waters[1]) + TINY


@given(pairs(reals(0.8 * 3.6, 5.0)))
def test_beyond_it_the_lack_of_air_slows(waters) -> None:
    response = plain(rate_modifiers.layer_moisture_response)
    assert response(waters[0]) >= response(waters[1]) - TINY
    assert response(waters[1]) >= 0.5


@given(pairs(SHARE))
def test_wetter_soil_is_not_slower(shares) -> None:
    for response in (rate_modifiers.soil_moisture_response, soil_carbon.soil_carbon_moisture):
        assert plain(response)(shares[0]) <= plain(response)(shares[1])


@given(pairs(reals(-20.0, 32.0)))
def test_warmer_is_not_slower_below_32_degrees(temperatures) -> None:
    for response in (rate_modifiers.temperature_response, soil_carbon.soil_carbon_warmth):
        assert plain(response)(temperatures[0]) <= plain(response)(temperatures[1]) + TINY


@given(pairs(reals(45.0, 70.0)))
def test_hotter_is_slower_above_45_degrees_and_nothing_lives_at_55(temperatures) -> None:
    response = plain(rate_modifiers.temperature_response)
    assert response(temperatures[0]) >= response(temperatures[1])
    assert response(max(55.0, temperatures[1])) == 0.0


@given(pairs(NITROGEN))
def test_richer_residue_rots_faster_feeds_poorer_microbes_and_gives_sooner(nitrogens) -> None:
    low, high = nitrogens
    assert plain(residue_quality.quality_factor)(low) <= plain(residue_quality.quality_factor)(high)
    assert plain(residue_quality.soluble_nitrogen_share)(low) <= plain(residue_quality.soluble_nitrogen_share)(high)
    assert plain(ammonia.richness)(low) <= plain(ammonia.richness)(high)
    for surface in (0.0, 1.0):
        ratio = plain(residue_quality.biomass_carbon_to_nitrogen)
        assert ratio(low, surface) >= ratio(high, surface) - TINY
        assert 6.0 <= ratio(high, surface) <= 39.0


@given(NITROGEN, pairs(LIGNIN))
def test_more_lignin_is_more_that_resists(nitrogen, lignins) -> None:
    pools = plain(residue_quality.residue_pools)
    assert pools(nitrogen, lignins[0])[2] <= pools(nitrogen, lignins[1])[2]


@given(reals(0.0, 1.0), reals(0.0, 40.0), SHARE, pairs(reals(0.0, 3.0)))
def test_more_cap_is_not_more_ammonia(alkaline, temperature, wet, caps) -> None:
    rate = plain(ammonia.volatilisation_rate)
    trapped = [cap * plain(ammonia.trap_strength)(0.0) for cap in caps]
    assert rate(alkaline, temperature, wet, trapped[1]) <= rate(alkaline, temperature, wet, trapped[0])


@given(reals(0.0, 1.0), pairs(reals(0.0, 40.0)), pairs(SHARE))
def test_warmer_and_wetter_is_not_less_ammonia(alkaline, temperatures, wets) -> None:
    rate = plain(ammonia.volatilisation_rate)
    assert rate(alkaline, temperatures[0], wets[0], 0.3) <= rate(alkaline, temperatures[1], wets[1], 0.3)


@given(pairs(SHARE))
def test_browns_hold_ammonia_better_than_rotting_greens(riches) -> None:
    strength = plain(ammonia.trap_strength)
    assert 0.2 - TINY <= strength(riches[1]) <= strength(riches[0]) <= 2.0


@given(pairs(reals(0.0, 60.0)), SHARE)
def test_older_greens_are_not_less_alkaline(ages, rich) -> None:
    share = plain(ammonia.alkaline_share)
    assert share(ages[0], rich) <= share(ages[1], rich)


@given(reals(0.0, 9.0), pairs(reals(0.0, 2.0)), reals(0.5, 5.0))
def test_more_cover_hands_down_no_more_evaporation(demand, masses, shading) -> None:
    passed = plain(layer_water.demand_passed)
    assert 0.0 <= passed(demand, masses[1], shading) <= passed(demand, masses[0], shading) <= demand


@given(reals(0.0, 9.0), pairs(reals(0.0, 1.5)), MASS)
def test_a_wetter_lift_dries_no_slower(demand, waters, mass) -> None:
    dried = plain(layer_water.free_water_evaporation)
    assert dried(demand, waters[0], mass, 0.12, 2.6) <= dried(demand, waters[1], mass, 0.12, 2.6) + TINY


@given(RAIN, pairs(MASS), reals(0.3, 8.0))
def test_more_dry_matter_keeps_no_less_rain(rain, masses, interception) -> None:
    kept = plain(layer_water.kept_water)
    assert kept(rain, 0.0, masses[0], interception, 2.6) <= kept(rain, 0.0, masses[1], interception, 2.6) + TINY


@given(pairs(RAIN), SHARE, MASS)
def test_more_water_washes_no_less(passing, openness, mass) -> None:
    for share, others in ((leaching.washed_out_share, (openness,)), (leaching.washed_share, (0.2, mass))):
        assert plain(share)(passing[0], *others) <= plain(share)(passing[1], *others)
    assert plain(leaching.leached_share)(passing[0], 0.28, 200.0) <= plain(leaching.leached_share)(
        passing[1], 0.28, 200.0
    )


@given(RAIN, MASS, reals(0.0, 1.0))
def test_ammonium_washes_less_than_nitrate(passing, mass, water) -> None:
    washed = plain(leaching.washed_share)
    assert washed(passing, water, mass, 0.5) <= washed(passing, water, mass, 1.0)


@given(RAIN, pairs(SHARE))
def test_a_covered_soil_takes_in_no_less(rain, coverings) -> None:
    off = plain(canopy_and_snow.runoff)
    assert off(rain, coverings[0]) <= off(rain, coverings[1])


@given(reals(10.0, 35.0), reals(10.0, 35.0), pairs(SHARE), SHARE)
def test_cover_cools_a_sunny_soil(air, radiation, covers, crop) -> None:
    surface = plain(soil_temperature.surface_temperature)
    assert surface(air, radiation, covers[1], crop) <= surface(air, radiation, covers[0], crop) + TINY
    assert surface(air, radiation, 1.0, crop) == pytest.approx(air)


@given(WARMTH, WARMTH, reals(2.0, 50.0), SHARE)
def test_soil_moves_towards_its_surface_and_never_past_it(soil, surface, depth, slowed) -> None:
    change = plain(soil_temperature.soil_temperature_step)(soil, surface, depth, slowed)
    assert change * (surface - soil) >= 0.0
    assert abs(change) <= abs(surface - soil)


@given(pairs(reals(0.0, 3.0)), pairs(SHARE))
def test_cover_slows_the_warming_of_soil(masses, crops) -> None:
    damping = plain(soil_temperature.damping)
    assert damping(crops[1], masses[1]) <= damping(crops[0], masses[0])


@given(reals(0.0, 40.0), pairs(reals(0.01, 0.3)), SHARE)
def test_a_thicker_layer_is_warmed_no_less_by_its_own_heat(respired, thicknesses, position) -> None:
    power = plain(layer_heat.heat_power)(respired)
    warming = plain(layer_heat.warming)
    assert 0.0 <= warming(power, thicknesses[0], position) <= warming(power, thicknesses[1], position)
    assert warming(power, thicknesses[1], position) <= warming(power, thicknesses[1], 0.5)


@given(WARMTH, WARMTH, SHARE)
def test_a_sublayer_without_heat_lies_between_air_and_soil(air, soil, position) -> None:
    found = plain(layer_heat.sublayer_temperature)(air, soil, position, 0.0)
    assert min(air, soil) - 1e-9 <= found <= max(air, soil) + 1e-9


@given(reals(0.0, 200.0), SHARE, reals(2.0, 30.0))
def test_worms_draw_most_at_sixteen_degrees(live, moisture, temperature) -> None:
    intake = plain(fauna.worm_intake)
    assert 0.0 <= intake(live, moisture, temperature) <= intake(live, moisture, 16.0)


@given(SHARE, pairs(reals(0.0, 2.0)))
def test_what_lies_farther_up_crumbles_no_faster(moisture, distances) -> None:
    share = plain(fauna.mixed_share)
    assert share(1.0, moisture, distances[1]) <= share(1.0, moisture, distances[0])


@given(AMOUNT, reals(0.0, 3.0), pairs(RAIN))
def test_more_drainage_is_no_less_gas_and_never_more_than_the_nitrate(nitrate, warmth, drained) -> None:
    lost = plain(gaseous_nitrogen.denitrified)
    assert 0.0 <= lost(nitrate, warmth, drained[0]) <= lost(nitrate, warmth, drained[1]) <= nitrate
    assert plain(gaseous_nitrogen.nitrous_oxide_of_denitrification)(1.0) == pytest.approx(0.1)


@given(AMOUNT, reals(0.0, 3.0), pairs(SHARE))
def test_nitrification_never_makes_more_than_there_was(ammonium, warmth, moistures) -> None:
    made = plain(nitrification.soil_nitrification)
    assert 0.0 <= made(ammonium, warmth, moistures[0]) <= made(ammonium, warmth, moistures[1]) <= ammonium
    assert plain(nitrification.nitrous_oxide_of_nitrification)(ammonium) <= ammonium


@given(reals(10.0, 200.0), SHARE, SHARE)
def test_a_lift_sinks_towards_twice_to_four_times_its_density(laid, remaining, wet) -> None:
    density = laid
    for _ in range(400):
        after = plain(settling.settled_density)(density, laid, remaining, wet)
        assert density - 1e-9 <= after <= 4.0 * laid + 1e-9
        density = after
    assert density == pytest.approx(laid * (4.0 - 2.0 * remaining), rel=1e-3)


@given(pairs(reals(0.01, 0.25)), reals(0.0, 0.25))
def test_exchange_is_weaker_through_more_matter(uppers, lower) -> None:
    coefficient = plain(exchange.exchange_coefficient)
    assert coefficient(uppers[1], lower) <= coefficient(uppers[0], lower)


@given(pairs(reals(0.0, 60.0)))
def test_clay_keeps_more_carbon(clays) -> None:
    ratio = plain(soil_carbon.respired_to_retained)
    assert ratio(clays[1]) <= ratio(clays[0])


@given(reals(0.05, 0.9), reals(0.02, 0.55), reals(0.5, 8.0))
def test_wilting_is_drier_than_capacity_and_capacity_than_saturation(sand, clay, matter) -> None:
    assume(sand + clay <= 1.0)
    wilting, capacity, full = (
        plain(of)(sand, clay, matter)
        for of in (soil_texture.wilting_point, soil_texture.field_capacity, soil_texture.saturated_water)
    )
    assert wilting < capacity < full < 0.8


@given(reals(-66.0, 66.0), reals(1.0, 365.0), pairs(reals(0.0, 25.0)), reals(0.0, 25.0))
def test_a_wider_day_evaporates_more_by_temperature_alone(latitude, day, spans, middle) -> None:
    above = plain(evapotranspiration.extraterrestrial_radiation)(latitude, day)
    found = [
        plain(evapotranspiration.reference_evaporation_hargreaves)(middle + span / 2, middle - span / 2, above)
        for span in spans
    ]
    assert 0.0 <= found[0] <= found[1]
    assert 0.0 <= above < 50.0


@given(
    reals(0.0, 150.0), reals(5.0, 60.0), reals(5.0, 60.0), reals(5.0, 80.0), reals(5.0, 60.0), reals(0.3, 1.2), SHARE
)
def test_cover_follows_the_stages_of_a_crop(day, initial, development, middle, late, height, drop) -> None:
    end = 0.15 + (height - 0.15) * drop
    found = plain(crop_cover.basal_coefficient)(day, initial, development, middle, late, height, end)
    assert 0.15 <= found <= height + TINY
    demand = plain(crop_cover.evaporation_demand)(found, 5.0)
    assert 0.0 < demand <= 1.2 * 5.0


# --- closed form
@given(reals(0.01, 0.2), pairs(reals(0.0, 400.0)))
def test_a_pool_left_alone_only_shrinks(rate, days) -> None:
    left = plain(decomposition.pool_left)
    assert left(1.0, rate, days[1]) <= left(1.0, rate, days[0]) <= 1.0


@given(reals(0.02, 0.2), reals(0.0, 0.1), reals(1.0, 400.0))
def test_what_a_pool_becomes_is_never_more_than_it_was(decay, washed, days) -> None:
    loss = decay + washed
    left = plain(decomposition.pool_left)(1.0, loss, days)
    biomass = plain(decomposition.biomass_from_pool)(1.0, decay, loss, 0.5, 0.0085, days)
    product = plain(decomposition.product_from_pool)(1.0, decay, loss, 0.5, 0.0085, 0.434, 0.00125, days)
    assert min(left, biomass, product) >= -1e-9
    assert left + biomass + product <= 1.0 + 1e-9


# --- NaN
#: What still answers a number where this one input is NaN: a bound between two inputs hides it. May only shrink;
#: no NaN reaches them, because weather, gardens and parameters are refused before a run.
LOSES_NAN = {
    "canopy_and_snow.canopy_interception": "cover capacity",
    "canopy_and_snow.snow_fall": "air threshold",
    "canopy_and_snow.snow_melt": "air degree_day",
    "crop_uptake.crop_uptake": "reachable daily_share",
    "fauna.worm_share": "highest",
    "layer_water.kept_water": "water field_capacity",
    "layer_water.tissue_evaporation": "unmet",
    "residue_quality.biomass_carbon_to_nitrogen": "on_surface surface_addition",
    "residue_quality.soluble_nitrogen_share": "lowest highest",
    "soil_temperature.surface_temperature": "frost_factor",
    "soil_water.contact_exchange": "available floor_water rate",
}


def hidden(name: str) -> set[str]:
    """Return the arguments whose NaN an equation does not pass on, at three places of its range."""
    equation = plain(EQUATIONS[name])
    parameters = list(inspect.signature(equation).parameters.values())
    found = set()
    for number, parameter in enumerate(parameters):
        passed = True
        for place in (0.2, 0.5, 0.8):
            values = [
                place + 0.037 * order if p.default is inspect.Parameter.empty else float(p.default)
                for order, p in enumerate(parameters)
            ]
            values[number] = math.nan
            result = equation(*values)
            passed &= any(math.isnan(one) for one in (result if isinstance(result, tuple) else (result,)))
        if not passed:
            found.add(parameter.name)
    return found


@pytest.mark.parametrize("name", sorted(EQUATIONS))
def test_nan_stays_nan(name: str) -> None:
    assert hidden(name) <= set(LOSES_NAN.get(name, "").split())
