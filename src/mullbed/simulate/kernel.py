"""The compiled day loop: thirteen steps a day for one member after another.

The order of the steps is that of [@mullbed_model] section 3. Every equation comes from
:mod:`mullbed.processes`; this file and its sister :mod:`mullbed.simulate.steps` join them and move what they
say from pool to pool. Carbon, nitrogen, water and heat are closed every day; the largest error and its day are
kept in the books of the member and judged after the run.
"""

from __future__ import annotations

import numpy as np

from mullbed.compiled import loop
from mullbed.processes.rate_modifiers import temperature_response
from mullbed.processes.soil_carbon import respired_to_retained
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par
from mullbed.simulate.steps_events import dig_in, lay_lift, rake_off
from mullbed.simulate.steps_layer import (
    SMALLEST,
    decay_and_settle,
    merge_small,
    refresh_sublayers,
    settle_and_measure,
    spread_and_lose,
)
from mullbed.simulate.steps_soil import buried_decay, fauna, feed_crop, soil_pools_step
from mullbed.simulate.steps_water import evaporate_and_drain, rain_down, warm

__all__ = ["run_members"]


@loop
def stored(pools, constants, buried, sub, soil_pools, soil_water, soil_nh4, soil_no3, snow):
    """Return carbon, nitrogen and water stored in the column. [g m-2, g m-2, mm]"""
    carbon = 0.0
    nitrogen = 0.0
    water = snow
    for c in range(pools.shape[0]):
        carbon += pools[c, at.SOLUBLE] + pools[c, at.MAIN] + pools[c, at.RESISTANT]
        carbon += pools[c, at.BIOMASS] + pools[c, at.PRODUCT]
        nitrogen += pools[c, at.SOLUBLE_N] + pools[c, at.MAIN_N] + pools[c, at.RESISTANT_N]
        nitrogen += pools[c, at.BIOMASS_N] + pools[c, at.PRODUCT_N] + pools[c, at.FREE_N]
    for c in range(buried.shape[0]):
        carbon += buried[c, at.SOLUBLE] + buried[c, at.MAIN] + buried[c, at.RESISTANT]
        carbon += buried[c, at.BIOMASS] + buried[c, at.PRODUCT]
        nitrogen += buried[c, at.SOLUBLE_N] + buried[c, at.MAIN_N] + buried[c, at.RESISTANT_N]
        nitrogen += buried[c, at.BIOMASS_N] + buried[c, at.PRODUCT_N] + buried[c, at.FREE_N]
    for j in range(sub.shape[0]):
        nitrogen += sub[j, at.AMMONIUM] + sub[j, at.NITRATE]
        water += sub[j, at.WATER] + sub[j, at.TISSUE]
    carbon += soil_pools[at.DPM] + soil_pools[at.RPM] + soil_pools[at.BIO] + soil_pools[at.HUM] + soil_pools[at.IOM]
    nitrogen += soil_pools[at.DPM_N] + soil_pools[at.RPM_N] + (soil_pools[at.BIO] + soil_pools[at.HUM]) / 9.5
    for h in range(3):
        nitrogen += soil_nh4[h] + soil_no3[h]
        water += soil_water[h]
    return carbon, nitrogen, water


@loop
def lowest_value(pools, buried, sub, soil_pools, soil_water, soil_nh4, soil_no3):
    """Return the smallest of all pools, to see that none is below zero. [g m-2 or mm]"""
    least = 0.0
    for c in range(pools.shape[0]):
        for k in range(at.FREE_N + 1):
            least = min(least, pools[c, k])
    for c in range(buried.shape[0]):
        for k in range(at.FREE_N + 1):
            least = min(least, buried[c, k])
    for j in range(sub.shape[0]):
        least = min(least, sub[j, at.WATER], sub[j, at.TISSUE], sub[j, at.AMMONIUM])
        least = min(least, sub[j, at.NITRATE])
    for k in range(at.SOIL_POOLS):
        least = min(least, soil_pools[k])
    for h in range(3):
        least = min(least, soil_water[h], soil_nh4[h])
        least = min(least, soil_no3[h])
    return least


