"""Steps 2-4 of a day: rain down the stack, evaporation and drainage, contact with the soil, warmth."""

from __future__ import annotations

import math

from mullbed.compiled import step
from mullbed.processes.canopy_and_snow import canopy_interception, runoff, snow_fall, snow_melt
from mullbed.processes.crop_cover import evaporation_demand
from mullbed.processes.decomposition import rewetted_share
from mullbed.processes.gaseous_nitrogen import denitrified, nitrous_oxide_of_denitrification
from mullbed.processes.layer_heat import heat_power, sublayer_temperature, warming
from mullbed.processes.layer_water import (
    demand_passed,
    free_water_evaporation,
    kept_water,
    tissue_evaporation,
    tissue_release,
)
from mullbed.processes.leaching import leached_share, washed_share
from mullbed.processes.rate_modifiers import relative_water, temperature_response
from mullbed.processes.soil_temperature import damping, soil_temperature_step, surface_temperature
from mullbed.processes.soil_water import contact_exchange, contact_target, drained_water, soil_evaporation
from mullbed.processes.transpiration import transpiration
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par
from mullbed.simulate.rows import (
    AIR,
    ALL_COVERING,
    ALL_MASS,
    AMMONIUM,
    BARE_SHARE,
    BELOW,
    CO2_YESTERDAY,
    COVERING,
    DEMAND,
    FALLING,
    FALLING_AMMONIUM,
    FALLING_NITRATE,
    HEAD,
    HOLD,
    LANES,
    LEDGER,
    MASS,
    MOIST_START,
    NEW_RESPONSE,
    NITRATE,
    OVER,
    OVER_AMMONIUM,
    OVER_NITRATE,
    PASSED,
    POURED,
    POWER,
    PRECIPITATION,
    RADIATION,
    RECORD,
    REFERENCE,
    REFERENCE_LEFT,
    RESPONSE,
    REWETTED,
    SNOW,
    SOIL_AMMONIUM,
    SOIL_NITRATE,
    SOIL_RESPONSE,
    SOIL_WARMTH,
    SOIL_WATER,
    TISSUE,
    WARMTH,
    WATER,
    WET,
)

TINY = 1e-9  # mass that keeps quotients of slots without a sublayer finite; they are not used [kg m-2]


@step
def keep_moist(column, soil):
    """Pour up to nine tenths of what the root zone can hold once it is half empty."""
    capacity = soil[at.FIELD_CAPACITY]
    wilting = soil[at.WILTING_POINT]
    for lane in range(LANES):
        held = column[SOIL_WATER + lane] + column[SOIL_WATER + LANES + lane] + column[SOIL_WATER + 2 * LANES + lane]
        held -= 600.0 * wilting
        full = 600.0 * (capacity - wilting)
        column[POURED + lane] += min(25.0, 0.9 * full - held) if held < 0.5 * full else 0.0


@step
def meet_the_sky(crop_cover, kcb, column):
    """Step 2 above the layer: canopy, snow, what falls on the layer and what the air asks for."""
    for lane in range(LANES):
        precipitation = column[PRECIPITATION + lane]
        poured = column[POURED + lane]
        air = column[AIR + lane]
        falls_as_snow = snow_fall(precipitation, air)
        liquid = precipitation - falls_as_snow
        snow = column[SNOW + lane] + falls_as_snow
        melt = snow_melt(snow, air, column[RECORD + LANES * par.SNOW_DEGREE_DAY + lane])
        snow -= melt
        held = canopy_interception(liquid, crop_cover, column[RECORD + LANES * par.CANOPY_CAPACITY + lane])
        left_of_reference = max(0.0, column[REFERENCE + lane] - held) if snow <= 5.0 else 0.0
        column[SNOW + lane] = snow
        column[DEMAND + lane] = evaporation_demand(kcb, left_of_reference)
        column[REFERENCE_LEFT + lane] = left_of_reference
        column[FALLING + lane] = liquid - held + melt + poured
        column[FALLING_AMMONIUM + lane] = 0.0
        column[FALLING_NITRATE + lane] = 0.0
        column[OVER + lane] = 0.0
        column[OVER_AMMONIUM + lane] = 0.0
        column[OVER_NITRATE + lane] = 0.0
        column[LEDGER + LANES * at.RAIN + lane] += precipitation
        column[LEDGER + LANES * at.IRRIGATED + lane] += poured
        column[LEDGER + LANES * at.EVAP_CANOPY + lane] += held


