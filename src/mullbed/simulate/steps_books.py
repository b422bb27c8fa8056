"""Step 13 of a day: close the books, follow single lifts, write the day's outputs."""

from __future__ import annotations

import math

import numpy as np

from mullbed.compiled import step
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par
from mullbed.simulate.rows import (
    ALL_CARBON,
    ALL_COVERING,
    ALL_MASS,
    ALL_MINERAL,
    ALL_MODIFIER,
    ALL_NITROGEN,
    ALL_WATER,
    ASH,
    BIO,
    BOOKS,
    CARBON_DENSITY,
    CARBON_START,
    CO2_BEFORE,
    CO2_YESTERDAY,
    DENSITY,
    DPM,
    DPM_N,
    DUG_CARBON,
    DUG_NITROGEN,
    GAVE,
    HEAD,
    HUM,
    IOM,
    LANES,
    LEAST,
    LEDGER,
    MASS,
    NITROGEN_START,
    NOW_HELD,
    OUTPUTS,
    RECORD,
    RPM,
    RPM_N,
    SNOW,
    SOIL_AMMONIUM,
    SOIL_NITRATE,
    SOIL_WARMTH,
    SOIL_WATER,
    THICKNESS,
    TISSUE,
    WARMEST,
    WATER,
    WATER_START,
)
from mullbed.simulate.steps_flows import carbon_in
from mullbed.simulate.steps_transfer import SOIL_RATIO
from mullbed.simulate.steps_water import TINY


@step
def soil_pools(column, lane):
    """Return the carbon of the soil's own pools. [g m-2]"""
    return column[DPM + lane] + column[RPM + lane] + column[BIO + lane] + column[HUM + lane] + column[IOM + lane]


@step
def stored_carbon(column, lane):
    """Return the carbon stored in the column. [g m-2]"""
    return column[ALL_CARBON + lane] + column[DUG_CARBON + lane] + soil_pools(column, lane)


@step
def soil_mineral(column, lane):
    """Return the mineral nitrogen of the soil. [g m-2]"""
    ammonium = column[SOIL_AMMONIUM + lane] + column[SOIL_AMMONIUM + LANES + lane]
    nitrate = column[SOIL_NITRATE + lane] + column[SOIL_NITRATE + LANES + lane]
    return ammonium + nitrate + column[SOIL_AMMONIUM + 2 * LANES + lane] + column[SOIL_NITRATE + 2 * LANES + lane]


@step
def stored_nitrogen(column, lane):
    """Return the nitrogen stored in the column. [g m-2]"""
    pools = column[DPM_N + lane] + column[RPM_N + lane] + (column[BIO + lane] + column[HUM + lane]) / SOIL_RATIO
    layer = column[ALL_NITROGEN + lane] + column[ALL_MINERAL + lane] + column[DUG_NITROGEN + lane]
    return layer + pools + soil_mineral(column, lane)


@step
def stored_water(column, lane):
    """Return the water stored in the column. [mm]"""
    soil = column[SOIL_WATER + lane] + column[SOIL_WATER + LANES + lane] + column[SOIL_WATER + 2 * LANES + lane]
    return column[SNOW + lane] + column[ALL_WATER + lane] + soil


@step
def open_books(column):
    """Keep what is stored at the start."""
    for lane in range(LANES):
        column[CARBON_START + lane] = stored_carbon(column, lane)
        column[NITROGEN_START + lane] = stored_nitrogen(column, lane)
        column[WATER_START + lane] = stored_water(column, lane)


@step
def enter(column, lane, error_row, day_row, error, day):
    """Keep the largest relative error and its day; an error that is no number is kept for good."""
    known = column[BOOKS + LANES * error_row + lane]
    smaller = error <= known
    column[BOOKS + LANES * error_row + lane] = known if smaller else error
    column[BOOKS + LANES * day_row + lane] = column[BOOKS + LANES * day_row + lane] if smaller else day


