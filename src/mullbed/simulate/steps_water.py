"""Steps 2-4 of a day: rain down the stack, evaporation and drainage, warmth."""

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
from mullbed.processes.leaching import leached_share, washed_out_share, washed_share
from mullbed.processes.rate_modifiers import relative_water, temperature_response
from mullbed.processes.soil_temperature import damping, soil_temperature_step, surface_temperature
from mullbed.processes.soil_water import contact_exchange, contact_target, drained_water, soil_evaporation
from mullbed.processes.transpiration import transpiration
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par


@step
def pass_down(passing, j, below, sub, record, soil_nh4, soil_no3, ledger):
    """Let water leave sublayer ``j`` with its mineral nitrogen; ``below`` is -1 for soil."""
    carried = record[par.WASH_DOWN]
    nitrate = carried * sub[j, at.NITRATE] * washed_share(passing, sub[j, at.WATER], sub[j, at.MASS], 1.0)
    ammonium = carried * sub[j, at.AMMONIUM] * washed_share(passing, sub[j, at.WATER], sub[j, at.MASS], 0.5)
    sub[j, at.NITRATE] -= nitrate
    sub[j, at.AMMONIUM] -= ammonium
    if below >= 0:
        sub[below, at.NITRATE] += nitrate
        sub[below, at.AMMONIUM] += ammonium
    else:
        soil_no3[0] += nitrate
        soil_nh4[0] += ammonium
        ledger[at.DIRECT_N] += nitrate + ammonium


@step
def rain_down(
    precipitation,
    poured,
    air,
    reference,
    crop_cover,
    kcb,
    pools,
    constants,
    sub,
    place,
    active,
    count,
    record,
    soil_pools,
    soil_water,
    soil_nh4,
    soil_no3,
    snow,
    ledger,
    day_values,
):
    """Step 2: canopy, snow, rain and irrigation down the stack; returns the snow left. [mm]"""
    ledger[at.RAIN] += precipitation
    ledger[at.IRRIGATED] += poured
    falls_as_snow = snow_fall(precipitation, air)
    liquid = precipitation - falls_as_snow
    snow += falls_as_snow
    melt = snow_melt(snow, air, record[par.SNOW_DEGREE_DAY])
    snow -= melt
    held = canopy_interception(liquid, crop_cover, record[par.CANOPY_CAPACITY])
    ledger[at.EVAP_CANOPY] += held
    left_of_reference = max(0.0, reference - held) if snow <= 5.0 else 0.0
    day_values[at.DEMAND] = evaporation_demand(kcb, left_of_reference)
    day_values[at.REFERENCE_LEFT] = left_of_reference
    water = liquid - held + melt + poured
    covering = 0.0
    for i in range(count - 1, -1, -1):
        j = active[i]
        below = active[i - 1] if i > 0 else -1
        mass = sub[j, at.MASS]
        holding = sub[j, at.HOLD]
        kept = kept_water(water, sub[j, at.WATER], mass, sub[j, at.COVERING] / mass, holding)
        before = (sub[j, at.WATER] + sub[j, at.TISSUE]) / mass
        sub[j, at.REWETTED] = rewetted_share(kept / mass, before, holding, record[par.DRY_END], record[par.WET_END])
        sub[j, at.WATER] += kept
        water -= kept
        covering += sub[j, at.COVERING]
        if water > 0.0:
            pass_down(water, j, below, sub, record, soil_nh4, soil_no3, ledger)
        sub[j, at.PASSED] = water
        sub[j, at.MOIST_START] = (sub[j, at.WATER] + sub[j, at.TISSUE]) / mass
    if count > 0:
        for c in range(place.shape[0]):
            j = place[c]
            if j >= 0 and sub[j, at.PASSED] > 0.0:
                share = washed_out_share(sub[j, at.PASSED], constants[c, at.OPENNESS], record[par.WASH_OUT])
                carbon = share * pools[c, at.SOLUBLE]
                nitrogen = share * pools[c, at.SOLUBLE_N]
                pools[c, at.SOLUBLE] -= carbon
                pools[c, at.SOLUBLE_N] -= nitrogen
                soil_pools[at.DPM] += carbon
                soil_pools[at.DPM_N] += nitrogen
                ledger[at.WASHED_OUT_C] += carbon
    off = runoff(water, math.exp(-covering), record[par.INTAKE_PER_DAY])
    ledger[at.RUNOFF] += off
    soil_water[0] += water - off
    return snow