@loop
def run_members(
    first,
    last,
    every,
    air,
    rain,
    reference,
    radiation,
    year_of,
    start_day,
    kcb,
    crop_cover,
    want,
    records,
    soil_constants,
    start_pools,
    residue,
    draws,
    cohort_lift,
    cohort_sublayer,
    cohort_part,
    sublayer_count,
    event_day,
    event_kind,
    event_values,
    digs,
    out,
    ledgers,
    books,
    lift_sums,
):
    """Run the members ``first`` to ``last`` through all days and fill ``out``, ``ledgers`` and ``books``.

    Shapes: weather (years, days); crop arrays (days,); ``records`` (members, parameters); ``draws`` (members,
    lifts, 5); ``out`` (outputs, members, days // every); ``ledgers`` (members, LEDGER); ``books`` (members,
    BOOKS); ``lift_sums`` (3, lifts, days) or (0, 0, 0) when no lift is followed.
    """
    days = kcb.shape[0]
    cohorts = cohort_lift.shape[0]
    buried_rows = 3 * cohorts if digs else 0
    pools = np.zeros((cohorts, at.COHORT_POOLS))
    constants = np.zeros((cohorts, at.COHORT_CONSTANTS))
    flows = np.zeros((cohorts, at.COHORT_FLOWS))
    buried = np.zeros((buried_rows, at.COHORT_POOLS))
    buried_flows = np.zeros((buried_rows, at.COHORT_FLOWS))
    sub = np.zeros((sublayer_count, at.SUBLAYER_VALUES))
    solver = np.zeros((4, sublayer_count + 1))
    place = np.zeros(cohorts, dtype=np.int64)
    active = np.zeros(sublayer_count, dtype=np.int64)
    soil_pools = np.zeros(at.SOIL_POOLS)
    soil_water = np.zeros(3)
    soil_nh4 = np.zeros(3)
    soil_no3 = np.zeros(3)
    soil_warmth = np.zeros(3)
    soil_response = np.zeros(3)
    retained_share = 1.0 / (1.0 + respired_to_retained(100.0 * soil_constants[at.CLAY]))
    backlog = np.zeros(10)
    ledger = np.zeros(at.LEDGER)
    day_values = np.zeros(8)
    follow = lift_sums.shape[0] > 0

    for member in range(first, last):
        record = records[member]
        year = year_of[member]
        pools[:] = 0.0
        buried[:] = 0.0
        sub[:] = 0.0
        ledger[:] = 0.0
        backlog[:] = 0.0
        place[:] = -1
        count = 0
        snow = 0.0
        for k in range(at.SOIL_POOLS):
            soil_pools[k] = start_pools[k]
        for h in range(3):
            soil_water[h] = soil_constants[at.START_WATER] * soil_constants[at.FIELD_CAPACITY] * at.HORIZON_MM[h]
            factor = record[par.MINERAL_NITROGEN_FACTOR]
            soil_nh4[h] = soil_constants[at.START_AMMONIUM] / 3.0 * factor
            soil_no3[h] = soil_constants[at.START_NITRATE] / 3.0 * factor
            soil_warmth[h] = soil_constants[at.START_WARMTH]
            soil_response[h] = temperature_response(soil_warmth[h], record[par.WARMTH_EXPONENT])
        carbon0, nitrogen0, water0 = stored(
            pools, constants, buried, sub, soil_pools, soil_water, soil_nh4, soil_no3, snow
        )
        event = 0
        while event < event_day.shape[0] and event_day[event] < start_day:
            event += 1
        co2_yesterday = 0.0
        taker_gave = 0.0
        below = 0.0
        for day in range(start_day, days):
            # 1 events
            poured = 0.0
            changed = False
            while event < event_day.shape[0] and event_day[event] == day:
                kind = event_kind[event]
                if kind == at.LAY:
                    lay_lift(
                        event_values[event],
                        cohort_lift,
                        cohort_sublayer,
                        cohort_part,
                        residue,
                        draws[member],
                        record,
                        pools,
                        constants,
                        sub,
                        place,
                        ledger,
                        soil_warmth[0],
                    )
                    changed = True
                elif kind == at.POUR:
                    poured += event_values[event, 0]
                elif kind == at.RAKE_OFF:
                    rake_off(event_values[event, 0], pools, sub, place, ledger)
                    changed = True
                elif kind == at.DIG_IN:
                    dig_in(event_values[event, 0], pools, constants, buried, sub, place, soil_water, soil_nh4, soil_no3)
                    changed = True
                else:
                    soil_nh4[0] += event_values[event, 0]
                    soil_no3[0] += event_values[event, 1]
                    soil_pools[at.RPM] += event_values[event, 2]
                    soil_pools[at.RPM_N] += event_values[event, 3]
                    ledger[at.FED_N] += event_values[event, 0] + event_values[event, 1] + event_values[event, 3]
                    ledger[at.LAID_C] += event_values[event, 2]
                event += 1
            if changed:
                count = merge_small(
                    pools, constants, sub, place, active, soil_pools, soil_water, soil_nh4, soil_no3, ledger
                )
            if soil_constants[at.KEPT_MOIST] > 0.0:
                held = 0.0
                for h in range(3):
                    held += soil_water[h] - soil_constants[at.WILTING_POINT] * at.HORIZON_MM[h]
                full = 600.0 * (soil_constants[at.FIELD_CAPACITY] - soil_constants[at.WILTING_POINT])
                if held < 0.5 * full:
                    poured += min(25.0, 0.9 * full - held)

            # 2-4 water and warmth
            refresh_sublayers(pools, constants, sub, place, active, count, record)
            snow = rain_down(
                rain[year, day],
                poured,
                air[year, day],
                reference[year, day],
                crop_cover[day],
                kcb[day],
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
            )
            evaporate_and_drain(
                kcb[day],
                sub,
                active,
                count,
                record,
                soil_constants,
                soil_water,
                soil_nh4,
                soil_no3,
                soil_response,
                ledger,
                day_values,
            )
            warm(
                air[year, day],
                radiation[year, day],
                crop_cover[day],
                sub,
                active,
                count,
                record,
                soil_warmth,
                soil_response,
                snow,
                co2_yesterday,
            )
            # 5-7 decay
            co2_before = ledger[at.CO2_LAYER]
            taker_gave = max(
                taker_gave,
                decay_and_settle(
                    pools, constants, flows, sub, place, active, count, record, soil_nh4, soil_no3, ledger
                ),
            )
            if buried_rows > 0:
                taker_gave = max(
                    taker_gave,
                    buried_decay(
                        pools,
                        constants,
                        buried,
                        buried_flows,
                        record,
                        soil_constants,
                        soil_pools,
                        soil_water,
                        soil_nh4,
                        soil_no3,
                        soil_warmth,
                        ledger,
                    ),
                )
            # 8 spreading, ammonia, nitrification
            refresh_sublayers(pools, constants, sub, place, active, count, record)
            spread_and_lose(
                pools,
                constants,
                sub,
                place,
                active,
                count,
                record,
                soil_constants,
                soil_water,
                soil_nh4,
                soil_no3,
                soil_response,
                solver,
                ledger,
            )
            # 9 fauna
            fauna(
                pools,
                constants,
                sub,
                place,
                active,
                count,
                record,
                soil_constants,
                soil_pools,
                soil_water,
                soil_nh4,
                soil_no3,
                soil_warmth,
                soil_response,
            )
            thinnest = SMALLEST
            for k in range(count):
                thinnest = min(thinnest, sub[active[k], at.MASS])
            if thinnest < SMALLEST:
                count = merge_small(
                    pools, constants, sub, place, active, soil_pools, soil_water, soil_nh4, soil_no3, ledger
                )
            # 10-11 soil pools, crop
            soil_pools_step(
                kcb[day],
                record,
                soil_constants,
                retained_share,
                soil_pools,
                soil_water,
                soil_nh4,
                soil_no3,
                soil_warmth,
                ledger,
            )
            feed_crop(want[day], day, backlog, record, soil_nh4, soil_no3, ledger)
            # 12 thickness
            thickness = settle_and_measure(pools, constants, sub, place, active, count, record)
            co2_yesterday = ledger[at.CO2_LAYER] - co2_before
            ledger[at.HEAT] += record[par.HEAT_PER_CARBON] * co2_yesterday

            # 13 books and outputs
            carbon, nitrogen, water = stored(
                pools, constants, buried, sub, soil_pools, soil_water, soil_nh4, soil_no3, snow
            )
            carbon_in = carbon0 + ledger[at.LAID_C]
            error = abs(carbon + ledger[at.CO2_LAYER] + ledger[at.CO2_SOIL] + ledger[at.REMOVED_C] - carbon_in) / max(
                1.0, carbon_in
            )
            if not error <= books[member, at.ERROR_C]:
                books[member, at.ERROR_C] = error
                books[member, at.DAY_C] = day
            nitrogen_in = nitrogen0 + ledger[at.LAID_N] + ledger[at.FED_N]
            gas_soil = ledger[at.N2O_SOIL] + ledger[at.N2]
            nitrogen_out = ledger[at.NH3] + ledger[at.N2O_LAYER] + gas_soil + ledger[at.LEACHED]
            nitrogen_out += ledger[at.CROP_N] + ledger[at.REMOVED_N]
            error = abs(nitrogen + nitrogen_out - nitrogen_in) / max(1.0, nitrogen_in)
            if not error <= books[member, at.ERROR_N]:
                books[member, at.ERROR_N] = error
                books[member, at.DAY_N] = day
            water_in = water0 + ledger[at.LAID_WATER] + ledger[at.RAIN] + ledger[at.IRRIGATED]
            water_out = ledger[at.EVAP_CANOPY] + ledger[at.EVAP_LAYER] + ledger[at.EVAP_SOIL] + ledger[at.TRANSPIRED]
            water_out += ledger[at.DRAINED] + ledger[at.RUNOFF] + ledger[at.REMOVED_WATER]
            error = abs(water + water_out - water_in) / max(1.0, water_in)
            if not error <= books[member, at.ERROR_WATER]:
                books[member, at.ERROR_WATER] = error
                books[member, at.DAY_WATER] = day
            least = lowest_value(pools, buried, sub, soil_pools, soil_water, soil_nh4, soil_no3)
            if least < below:
                below = least
                books[member, at.LAW_DAY] = day

            if follow:
                for c in range(cohorts):
                    if place[c] >= 0:
                        lift = cohort_lift[c]
                        mass = (
                            pools[c, at.SOLUBLE]
                            + pools[c, at.MAIN]
                            + pools[c, at.RESISTANT]
                            + pools[c, at.BIOMASS]
                            + pools[c, at.PRODUCT]
                        )
                        whole = mass / constants[c, at.CARBON_DENSITY] + pools[c, at.ASH]
                        j = place[c]
                        wet = (sub[j, at.WATER] + sub[j, at.TISSUE]) / max(1e-9, 1000.0 * sub[j, at.MASS]) * whole
                        lift_sums[0, lift, day] += whole / (1000.0 * pools[c, at.DENSITY])
                        lift_sums[1, lift, day] += mass
                        lift_sums[2, lift, day] += whole
                        lift_sums[3, lift, day] += 1000.0 * wet
            if (day + 1) % every == 0:
                row = day // every
                covering = 0.0
                mass = 0.0
                wet = 0.0
                modifier = 0.0
                warmest = np.nan
                carbon_left = 0.0
                nitrogen_left = 0.0
                for k in range(count):
                    j = active[k]
                    covering += sub[j, at.COVERING]
                    mass += sub[j, at.MASS]
                    wet += sub[j, at.WATER] + sub[j, at.TISSUE]
                    modifier += sub[j, at.MODIFIER] * sub[j, at.MASS]
                    if not warmest >= sub[j, at.WARMTH]:
                        warmest = sub[j, at.WARMTH]
                for c in range(cohorts):
                    if place[c] >= 0:
                        carbon_left += pools[c, at.SOLUBLE] + pools[c, at.MAIN] + pools[c, at.RESISTANT]
                        carbon_left += pools[c, at.BIOMASS] + pools[c, at.PRODUCT]
                        nitrogen_left += pools[c, at.SOLUBLE_N] + pools[c, at.MAIN_N] + pools[c, at.RESISTANT_N]
                        nitrogen_left += pools[c, at.BIOMASS_N] + pools[c, at.PRODUCT_N] + pools[c, at.FREE_N]
                mineral = soil_nh4[0] + soil_no3[0] + soil_nh4[1] + soil_no3[1]
                deep = soil_nh4[2] + soil_no3[2]
                held = 0.0
                for h in range(3):
                    held += soil_water[h] - soil_constants[at.WILTING_POINT] * at.HORIZON_MM[h]
                out[0, member, row] = thickness
                out[1, member, row] = wet / (wet + mass) if count > 0 else np.nan
                out[2, member, row] = warmest
                out[3, member, row] = soil_warmth[0] + (soil_warmth[1] - soil_warmth[0]) / 3.0
                out[4, member, row] = mineral
                out[5, member, row] = mineral + deep + ledger[at.CROP_N] + ledger[at.LEACHED] + gas_soil
                out[6, member, row] = ledger[at.NH3]
                out[7, member, row] = ledger[at.LEACHED]
                out[8, member, row] = gas_soil + ledger[at.N2O_LAYER]
                out[9, member, row] = ledger[at.CROP_N]
                out[10, member, row] = ledger[at.UNMET_N]
                out[11, member, row] = 1.0 - np.exp(-covering)
                out[12, member, row] = carbon_left
                out[13, member, row] = nitrogen_left
                out[14, member, row] = held
                out[15, member, row] = ledger[at.CO2_LAYER]
                out[16, member, row] = ledger[at.DRAINED]
                out[17, member, row] = ledger[at.DIRECT_N]
                out[18, member, row] = ledger[at.WASHED_OUT_C]
                out[19, member, row] = ledger[at.LAID_C]
                out[20, member, row] = soil_warmth[0]
                out[21, member, row] = modifier / mass if count > 0 else np.nan
        for k in range(at.LEDGER):
            ledgers[member, k] = ledger[k]
        books[member, at.TAKER_GAVE] = taker_gave
        books[member, at.BELOW_ZERO] = below
        heat = record[par.HEAT_PER_CARBON] * ledger[at.CO2_LAYER]
        books[member, at.ERROR_HEAT] = abs(ledger[at.HEAT] - heat) / max(1.0, heat)
