"""Step 13 of a day: close the books, follow single lifts, write the day's outputs."""

from __future__ import annotations

import numpy as np

from mullbed.compiled import step
from mullbed.simulate import layout as at
from mullbed.simulate.steps_layer import organic_carbon
from mullbed.simulate.steps_transfer import SOIL_RATIO


@step
def organic_nitrogen(pools, c):
    """Return the nitrogen of a cohort, soluble nitrogen of its tissue included. [g m-2]"""
    nitrogen = pools[c, at.SOLUBLE_N] + pools[c, at.MAIN_N] + pools[c, at.RESISTANT_N]
    return nitrogen + pools[c, at.BIOMASS_N] + pools[c, at.PRODUCT_N] + pools[c, at.FREE_N]


@step
def stored(pools, place, buried, sub, soil_pools, soil_water, soil_nh4, soil_no3, snow):
    """Return carbon, nitrogen and water stored in the column. [g m-2, g m-2, mm]"""
    carbon = 0.0
    nitrogen = 0.0
    water = snow
    for c in range(place.shape[0]):
        if place[c] >= 0:
            carbon += organic_carbon(pools, c)
            nitrogen += organic_nitrogen(pools, c)
    for c in range(buried.shape[0]):
        carbon += organic_carbon(buried, c)
        nitrogen += organic_nitrogen(buried, c)
    for j in range(sub.shape[0]):
        nitrogen += sub[j, at.AMMONIUM] + sub[j, at.NITRATE]
        water += sub[j, at.WATER] + sub[j, at.TISSUE]
    carbon += soil_pools[at.DPM] + soil_pools[at.RPM] + soil_pools[at.BIO] + soil_pools[at.HUM] + soil_pools[at.IOM]
    nitrogen += soil_pools[at.DPM_N] + soil_pools[at.RPM_N] + (soil_pools[at.BIO] + soil_pools[at.HUM]) / SOIL_RATIO
    for h in range(3):
        nitrogen += soil_nh4[h] + soil_no3[h]
        water += soil_water[h]
    return carbon, nitrogen, water


@step
def lowest_value(pools, place, buried, sub, soil_pools, soil_water, soil_nh4, soil_no3):
    """Return the smallest of all pools, to see that none is below zero. [g m-2 or mm]"""
    least = 0.0
    for c in range(place.shape[0]):
        if place[c] >= 0:
            for k in range(at.FREE_N + 1):
                least = min(least, pools[c, k])
    for c in range(buried.shape[0]):
        for k in range(at.FREE_N + 1):
            least = min(least, buried[c, k])
    for j in range(sub.shape[0]):
        for k in range(at.WATER, at.NITRATE + 1):
            least = min(least, sub[j, k])
    for k in range(at.SOIL_POOLS):
        least = min(least, soil_pools[k])
    for h in range(3):
        least = min(least, min(soil_water[h], min(soil_nh4[h], soil_no3[h])))
    return least


@step
def enter(book, error_column, day_column, error, day):
    """Keep the largest relative error and its day; an error that is no number is kept for good."""
    if not error <= book[error_column]:
        book[error_column] = error
        book[day_column] = day


@step
def close_books(book, day, carbon, nitrogen, water, carbon_start, nitrogen_start, water_start, ledger, heat):
    """Compare what came in with what is stored and what went out, by element, and heat with carbon."""
    came = carbon_start + ledger[at.LAID_C]
    went = ledger[at.CO2_LAYER] + ledger[at.CO2_SOIL] + ledger[at.REMOVED_C]
    enter(book, at.ERROR_C, at.DAY_C, abs(carbon + went - came) / max(1.0, came), day)
    came = nitrogen_start + ledger[at.LAID_N] + ledger[at.FED_N]
    went = ledger[at.NH3] + ledger[at.N2O_LAYER] + ledger[at.N2O_SOIL] + ledger[at.N2] + ledger[at.LEACHED]
    went += ledger[at.CROP_N] + ledger[at.REMOVED_N]
    enter(book, at.ERROR_N, at.DAY_N, abs(nitrogen + went - came) / max(1.0, came), day)
    came = water_start + ledger[at.LAID_WATER] + ledger[at.RAIN] + ledger[at.IRRIGATED]
    went = ledger[at.EVAP_CANOPY] + ledger[at.EVAP_LAYER] + ledger[at.EVAP_SOIL] + ledger[at.TRANSPIRED]
    went += ledger[at.DRAINED] + ledger[at.RUNOFF] + ledger[at.REMOVED_WATER]
    enter(book, at.ERROR_WATER, at.DAY_WATER, abs(water + went - came) / max(1.0, came), day)
    enter(book, at.ERROR_HEAT, at.HEAT_DAY, abs(ledger[at.HEAT] - heat) / max(1.0, heat), day)