@step
def evaporate_and_drain(
    kcb, sub, active, count, record, soil_constants, soil_water, soil_nh4, soil_no3, ledger, day_values
):
    """Step 3: evaporation top-down, tissue water, soil evaporation, contact, transpiration, drainage."""
    full = soil_constants[at.FIELD_CAPACITY]
    wilting = soil_constants[at.WILTING_POINT]
    demand = day_values[at.DEMAND]
    dry_water = record[par.DRY_WATER]
    for i in range(count - 1, -1, -1):
        j = active[i]
        mass = sub[j, at.MASS]
        passed = demand_passed(demand, mass, record[par.SHADING])
        here = demand - passed
        free = free_water_evaporation(
            here, sub[j, at.WATER], mass, dry_water, sub[j, at.HOLD], record[par.DRYING_SLOWING]
        )
        tissue = tissue_evaporation(sub[j, at.TISSUE], here, mass, here - free, record[par.TISSUE_EXPOSURE])
        sub[j, at.WATER] -= free
        sub[j, at.TISSUE] -= tissue
        ledger[at.EVAP_LAYER] += free + tissue
        demand = passed
    for i in range(count - 1, -1, -1):
        j = active[i]
        below = active[i - 1] if i > 0 else -1
        released = tissue_release(sub[j, at.TISSUE], sub[j, at.RESPONSE], record[par.TISSUE_RELEASE])
        sub[j, at.TISSUE] -= released
        sub[j, at.WATER] += released
        over = sub[j, at.WATER] - sub[j, at.HOLD] * sub[j, at.MASS]
        if over > 0.0:
            sub[j, at.WATER] -= over
            pass_down(over, j, below, sub, record, soil_nh4, soil_no3, ledger)
            if below >= 0:
                sub[below, at.WATER] += over
            else:
                soil_water[0] += over
    dry_limit = 0.5 * wilting * at.HORIZON_MM[0]
    evaporated = soil_evaporation(soil_water[0] - dry_limit, demand, 50.0 * (full - 0.5 * wilting))
    evaporated *= record[par.SOIL_EVAPORATION]
    soil_water[0] -= evaporated
    ledger[at.EVAP_SOIL] += evaporated
    distance = 0.0
    for i in range(count):
        j = active[i]
        mass = sub[j, at.MASS]
        share = relative_water(soil_water[0], dry_limit, full * at.HORIZON_MM[0])
        drawn = contact_exchange(
            contact_target(mass, share),
            sub[j, at.WATER],
            distance + 0.5 * mass,
            soil_water[0] - dry_limit,
            dry_water * mass,
            record[par.CONTACT_RATE],
        )
        sub[j, at.WATER] += drawn
        soil_water[0] -= drawn
        distance += mass
        if distance > 0.5:
            break
    held = 0.0
    for h in range(3):
        held += max(0.0, soil_water[h] - wilting * at.HORIZON_MM[h])
    drunk = record[par.TRANSPIRATION] * transpiration(
        kcb, day_values[at.REFERENCE_LEFT], held, 600.0 * (full - wilting)
    )
    if held > 0.0:
        for h in range(3):
            part = drunk * max(0.0, soil_water[h] - wilting * at.HORIZON_MM[h]) / held
            soil_water[h] -= part
            ledger[at.TRANSPIRED] += part
    for h in range(3):
        room = full * at.HORIZON_MM[h]
        over = record[par.DRAINAGE] * drained_water(soil_water[h], room)
        if over <= 0.0:
            continue
        warmth = day_values[at.RESPONSE_TOP + h]
        gone = denitrified(soil_no3[h], warmth, over, record[par.DENITRIFICATION])
        oxide = nitrous_oxide_of_denitrification(gone)
        soil_no3[h] -= gone
        ledger[at.N2O_SOIL] += oxide
        ledger[at.N2] += gone - oxide
        moved = record[par.LEACHING] * soil_no3[h] * leached_share(over, full, at.HORIZON_MM[h])
        soil_water[h] -= over
        soil_no3[h] -= moved
        if h < 2:
            soil_water[h + 1] += over
            soil_no3[h + 1] += moved
        else:
            ledger[at.DRAINED] += over
            ledger[at.LEACHED] += moved
    for i in range(count):
        j = active[i]
        now = (sub[j, at.WATER] + sub[j, at.TISSUE]) / sub[j, at.MASS]
        sub[j, at.WET] = 0.5 * (sub[j, at.MOIST_START] + now)


@step
def warm(air, radiation, crop_cover, sub, active, count, record, soil_warmth, snow, co2_yesterday, day_values):
    """Step 4: temperatures of soil and sublayers."""
    covering = 0.0
    mass = 0.0
    for i in range(count):
        covering += sub[active[i], at.COVERING]
        mass += sub[active[i], at.MASS]
    surface = surface_temperature(
        air, radiation, 1.0 - math.exp(-covering), crop_cover, record[par.SUN_GAIN], record[par.FROST_FACTOR]
    )
    if snow > 5.0:
        surface = min(0.0, surface)
    slowed = damping(crop_cover, covering)
    for h in range(3):
        soil_warmth[h] += soil_temperature_step(
            soil_warmth[h], surface, at.HORIZON_CM[h], slowed, record[par.SOIL_WARMING_PACE]
        )
        day_values[at.RESPONSE_TOP + h] = temperature_response(soil_warmth[h], record[par.WARMTH_EXPONENT])
    power = heat_power(co2_yesterday, record[par.HEAT_PER_CARBON])
    above = mass
    for i in range(count):
        j = active[i]
        above -= sub[j, at.MASS]
        position = (above + 0.5 * sub[j, at.MASS]) / mass
        own = warming(power, mass / 120.0, position, record[par.CONDUCTIVITY], record[par.SURFACE_TRANSFER])
        sub[j, at.WARMTH] = soil_warmth[0] if snow > 5.0 else sublayer_temperature(air, soil_warmth[0], position, own)
        sub[j, at.RESPONSE] = temperature_response(sub[j, at.WARMTH], record[par.WARMTH_EXPONENT])
