"""Dug-in residues, nitrification, soil organic matter, and what the crop takes (steps 5-8, 10 and 11)."""

from __future__ import annotations

from mullbed.compiled import step
from mullbed.processes.crop_uptake import crop_uptake, reachable_nitrogen
from mullbed.processes.mineralisation import soluble_release_opening, soluble_release_share, supply_ratio
from mullbed.processes.nitrification import nitrous_oxide_of_nitrification, soil_nitrification
from mullbed.processes.rate_modifiers import relative_water, soil_moisture_response
from mullbed.processes.soil_carbon import pool_decay, soil_carbon_moisture, soil_carbon_warmth
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par
from mullbed.simulate.rows import (
    BACKLOG,
    BIO,
    BIOMASS_RATIO_BURIED,
    DPM,
    DPM_N,
    DUG_CARBON,
    DUG_NITROGEN,
    FREE_N,
    GAVE,
    GOT_AMMONIUM,
    GOT_NITRATE,
    HERE_AMMONIUM,
    HERE_NITRATE,
    HERE_RESPONSE,
    HERE_WATER,
    HUM,
    K_BIOMASS,
    K_MAIN_BURIED,
    K_PRODUCT,
    K_RESISTANT,
    K_SOLUBLE_BURIED,
    LAID_CARBON,
    LANES,
    LEAST,
    LEDGER,
    MAIN,
    MIXED_AMMONIUM,
    MIXED_NITRATE,
    NOW_GIVE,
    NOW_MODIFIER,
    NOW_RELEASED,
    NOW_WANT,
    PRODUCT_RATIO_BURIED,
    RATIO,
    RECORD,
    RPM,
    RPM_N,
    SOIL_AMMONIUM,
    SOIL_NITRATE,
    SOIL_RESPONSE,
    SOIL_WARMTH,
    SOIL_WATER,
    SOLUBLE,
    SUM_TAKEN,
)
from mullbed.simulate.steps_flows import begin_flows, carbon_in, finish_flows, lowest_pool, nitrogen_in
from mullbed.simulate.steps_transfer import SOIL_RATIO, cohort_to_soil


@step
def enter_horizon(horizon, column):
    """Put one horizon's water, warmth and mineral nitrogen where the steps below work on them."""
    place = horizon * LANES
    water = column[SOIL_WATER + place : SOIL_WATER + place + LANES]
    response = column[SOIL_RESPONSE + place : SOIL_RESPONSE + place + LANES]
    ammonium = column[SOIL_AMMONIUM + place : SOIL_AMMONIUM + place + LANES]
    nitrate = column[SOIL_NITRATE + place : SOIL_NITRATE + place + LANES]
    for lane in range(LANES):
        column[HERE_WATER + lane] = water[lane]
        column[HERE_RESPONSE + lane] = response[lane]
        column[HERE_AMMONIUM + lane] = ammonium[lane]
        column[HERE_NITRATE + lane] = nitrate[lane]


@step
def leave_horizon(horizon, column):
    """Put the mineral nitrogen back where it belongs."""
    place = horizon * LANES
    ammonium = column[SOIL_AMMONIUM + place : SOIL_AMMONIUM + place + LANES]
    nitrate = column[SOIL_NITRATE + place : SOIL_NITRATE + place + LANES]
    for lane in range(LANES):
        ammonium[lane] = column[HERE_AMMONIUM + lane]
        nitrate[lane] = column[HERE_NITRATE + lane]


@step
def pace_underground(horizon, soil, column):
    """Step 5 in one horizon: how warmth and moisture set the pace of what is dug in there."""
    full = soil[at.FIELD_CAPACITY] * at.HORIZON_MM[horizon]
    dry_limit = soil[at.WILTING_POINT] * at.HORIZON_MM[horizon] * (0.5 if horizon == 0 else 1.0)
    for lane in range(LANES):
        warmth = column[HERE_RESPONSE + lane]
        wet = soil_moisture_response(relative_water(column[HERE_WATER + lane], dry_limit, full))
        opening = soluble_release_opening(wet, warmth)
        column[NOW_MODIFIER + lane] = warmth * wet
        column[NOW_RELEASED + lane] = soluble_release_share(
            opening, column[RECORD + LANES * par.SOLUBLE_RELEASE + lane]
        )
        column[NOW_GIVE + lane] = 0.0
        column[NOW_WANT + lane] = 0.0
        column[SUM_TAKEN + lane] = 0.0


@step
def decay_underground(slot, cohort, column):
    """Step 5 for one dug-in cohort: soluble nitrogen set free, potential flows."""
    for lane in range(LANES):
        released = cohort[FREE_N + lane] * column[NOW_RELEASED + lane]
        cohort[FREE_N + lane] -= released
        column[HERE_AMMONIUM + lane] += 0.7 * released
        column[HERE_NITRATE + lane] += 0.3 * released
        given = begin_flows(
            cohort,
            lane,
            slot[K_SOLUBLE_BURIED + lane],
            slot[K_MAIN_BURIED + lane],
            slot[K_RESISTANT + lane],
            slot[K_BIOMASS + lane],
            slot[K_PRODUCT + lane],
            slot[BIOMASS_RATIO_BURIED + lane],
            slot[PRODUCT_RATIO_BURIED + lane],
            column[NOW_MODIFIER + lane],
            0.0,
            column,
        )
        column[NOW_GIVE + lane] += max(0.0, given)
        column[NOW_WANT + lane] += max(0.0, -given)