@step
def follow_lifts(lift_sums, day, pools, constants, sub, place, cohort_lift):
    """Add thickness, carbon, dry matter and water of every lift to the sums over members."""
    for c in range(place.shape[0]):
        j = place[c]
        if j < 0:
            continue
        lift = cohort_lift[c]
        carbon = organic_carbon(pools, c)
        dry = carbon / constants[c, at.CARBON_DENSITY] + pools[c, at.ASH]
        wet = (sub[j, at.WATER] + sub[j, at.TISSUE]) / max(1e-9, sub[j, at.MASS]) * dry
        lift_sums[0, lift, day] += dry / (1000.0 * pools[c, at.DENSITY])
        lift_sums[1, lift, day] += carbon
        lift_sums[2, lift, day] += dry
        lift_sums[3, lift, day] += wet


@step
def write_outputs(
    out,
    row,
    thickness,
    pools,
    sub,
    place,
    active,
    count,
    soil_constants,
    soil_water,
    soil_nh4,
    soil_no3,
    soil_warmth,
    ledger,
):
    """Write the outputs of a day; ``out`` has shape (outputs, rows)."""
    covering = 0.0
    mass = 0.0
    wet = 0.0
    modifier = 0.0
    warmest = np.nan
    for k in range(count):
        j = active[k]
        covering += sub[j, at.COVERING]
        mass += sub[j, at.MASS]
        wet += sub[j, at.WATER] + sub[j, at.TISSUE]
        modifier += sub[j, at.MODIFIER] * sub[j, at.MASS]
        if not warmest >= sub[j, at.WARMTH]:
            warmest = sub[j, at.WARMTH]
    carbon_left = 0.0
    nitrogen_left = 0.0
    for c in range(place.shape[0]):
        if place[c] >= 0:
            carbon_left += organic_carbon(pools, c)
            nitrogen_left += organic_nitrogen(pools, c)
    mineral = soil_nh4[0] + soil_no3[0] + soil_nh4[1] + soil_no3[1]
    gas = ledger[at.N2O_SOIL] + ledger[at.N2]
    held = 0.0
    for h in range(3):
        held += soil_water[h] - soil_constants[at.WILTING_POINT] * at.HORIZON_MM[h]
    out[0, row] = thickness
    out[1, row] = wet / (wet + mass) if count > 0 else np.nan
    out[2, row] = warmest
    out[3, row] = soil_warmth[0] + (soil_warmth[1] - soil_warmth[0]) / 3.0
    out[4, row] = mineral
    out[5, row] = mineral + soil_nh4[2] + soil_no3[2] + ledger[at.CROP_N] + ledger[at.LEACHED] + gas
    out[6, row] = ledger[at.NH3]
    out[7, row] = ledger[at.LEACHED]
    out[8, row] = gas + ledger[at.N2O_LAYER]
    out[9, row] = ledger[at.CROP_N]
    out[10, row] = ledger[at.UNMET_N]
    out[11, row] = 1.0 - np.exp(-covering)
    out[12, row] = carbon_left
    out[13, row] = nitrogen_left
    out[14, row] = held
    out[15, row] = ledger[at.CO2_LAYER]
    out[16, row] = ledger[at.DRAINED]
    out[17, row] = ledger[at.DIRECT_N]
    out[18, row] = ledger[at.WASHED_OUT_C]
    out[19, row] = ledger[at.LAID_C]
    out[20, row] = soil_warmth[0]
    out[21, row] = modifier / mass if count > 0 else np.nan