@step
def catch_rain(slot, column):
    """Step 2 in one sublayer, from the top down: what falls is kept or passes with its mineral nitrogen."""
    for lane in range(LANES):
        head = slot[HEAD + lane] > 0.0
        mass = max(slot[MASS + lane], TINY)
        falling = column[FALLING + lane]
        water = slot[WATER + lane]
        hold = slot[HOLD + lane]
        kept = kept_water(falling, water, mass, slot[COVERING + lane] / mass, hold) if head else 0.0
        slot[REWETTED + lane] = rewetted_share(
            kept / mass,
            water / mass,
            hold,
            column[RECORD + LANES * par.DRY_END + lane],
            column[RECORD + LANES * par.WET_END + lane],
        )
        water += kept
        falling -= kept
        stays = 1.0 - washed_share(falling, water, mass, 0.5)
        carried = column[RECORD + LANES * par.WASH_DOWN + lane]
        ammonium = slot[AMMONIUM + lane] + column[FALLING_AMMONIUM + lane]
        nitrate = slot[NITRATE + lane] + column[FALLING_NITRATE + lane]
        ammonium_gone = carried * ammonium * (1.0 - stays) if head else ammonium
        nitrate_gone = carried * nitrate * (1.0 - stays * stays) if head else nitrate
        slot[WATER + lane] = water
        slot[PASSED + lane] = falling
        slot[AMMONIUM + lane] = ammonium - ammonium_gone
        slot[NITRATE + lane] = nitrate - nitrate_gone
        column[FALLING + lane] = falling
        column[FALLING_AMMONIUM + lane] = ammonium_gone
        column[FALLING_NITRATE + lane] = nitrate_gone


@step
def dry_out(slot, column):
    """Step 3 in one sublayer, from the top down: evaporation, tissue water, overflow to the next below."""
    for lane in range(LANES):
        head = slot[HEAD + lane] > 0.0
        mass = max(slot[MASS + lane], TINY)
        hold = slot[HOLD + lane]
        water = slot[WATER + lane]
        tissue = slot[TISSUE + lane]
        demand = column[DEMAND + lane]
        slot[MOIST_START + lane] = (water + tissue) / mass
        passed = demand_passed(demand, mass, column[RECORD + LANES * par.SHADING + lane]) if head else demand
        here = demand - passed
        free = free_water_evaporation(
            here,
            water,
            mass,
            column[RECORD + LANES * par.DRY_WATER + lane],
            hold,
            column[RECORD + LANES * par.DRYING_SLOWING + lane],
        )
        free = free if head else 0.0
        dried = tissue_evaporation(tissue, here, mass, here - free, column[RECORD + LANES * par.TISSUE_EXPOSURE + lane])
        dried = dried if head else 0.0
        tissue -= dried
        released = tissue_release(tissue, slot[RESPONSE + lane], column[RECORD + LANES * par.TISSUE_RELEASE + lane])
        water += released - free + column[OVER + lane]
        over = max(water - (hold * mass if head else 0.0), 0.0)
        water -= over
        stays = 1.0 - washed_share(over, water, mass, 0.5)
        carried = column[RECORD + LANES * par.WASH_DOWN + lane]
        ammonium = slot[AMMONIUM + lane] + column[OVER_AMMONIUM + lane]
        nitrate = slot[NITRATE + lane] + column[OVER_NITRATE + lane]
        ammonium_gone = carried * ammonium * (1.0 - stays) if head else ammonium
        nitrate_gone = carried * nitrate * (1.0 - stays * stays) if head else nitrate
        slot[WATER + lane] = water
        slot[TISSUE + lane] = tissue - released
        slot[AMMONIUM + lane] = ammonium - ammonium_gone
        slot[NITRATE + lane] = nitrate - nitrate_gone
        column[DEMAND + lane] = passed
        column[OVER + lane] = over
        column[OVER_AMMONIUM + lane] = ammonium_gone
        column[OVER_NITRATE + lane] = nitrate_gone
        column[LEDGER + LANES * at.EVAP_LAYER + lane] += free + dried