@step
def supply_underground(column):
    """Step 6 in one horizon: the share of their want that takers get."""
    for lane in range(LANES):
        mineral = column[HERE_AMMONIUM + lane] + column[HERE_NITRATE + lane]
        supply = column[NOW_GIVE + lane] + column[RECORD + LANES * par.HELD_REACH + lane] * mineral
        column[RATIO + lane] = supply_ratio(supply, column[NOW_WANT + lane])


@step
def settle_underground(slot, cohort, column):
    """Steps 6-7 for one dug-in cohort."""
    for lane in range(LANES):
        respired, taken, given, broken = finish_flows(
            cohort,
            lane,
            column[RATIO + lane],
            slot[PRODUCT_RATIO_BURIED + lane],
            column[RECORD + LANES * par.PRODUCT_SHARE + lane],
        )
        column[LEDGER + LANES * at.CO2_SOIL + lane] += respired
        column[HERE_AMMONIUM + lane] += given
        column[SUM_TAKEN + lane] += taken
        column[GAVE + lane] = max(column[GAVE + lane], broken)


@step
def take_underground(column):
    """Step 7 in one horizon: takers draw ammonium, then nitrate."""
    for lane in range(LANES):
        taken = column[SUM_TAKEN + lane]
        first = min(taken, column[HERE_AMMONIUM + lane])
        column[HERE_AMMONIUM + lane] -= first
        column[HERE_NITRATE + lane] -= taken - first


@step
def dissolve_underground(cohort, column):
    """Step 7 for one dug-in cohort: once under 5 % of its carbon is soluble or main, the rest joins the soil."""
    for lane in range(LANES):
        laid = cohort[LAID_CARBON + lane]
        left = cohort[SOLUBLE + lane] + cohort[MAIN + lane]
        done = laid > 0.0 and left < 0.05 * laid
        cohort_to_soil(cohort, column, lane, 1.0 if done else 0.0, HERE_AMMONIUM, HERE_NITRATE)
        cohort[LAID_CARBON + lane] = 0.0 if done else laid


@step
def begin_underground(column):
    """Forget the sums of what is dug in."""
    for lane in range(LANES):
        column[DUG_CARBON + lane] = 0.0
        column[DUG_NITROGEN + lane] = 0.0


@step
def count_underground(cohort, column):
    """Step 13 for one dug-in cohort: its carbon and nitrogen, its smallest pool."""
    for lane in range(LANES):
        column[DUG_CARBON + lane] += carbon_in(cohort, lane)
        column[DUG_NITROGEN + lane] += nitrogen_in(cohort, lane)
        column[LEAST + lane] = min(column[LEAST + lane], lowest_pool(cohort, lane))


@step
def nitrify(horizon, soil, column, lane, ammonium, nitrate):
    """Step 8 in one horizon that holds so much ammonium and nitrate."""
    place = horizon * LANES
    full = soil[at.FIELD_CAPACITY] * at.HORIZON_MM[horizon]
    dry_limit = soil[at.WILTING_POINT] * at.HORIZON_MM[horizon] * (0.5 if horizon == 0 else 1.0)
    share = relative_water(column[SOIL_WATER + place + lane], dry_limit, full)
    nitrified = soil_nitrification(
        ammonium, column[SOIL_RESPONSE + place + lane], share, column[RECORD + LANES * par.SOIL_NITRIFICATION + lane]
    )
    oxide = nitrous_oxide_of_nitrification(nitrified, column[RECORD + LANES * par.NITROUS_OXIDE_SHARE + lane])
    column[SOIL_AMMONIUM + place + lane] = ammonium - nitrified
    column[SOIL_NITRATE + place + lane] = nitrate + nitrified - oxide
    column[LEDGER + LANES * at.N2O_SOIL + lane] += oxide


@step
def get_and_nitrify(soil, column):
    """Step 8 in the soil: what spreading brought down, then ammonium that turns into nitrate."""
    for lane in range(LANES):
        ammonium = column[GOT_AMMONIUM + lane]
        nitrate = column[GOT_NITRATE + lane]
        column[LEDGER + LANES * at.DIRECT_N + lane] += ammonium + nitrate
        ammonium += column[SOIL_AMMONIUM + lane]
        nitrate += column[SOIL_NITRATE + lane]
        nitrify(0, soil, column, lane, ammonium, nitrate)
        ammonium = column[SOIL_AMMONIUM + LANES + lane]
        nitrify(1, soil, column, lane, ammonium, column[SOIL_NITRATE + LANES + lane])
        ammonium = column[SOIL_AMMONIUM + 2 * LANES + lane]
        nitrify(2, soil, column, lane, ammonium, column[SOIL_NITRATE + 2 * LANES + lane])


