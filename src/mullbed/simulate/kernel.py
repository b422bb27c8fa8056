"""The compiled day loop: thirteen steps a day for one member after another.

The order of the steps is that of [@mullbed_model] section 3. Every equation comes from
:mod:`mullbed.processes`; this file and its sisters ``steps_*`` join them and move what they say from pool to
pool. Carbon, nitrogen, water and heat are closed every day; the largest error and its day are kept in the
books of the member and judged after the run.

A member's whole state is a handful of flat arrays with the fixed columns of :mod:`mullbed.simulate.layout`;
which sublayer a cohort lies in (``place``) is an index, so cohorts that are not laid yet or are gone cost nothing
but a comparison, and those of layers still to come not even that (``laid``).
"""

from __future__ import annotations

import numpy as np

from mullbed.compiled import loop
from mullbed.processes.rate_modifiers import temperature_response
from mullbed.processes.soil_carbon import respired_to_retained
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par
from mullbed.simulate.steps_books import close_books, follow_lifts, lowest_value, stored, write_outputs
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
    lifts, 5); ``out`` (last - first, outputs, days // every); ``ledgers`` (members, LEDGER); ``books`` (members,
    BOOKS); ``lift_sums`` (4, lifts, days) or (0, 0, 0) when no lift is followed.
    """
    days = kcb.shape[0]
    cohorts = cohort_lift.shape[0]
    buried_rows = 3 * cohorts if digs else 0
    all_pools = np.zeros((cohorts, at.COHORT_POOLS))
    all_constants = np.zeros((cohorts, at.COHORT_CONSTANTS))
    flows = np.zeros((cohorts, at.COHORT_FLOWS))
    all_buried = np.zeros((buried_rows, at.COHORT_POOLS))
    buried_flows = np.zeros((buried_rows, at.COHORT_FLOWS))
    all_sub = np.zeros((sublayer_count, at.SUBLAYER_VALUES))
    solver = np.zeros((4, sublayer_count + 1))
    all_place = np.zeros(cohorts, dtype=np.int64)
    active = np.zeros(sublayer_count, dtype=np.int64)
    soil_pools = np.zeros(at.SOIL_POOLS)
    soil_water = np.zeros(3)
    soil_nh4 = np.zeros(3)
    soil_no3 = np.zeros(3)
    soil_warmth = np.zeros(3)
    retained_share = 1.0 / (1.0 + respired_to_retained(100.0 * soil_constants[at.CLAY]))
    backlog = np.zeros(10)
    ledger = np.zeros(at.LEDGER)
    day_values = np.zeros(at.DAY_VALUES)
    follow = lift_sums.shape[0] > 0

    for member in range(first, last):
        record = records[member]
        year = year_of[member]
        all_pools[:] = 0.0
        all_buried[:] = 0.0
        all_sub[:] = 0.0
        ledger[:] = 0.0
        backlog[:] = 0.0
        all_place[:] = -1
        count = 0
        laid = 0
        cut = 0
        snow = 0.0
        for k in range(at.SOIL_POOLS):
            soil_pools[k] = start_pools[k]
        for h in range(3):
            soil_water[h] = soil_constants[at.START_WATER] * soil_constants[at.FIELD_CAPACITY] * at.HORIZON_MM[h]
            factor = record[par.MINERAL_NITROGEN_FACTOR]
            soil_nh4[h] = soil_constants[at.START_AMMONIUM] / 3.0 * factor
            soil_no3[h] = soil_constants[at.START_NITRATE] / 3.0 * factor
            soil_warmth[h] = soil_constants[at.START_WARMTH]
            day_values[at.RESPONSE_TOP + h] = temperature_response(soil_warmth[h], record[par.WARMTH_EXPONENT])
        pools = all_pools[:0]
        constants = all_constants[:0]
        place = all_place[:0]
        buried = all_buried[:0]
        sub = all_sub[:0]
        carbon_start, nitrogen_start, water_start = stored(
            pools, place, buried, sub, soil_pools, soil_water, soil_nh4, soil_no3, snow
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
                    lift = int(event_values[event, 0])
                    while laid < cohorts and cohort_lift[laid] <= lift:
                        cut = max(cut, cohort_sublayer[laid] + 1)
                        laid += 1
                    pools = all_pools[:laid]
                    constants = all_constants[:laid]
                    place = all_place[:laid]
                    sub = all_sub[:cut]
                    if digs:
                        buried = all_buried[: 3 * laid]
                    lay_lift(
                        lift,
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
                    dig_in(event_values[event, 0], pools, buried, sub, place, soil_water, soil_nh4, soil_no3)
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
                kcb[day], sub, active, count, record, soil_constants, soil_water, soil_nh4, soil_no3, ledger, day_values
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
                snow,
                co2_yesterday,
                day_values,
            )
            # 5-7 decay
            co2_before = ledger[at.CO2_LAYER]
            gave = decay_and_settle(
                pools, constants, flows, sub, place, active, count, record, soil_nh4, soil_no3, ledger
            )
            if digs:
                gave = max(
                    gave,
                    buried_decay(
                        constants,
                        buried,
                        buried_flows,
                        record,
                        soil_constants,
                        soil_pools,
                        soil_water,
                        soil_nh4,
                        soil_no3,
                        ledger,
                        day_values,
                    ),
                )
            if gave > taker_gave:
                taker_gave = gave
                books[member, at.TAKER_DAY] = day
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
                solver,
                ledger,
                day_values,
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
                day_values,
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
            thickness = settle_and_measure(pools, constants, sub, place, record)
            co2_yesterday = ledger[at.CO2_LAYER] - co2_before
            ledger[at.HEAT] += record[par.HEAT_PER_CARBON] * co2_yesterday

            # 13 books and outputs
            carbon, nitrogen, water = stored(
                pools, place, buried, sub, soil_pools, soil_water, soil_nh4, soil_no3, snow
            )
            close_books(
                books[member],
                day,
                carbon,
                nitrogen,
                water,
                carbon_start,
                nitrogen_start,
                water_start,
                ledger,
                record[par.HEAT_PER_CARBON] * ledger[at.CO2_LAYER],
            )
            least = lowest_value(pools, place, buried, sub, soil_pools, soil_water, soil_nh4, soil_no3)
            if least < below:
                below = least
                books[member, at.BELOW_DAY] = day
            if follow:
                follow_lifts(lift_sums, day, pools, constants, sub, place, cohort_lift)
            if (day + 1) % every == 0:
                write_outputs(
                    out[member - first],
                    day // every,
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
                )
        for k in range(at.LEDGER):
            ledgers[member, k] = ledger[k]
        books[member, at.TAKER_GAVE] = taker_gave
        books[member, at.BELOW_ZERO] = below