@step
def reach_the_soil(crop_cover, soil, column):
    """Steps 3-4 at the surface: runoff, evaporation from the soil, and today's soil warmth.

    Today's answers to warmth wait in ``NEW_RESPONSE``: drainage still uses yesterday's.
    """
    full = soil[at.FIELD_CAPACITY]
    dry_limit = 0.5 * soil[at.WILTING_POINT] * at.HORIZON_MM[0]
    holds = 50.0 * (full - 0.5 * soil[at.WILTING_POINT])
    for lane in range(LANES):
        covering = column[ALL_COVERING + lane]
        bare = math.exp(-covering)
        falling = column[FALLING + lane]
        off = runoff(falling, bare, column[RECORD + LANES * par.INTAKE_PER_DAY + lane])
        ammonium = column[FALLING_AMMONIUM + lane] + column[OVER_AMMONIUM + lane]
        nitrate = column[FALLING_NITRATE + lane] + column[OVER_NITRATE + lane]
        water = column[SOIL_WATER + lane] + (falling - off) + column[OVER + lane]
        evaporated = soil_evaporation(water - dry_limit, column[DEMAND + lane], holds)
        evaporated *= column[RECORD + LANES * par.SOIL_EVAPORATION + lane]
        column[SOIL_WATER + lane] = water - evaporated
        column[SOIL_AMMONIUM + lane] += ammonium
        column[SOIL_NITRATE + lane] += nitrate
        column[LEDGER + LANES * at.DIRECT_N + lane] += ammonium + nitrate
        column[LEDGER + LANES * at.RUNOFF + lane] += off
        column[LEDGER + LANES * at.EVAP_SOIL + lane] += evaporated
        column[BARE_SHARE + lane] = bare
        surface = surface_temperature(
            column[AIR + lane],
            column[RADIATION + lane],
            1.0 - bare,
            crop_cover,
            column[RECORD + LANES * par.SUN_GAIN + lane],
            column[RECORD + LANES * par.FROST_FACTOR + lane],
        )
        surface = min(0.0, surface) if column[SNOW + lane] > 5.0 else surface
        slowed = damping(crop_cover, covering)
        pace = column[RECORD + LANES * par.SOIL_WARMING_PACE + lane]
        exponent = column[RECORD + LANES * par.WARMTH_EXPONENT + lane]
        top = column[SOIL_WARMTH + lane]
        top += soil_temperature_step(top, surface, at.HORIZON_CM[0], slowed, pace)
        middle = column[SOIL_WARMTH + LANES + lane]
        middle += soil_temperature_step(middle, surface, at.HORIZON_CM[1], slowed, pace)
        lowest = column[SOIL_WARMTH + 2 * LANES + lane]
        lowest += soil_temperature_step(lowest, surface, at.HORIZON_CM[2], slowed, pace)
        column[SOIL_WARMTH + lane] = top
        column[SOIL_WARMTH + LANES + lane] = middle
        column[SOIL_WARMTH + 2 * LANES + lane] = lowest
        column[NEW_RESPONSE + lane] = temperature_response(top, exponent)
        column[NEW_RESPONSE + LANES + lane] = temperature_response(middle, exponent)
        column[NEW_RESPONSE + 2 * LANES + lane] = temperature_response(lowest, exponent)
        column[POWER + lane] = heat_power(
            column[CO2_YESTERDAY + lane], column[RECORD + LANES * par.HEAT_PER_CARBON + lane]
        )
        column[BELOW + lane] = 0.0