@step
def turn_over_humus(kcb, soil, retained_share, column):
    """Steps 9-10: what mixing brought, then a day of the soil carbon pools and the nitrogen they free or take."""
    middle = at.HORIZON_MM[1]
    dry_limit = soil[at.WILTING_POINT] * middle
    full = soil[at.FIELD_CAPACITY] * middle
    under = 0.6 if kcb > 0.2 else 1.0
    step = 1.0 / 365.0
    for lane in range(LANES):
        ammonium = column[SOIL_AMMONIUM + lane] + column[MIXED_AMMONIUM + lane]
        nitrate = column[SOIL_NITRATE + lane] + column[MIXED_NITRATE + lane]
        deep_ammonium = column[SOIL_AMMONIUM + LANES + lane]
        deep_nitrate = column[SOIL_NITRATE + LANES + lane]
        share = relative_water(column[SOIL_WATER + LANES + lane], dry_limit, full)
        warmth = 0.3 * column[SOIL_WARMTH + lane] + 0.7 * column[SOIL_WARMTH + LANES + lane]
        modifier = soil_carbon_warmth(warmth) * soil_carbon_moisture(share)
        modifier *= column[RECORD + LANES * par.SOIL_POOL_RATE + lane] * under
        of_dpm = pool_decay(1.0, 10.0, modifier, step)
        of_rpm = pool_decay(1.0, 0.3, modifier, step)
        d_dpm = column[DPM + lane] * of_dpm
        d_rpm = column[RPM + lane] * of_rpm
        d_bio = pool_decay(column[BIO + lane], 0.66, modifier, step)
        d_hum = pool_decay(column[HUM + lane], 0.02, modifier, step)
        n_dpm = column[DPM_N + lane] * of_dpm
        n_rpm = column[RPM_N + lane] * of_rpm
        lost = d_dpm + d_rpm + d_bio + d_hum
        wanted = lost * retained_share
        freed = n_dpm + n_rpm + (d_bio + d_hum) / SOIL_RATIO
        net = freed - wanted / SOIL_RATIO
        mineral = ammonium + nitrate + deep_ammonium + deep_nitrate
        short = max(0.0, -net)
        taken = min(short, 0.5 * max(0.0, mineral))  # rounding can leave an empty soil a hair below nothing
        retained = SOIL_RATIO * (freed + taken) if taken < short else wanted
        part = taken / mineral if taken > 0.0 else 0.0
        surplus = max(0.0, net)
        column[SOIL_AMMONIUM + lane] = ammonium - part * ammonium + 0.2 * surplus
        column[SOIL_NITRATE + lane] = nitrate - part * nitrate
        column[SOIL_AMMONIUM + LANES + lane] = deep_ammonium - part * deep_ammonium + 0.8 * surplus
        column[SOIL_NITRATE + LANES + lane] = deep_nitrate - part * deep_nitrate
        column[DPM + lane] -= d_dpm
        column[DPM_N + lane] -= n_dpm
        column[RPM + lane] -= d_rpm
        column[RPM_N + lane] -= n_rpm
        column[BIO + lane] += 0.46 * retained - d_bio
        column[HUM + lane] += 0.54 * retained - d_hum
        column[LEDGER + LANES * at.CO2_SOIL + lane] += lost - retained


@step
def feed_crop(want, column):
    """Step 11: the crop takes what it wants and can; unmet want is carried for ten days, then lost.

    ``BACKLOG`` holds the wants of the last ten days, the oldest first.
    """
    for lane in range(LANES):
        column[LEDGER + LANES * at.UNMET_N + lane] += column[BACKLOG + lane]
        wanted = want
        for k in range(1, 10):
            wanted += column[BACKLOG + LANES * k + lane]
        reach = 0.0
        for h in range(3):
            reach += reachable_nitrogen(
                column[SOIL_NITRATE + LANES * h + lane], column[SOIL_AMMONIUM + LANES * h + lane]
            )
        taken = crop_uptake(wanted, reach, column[RECORD + LANES * par.DAILY_UPTAKE_SHARE + lane])
        part = taken / reach if reach > 0.0 else 0.0
        for h in range(3):
            column[SOIL_NITRATE + LANES * h + lane] -= 0.9 * part * column[SOIL_NITRATE + LANES * h + lane]
            column[SOIL_AMMONIUM + LANES * h + lane] -= 0.5 * part * column[SOIL_AMMONIUM + LANES * h + lane]
        column[LEDGER + LANES * at.CROP_N + lane] += taken
        left = taken
        for k in range(1, 10):
            older = column[BACKLOG + LANES * k + lane]
            met = min(left, older)
            column[BACKLOG + LANES * (k - 1) + lane] = older - met
            left -= met
        column[BACKLOG + LANES * 9 + lane] = want - min(left, want)