@step
def close_books(day, column):
    """Compare what came in with what is stored and what went out, by element, and heat with carbon.

    ``day`` is the day as a float.
    """
    for lane in range(LANES):
        respired = column[LEDGER + LANES * at.CO2_LAYER + lane]
        came = column[CARBON_START + lane] + column[LEDGER + LANES * at.LAID_C + lane]
        went = respired + column[LEDGER + LANES * at.CO2_SOIL + lane] + column[LEDGER + LANES * at.REMOVED_C + lane]
        error = abs(stored_carbon(column, lane) + went - came) / max(1.0, came)
        enter(column, lane, at.ERROR_C, at.DAY_C, error, day)
        came = column[NITROGEN_START + lane] + column[LEDGER + LANES * at.LAID_N + lane]
        came += column[LEDGER + LANES * at.FED_N + lane]
        went = column[LEDGER + LANES * at.NH3 + lane] + column[LEDGER + LANES * at.N2O_LAYER + lane]
        went += column[LEDGER + LANES * at.N2O_SOIL + lane] + column[LEDGER + LANES * at.N2 + lane]
        went += column[LEDGER + LANES * at.LEACHED + lane] + column[LEDGER + LANES * at.CROP_N + lane]
        went += column[LEDGER + LANES * at.REMOVED_N + lane]
        error = abs(stored_nitrogen(column, lane) + went - came) / max(1.0, came)
        enter(column, lane, at.ERROR_N, at.DAY_N, error, day)
        came = column[WATER_START + lane] + column[LEDGER + LANES * at.LAID_WATER + lane]
        came += column[LEDGER + LANES * at.RAIN + lane] + column[LEDGER + LANES * at.IRRIGATED + lane]
        went = column[LEDGER + LANES * at.EVAP_CANOPY + lane] + column[LEDGER + LANES * at.EVAP_LAYER + lane]
        went += column[LEDGER + LANES * at.EVAP_SOIL + lane] + column[LEDGER + LANES * at.TRANSPIRED + lane]
        went += column[LEDGER + LANES * at.DRAINED + lane] + column[LEDGER + LANES * at.RUNOFF + lane]
        went += column[LEDGER + LANES * at.REMOVED_WATER + lane]
        error = abs(stored_water(column, lane) + went - came) / max(1.0, came)
        enter(column, lane, at.ERROR_WATER, at.DAY_WATER, error, day)
        today = respired - column[CO2_BEFORE + lane]
        column[CO2_BEFORE + lane] = respired
        column[CO2_YESTERDAY + lane] = today
        per_carbon = column[RECORD + LANES * par.HEAT_PER_CARBON + lane]
        made = column[LEDGER + LANES * at.HEAT + lane] + per_carbon * today
        column[LEDGER + LANES * at.HEAT + lane] = made
        heat = per_carbon * respired
        enter(column, lane, at.ERROR_HEAT, at.HEAT_DAY, abs(made - heat) / max(1.0, heat), day)
        gave = column[GAVE + lane]
        known = column[BOOKS + LANES * at.TAKER_GAVE + lane]
        column[BOOKS + LANES * at.TAKER_GAVE + lane] = gave if gave > known else known
        known_day = column[BOOKS + LANES * at.TAKER_DAY + lane]
        column[BOOKS + LANES * at.TAKER_DAY + lane] = day if gave > known else known_day
        column[GAVE + lane] = 0.0


@step
def look_below_zero(day, column):
    """See that no pool is below zero: keep the smallest and its day."""
    for lane in range(LANES):
        carbon = min(min(column[DPM + lane], column[RPM + lane]), min(column[BIO + lane], column[HUM + lane]))
        nitrogen = min(column[DPM_N + lane], column[RPM_N + lane])
        water = min(column[SOIL_WATER + lane], column[SOIL_WATER + LANES + lane])
        ammonium = min(column[SOIL_AMMONIUM + lane], column[SOIL_AMMONIUM + LANES + lane])
        nitrate = min(column[SOIL_NITRATE + lane], column[SOIL_NITRATE + LANES + lane])
        deep = min(column[SOIL_AMMONIUM + 2 * LANES + lane], column[SOIL_NITRATE + 2 * LANES + lane])
        deep = min(deep, column[SOIL_WATER + 2 * LANES + lane])
        least = min(min(carbon, nitrogen), min(min(water, deep), min(ammonium, nitrate)))
        least = min(least, column[LEAST + lane])
        known = column[BOOKS + LANES * at.BELOW_ZERO + lane]
        lower = least < known
        column[BOOKS + LANES * at.BELOW_ZERO + lane] = least if lower else known
        known_day = column[BOOKS + LANES * at.BELOW_DAY + lane]
        column[BOOKS + LANES * at.BELOW_DAY + lane] = day if lower else known_day