@step
def touch_and_warm(slot, soil, column):
    """Steps 3-4 in one sublayer, from the soil up: contact with the soil, moisture of the day, temperature."""
    full = soil[at.FIELD_CAPACITY] * at.HORIZON_MM[0]
    dry_limit = 0.5 * soil[at.WILTING_POINT] * at.HORIZON_MM[0]
    for lane in range(LANES):
        head = slot[HEAD + lane] > 0.0
        own = slot[MASS + lane]
        mass = max(own, TINY)
        below = column[BELOW + lane]
        whole = max(column[ALL_MASS + lane], TINY)
        water = slot[WATER + lane]
        soil_water = column[SOIL_WATER + lane]
        drawn = contact_exchange(
            contact_target(mass, relative_water(soil_water, dry_limit, full)),
            water,
            below + 0.5 * mass,
            soil_water - dry_limit,
            column[RECORD + LANES * par.DRY_WATER + lane] * mass,
            column[RECORD + LANES * par.CONTACT_RATE + lane],
        )
        drawn = drawn if head else 0.0
        water += drawn
        slot[WATER + lane] = water
        slot[WET + lane] = 0.5 * (slot[MOIST_START + lane] + (water + slot[TISSUE + lane]) / mass)
        column[SOIL_WATER + lane] = soil_water - drawn
        column[BELOW + lane] = below + own
        position = (max(whole - below - own, 0.0) + 0.5 * own) / whole
        heated = warming(
            column[POWER + lane],
            whole / 120.0,
            position,
            column[RECORD + LANES * par.CONDUCTIVITY + lane],
            column[RECORD + LANES * par.SURFACE_TRANSFER + lane],
        )
        soil_warmth = column[SOIL_WARMTH + lane]
        warmth = sublayer_temperature(column[AIR + lane], soil_warmth, position, heated)
        warmth = soil_warmth if column[SNOW + lane] > 5.0 else warmth
        slot[WARMTH + lane] = warmth
        slot[RESPONSE + lane] = temperature_response(warmth, column[RECORD + LANES * par.WARMTH_EXPONENT + lane])


@step
def drain(horizon, soil, column, lane, entering, nitrate_entering):
    """Step 3 in one horizon: gas from nitrate; returns the water and nitrate that go deeper. [mm, g m-2]"""
    full = soil[at.FIELD_CAPACITY]
    thickness = at.HORIZON_MM[horizon]
    place = horizon * LANES
    water = column[SOIL_WATER + place + lane] + entering
    nitrate = column[SOIL_NITRATE + place + lane] + nitrate_entering
    over = column[RECORD + LANES * par.DRAINAGE + lane] * drained_water(water, full * thickness)
    gone = denitrified(
        nitrate, column[SOIL_RESPONSE + place + lane], over, column[RECORD + LANES * par.DENITRIFICATION + lane]
    )
    oxide = nitrous_oxide_of_denitrification(gone)
    nitrate -= gone
    moved = column[RECORD + LANES * par.LEACHING + lane] * nitrate * leached_share(over, full, thickness)
    column[SOIL_WATER + place + lane] = water - over
    column[SOIL_NITRATE + place + lane] = nitrate - moved
    column[SOIL_RESPONSE + place + lane] = column[NEW_RESPONSE + place + lane]
    column[LEDGER + LANES * at.N2O_SOIL + lane] += oxide
    column[LEDGER + LANES * at.N2 + lane] += gone - oxide
    return over, moved


@step
def drink_and_drain(kcb, soil, column):
    """Step 3 in the soil: what the crop drinks, from every horizon by what it holds, then drainage."""
    wilting = soil[at.WILTING_POINT]
    full = 600.0 * (soil[at.FIELD_CAPACITY] - wilting)
    for lane in range(LANES):
        top = max(0.0, column[SOIL_WATER + lane] - wilting * at.HORIZON_MM[0])
        middle = max(0.0, column[SOIL_WATER + LANES + lane] - wilting * at.HORIZON_MM[1])
        lowest = max(0.0, column[SOIL_WATER + 2 * LANES + lane] - wilting * at.HORIZON_MM[2])
        held = top + middle + lowest
        drunk = column[RECORD + LANES * par.TRANSPIRATION + lane] * transpiration(
            kcb, column[REFERENCE_LEFT + lane], held, full
        )
        part = drunk / held if held > 0.0 else 0.0
        column[LEDGER + LANES * at.TRANSPIRED + lane] += part * held
        over, moved = drain(0, soil, column, lane, -part * top, 0.0)
        over, moved = drain(1, soil, column, lane, over - part * middle, moved)
        over, moved = drain(2, soil, column, lane, over - part * lowest, moved)
        column[LEDGER + LANES * at.DRAINED + lane] += over
        column[LEDGER + LANES * at.LEACHED + lane] += moved