@step
def follow_sublayer(slot, column):
    """Carry a head's moisture up to the cohorts that lie in it, and whether they lie in any sublayer."""
    for lane in range(LANES):
        head = slot[HEAD + lane] > 0.0
        moist = (slot[WATER + lane] + slot[TISSUE + lane]) / max(TINY, slot[MASS + lane])
        known = column[NOW_HELD + lane]
        column[NOW_HELD + lane] = moist if head else known


@step
def follow_cohort(sums, members, slot, column):
    """Add thickness, carbon, dry matter and water of a cohort, of the first ``members`` lanes, to its lift's sums."""
    for lane in range(members):
        carbon = carbon_in(slot, lane)
        dry = carbon / slot[CARBON_DENSITY + lane] + slot[ASH + lane]
        sums[0] += dry / (1000.0 * slot[DENSITY + lane])
        sums[1] += carbon
        sums[2] += dry
        sums[3] += column[NOW_HELD + lane] * dry


@step
def write_outputs(soil, column):
    """Work out the outputs of a day, in the order of ``layout.OUTPUTS``."""
    dry = 600.0 * soil[at.WILTING_POINT]
    for lane in range(LANES):
        mass = column[ALL_MASS + lane]
        wet = column[ALL_WATER + lane]
        lies = mass > 0.0
        safe = max(mass, TINY)
        modifier = column[ALL_MODIFIER + lane] / safe
        ammonium = column[SOIL_AMMONIUM + lane] + column[SOIL_AMMONIUM + LANES + lane]
        mineral = ammonium + column[SOIL_NITRATE + lane] + column[SOIL_NITRATE + LANES + lane]
        gas = column[LEDGER + LANES * at.N2O_SOIL + lane] + column[LEDGER + LANES * at.N2 + lane]
        taken = column[LEDGER + LANES * at.CROP_N + lane] + column[LEDGER + LANES * at.LEACHED + lane]
        top = column[SOIL_WARMTH + lane]
        water = column[SOIL_WATER + lane] + column[SOIL_WATER + LANES + lane] + column[SOIL_WATER + 2 * LANES + lane]
        column[OUTPUTS + LANES * 0 + lane] = column[THICKNESS + lane]
        column[OUTPUTS + LANES * 1 + lane] = wet / (wet + safe) if lies else np.nan
        column[OUTPUTS + LANES * 2 + lane] = column[WARMEST + lane] if lies else np.nan
        column[OUTPUTS + LANES * 3 + lane] = top + (column[SOIL_WARMTH + LANES + lane] - top) / 3.0
        column[OUTPUTS + LANES * 4 + lane] = mineral
        column[OUTPUTS + LANES * 5 + lane] = soil_mineral(column, lane) + taken + gas
        column[OUTPUTS + LANES * 6 + lane] = column[LEDGER + LANES * at.NH3 + lane]
        column[OUTPUTS + LANES * 7 + lane] = column[LEDGER + LANES * at.LEACHED + lane]
        column[OUTPUTS + LANES * 8 + lane] = gas + column[LEDGER + LANES * at.N2O_LAYER + lane]
        column[OUTPUTS + LANES * 9 + lane] = column[LEDGER + LANES * at.CROP_N + lane]
        column[OUTPUTS + LANES * 10 + lane] = column[LEDGER + LANES * at.UNMET_N + lane]
        column[OUTPUTS + LANES * 11 + lane] = 1.0 - math.exp(-column[ALL_COVERING + lane])
        column[OUTPUTS + LANES * 12 + lane] = column[ALL_CARBON + lane]
        column[OUTPUTS + LANES * 13 + lane] = column[ALL_NITROGEN + lane]
        column[OUTPUTS + LANES * 14 + lane] = water - dry
        column[OUTPUTS + LANES * 15 + lane] = column[LEDGER + LANES * at.CO2_LAYER + lane]
        column[OUTPUTS + LANES * 16 + lane] = column[LEDGER + LANES * at.DRAINED + lane]
        column[OUTPUTS + LANES * 17 + lane] = column[LEDGER + LANES * at.DIRECT_N + lane]
        column[OUTPUTS + LANES * 18 + lane] = column[LEDGER + LANES * at.WASHED_OUT_C + lane]
        column[OUTPUTS + LANES * 19 + lane] = column[LEDGER + LANES * at.LAID_C + lane]
        column[OUTPUTS + LANES * 20 + lane] = top
        column[OUTPUTS + LANES * 21 + lane] = modifier if lies else np.nan
        column[OUTPUTS + LANES * 22 + lane] = soil_pools(column, lane)
