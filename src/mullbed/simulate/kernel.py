"""The compiled day loop: thirteen steps a day for a block of members side by side.

The order of the steps is that of [@mullbed_model] section 3. Every equation comes from :mod:`mullbed.processes`;
this file and its sisters ``steps_*`` join them and move what they say from pool to pool. Every step is one loop
over the lanes of a block, without branches between members, so that the compiler turns it into vector code: a
member to which something does not apply gets back the very bits it had. Slots that are empty for the whole block
are passed over. Carbon, nitrogen, water and heat are closed every day; the largest error and its day are kept in
the books of the member and judged after the run. Layout: :mod:`mullbed.simulate.rows`.
"""

from __future__ import annotations

import numpy as np

from mullbed.compiled import loop, step
from mullbed.processes.rate_modifiers import temperature_response
from mullbed.processes.soil_carbon import respired_to_retained
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par
from mullbed.simulate.rows import (
    AGE,
    AIR,
    BIOMASS_RATIO,
    BIOMASS_RATIO_BURIED,
    BOOKS,
    BURIED_ROWS,
    CARBON_DENSITY,
    CHANGED,
    COLUMN_ROWS,
    DENSITY,
    DPM,
    FALLING,
    HEAD,
    LAID_CARBON,
    LAID_DENSITY,
    LANES,
    LEDGER,
    LOT,
    OUTPUTS,
    POURED,
    PRECIPITATION,
    PRODUCT_RATIO,
    PRODUCT_RATIO_BURIED,
    RADIATION,
    RECORD,
    REFERENCE,
    SLOT_ROWS,
    SOIL_AMMONIUM,
    SOIL_NITRATE,
    SOIL_RESPONSE,
    SOIL_WARMTH,
    SOIL_WATER,
    THINNEST,
)
from mullbed.simulate.steps_books import (
    close_books,
    follow_cohort,
    follow_sublayer,
    look_below_zero,
    open_books,
    write_outputs,
)
from mullbed.simulate.steps_downward import begin_downward, settle_cohort, settle_sublayer, turn_at_the_soil
from mullbed.simulate.steps_events import (
    SMALLEST,
    begin_laying,
    begin_merging,
    bury,
    drop_on_soil,
    empty,
    feed,
    join_soil,
    lay_cohort,
    lay_sublayer,
    merge_thin,
    rake_off,
)
from mullbed.simulate.steps_measure import begin_count, begin_measure, count_sublayer, measure
from mullbed.simulate.steps_soil import (
    begin_underground,
    count_underground,
    decay_underground,
    dissolve_underground,
    enter_horizon,
    feed_crop,
    get_and_nitrify,
    leave_horizon,
    pace_underground,
    settle_underground,
    supply_underground,
    take_underground,
    turn_over_humus,
)
from mullbed.simulate.steps_spread import lose_gas, mix_and_settle, spread_and_mix
from mullbed.simulate.steps_upward import begin_decay, begin_upward, set_the_pace, wash_out
from mullbed.simulate.steps_water import (
    catch_rain,
    drink_and_drain,
    dry_out,
    keep_moist,
    meet_the_sky,
    reach_the_soil,
    touch_and_warm,
)

__all__ = ["run_members"]


@step
def look_for_members(laid, slots, standing, heads):
    """Note for every slot whether it holds anything, and whether it is a head, for any member of the block."""
    for c in range(laid):
        slot = slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS]
        head = 0
        holds = 0
        for lane in range(LANES):
            head |= slot[HEAD + lane] > 0.0
        for k in range(AGE):
            holds |= slot[k] != 0.0
        heads[c] = head
        standing[c] = head | holds


@step
def tidy(laid, slots, column, standing, heads):
    """Merge what is too thin after cohorts came, went or shrank, and work the layer out anew where it changed."""
    begin_measure(column)
    for c in range(laid - 1, -1, -1):
        measure(slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS], column)
    begin_merging(column)
    for c in range(laid - 1, -1, -1):
        merge_thin(slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS], column)
    drop_on_soil(column)
    for c in range(laid):
        join_soil(slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS], column)
    begin_measure(column)
    for c in range(laid - 1, -1, -1):
        measure(slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS], column)
    look_for_members(laid, slots, standing, heads)


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
    soil,
    start_pools,
    residue,
    draws,
    cohort_lift,
    cohort_sublayer,
    cohort_part,
    event_day,
    event_kind,
    event_values,
    digs,
    wanted,
    out,
    ledgers,
    books,
    lift_sums,
    begin_day,
    keep_day,
    kept_column,
    kept_slots,
    kept_buried,
    kept_marks,
):
    """Run the members ``first`` to ``last`` through all days and fill ``out``, ``ledgers`` and ``books``.

    Shapes: weather (years, days); crop arrays (days,); ``records`` (members, parameters); ``draws`` (members,
    lifts, 5); ``wanted`` (outputs kept,); ``out`` (blocks, days // every, outputs kept, LANES); ``ledgers``
    (members, LEDGER); ``books`` (members, BOOKS); ``lift_sums`` (4, lifts, days) or (0, 0, 0) when no lift is
    followed. Lanes beyond the last member repeat it; what they say is dropped.

    A run may begin in the middle: where ``begin_day`` lies after ``start_day``, each block takes up what an earlier run
    of the same past kept of it: ``kept_column`` (blocks, COLUMN_ROWS), ``kept_slots`` and ``kept_buried`` (blocks,
    cohorts laid by then times their rows), ``kept_marks`` (blocks, 1 + 5 cohorts: how many are laid, which stand, are
    heads, are dug in). Where ``keep_day`` is a day of the run, the same arrays are filled as the day begins.
    """
    days = kcb.shape[0]
    cohorts = cohort_lift.shape[0]
    slots = np.empty(cohorts * SLOT_ROWS)
    buried = np.empty(3 * cohorts * BURIED_ROWS if digs else 0)
    column = np.empty(COLUMN_ROWS)
    member_of = np.zeros(LANES, dtype=np.int64)
    standing = np.zeros(cohorts, dtype=np.int64)
    heads = np.zeros(cohorts, dtype=np.int64)
    dug = np.zeros(3 * cohorts if digs else 0, dtype=np.int64)
    retained_share = 1.0 / (1.0 + respired_to_retained(100.0 * soil[at.CLAY]))
    follow = lift_sums.shape[0] > 0

    for block in range(first, last, LANES):
        width = min(LANES, last - block)
        slots[:] = 0.0
        buried[:] = 0.0
        column[:] = 0.0
        standing[:] = 0
        heads[:] = 0
        dug[:] = 0
        laid = 0
        for lane in range(LANES):
            member = block + min(lane, width - 1)
            member_of[lane] = member
            for k in range(records.shape[1]):
                column[RECORD + LANES * k + lane] = records[member, k]
            for k in range(7):
                column[DPM + LANES * k + lane] = start_pools[k]
            factor = column[RECORD + LANES * par.MINERAL_NITROGEN_FACTOR + lane]
            warmth = soil[at.START_WARMTH]
            response = temperature_response(warmth, column[RECORD + LANES * par.WARMTH_EXPONENT + lane])
            for h in range(3):
                water = soil[at.START_WATER] * soil[at.FIELD_CAPACITY] * at.HORIZON_MM[h]
                column[SOIL_WATER + LANES * h + lane] = water
                column[SOIL_AMMONIUM + LANES * h + lane] = soil[at.START_AMMONIUM] / 3.0 * factor
                column[SOIL_NITRATE + LANES * h + lane] = soil[at.START_NITRATE] / 3.0 * factor
                column[SOIL_WARMTH + LANES * h + lane] = warmth
                column[SOIL_RESPONSE + LANES * h + lane] = response
            for c in range(cohorts):
                at_slot = c * SLOT_ROWS + lane
                slots[at_slot + CARBON_DENSITY] = 1.0
                slots[at_slot + DENSITY] = 1.0
                slots[at_slot + LAID_DENSITY] = 1.0
                slots[at_slot + BIOMASS_RATIO] = 1.0
                slots[at_slot + PRODUCT_RATIO] = 1.0
                slots[at_slot + BIOMASS_RATIO_BURIED] = 1.0
                slots[at_slot + PRODUCT_RATIO_BURIED] = 1.0
        open_books(column)
        place = (block - first) // LANES
        if begin_day > start_day:
            column[:] = kept_column[place]
            laid = kept_marks[place, 0]
            known = (kept_marks.shape[1] - 1) // 5
            for k in range(laid * SLOT_ROWS):
                slots[k] = kept_slots[place, k]
            for c in range(laid):
                standing[c] = kept_marks[place, 1 + c]
                heads[c] = kept_marks[place, 1 + known + c]
            if digs:
                for k in range(3 * laid * BURIED_ROWS):
                    buried[k] = kept_buried[place, k]
                for b in range(3 * laid):
                    dug[b] = kept_marks[place, 1 + 2 * known + b]
        event = 0
        while event < event_day.shape[0] and event_day[event] < begin_day:
            event += 1
        for day in range(begin_day, days):
            if day == keep_day:
                kept_column[place] = column
                kept_marks[place, 0] = laid
                known = (kept_marks.shape[1] - 1) // 5
                for k in range(laid * SLOT_ROWS):
                    kept_slots[place, k] = slots[k]
                for c in range(laid):
                    kept_marks[place, 1 + c] = standing[c]
                    kept_marks[place, 1 + known + c] = heads[c]
                if digs:
                    for k in range(3 * laid * BURIED_ROWS):
                        kept_buried[place, k] = buried[k]
                    for b in range(3 * laid):
                        kept_marks[place, 1 + 2 * known + b] = dug[b]
            # 1 events
            for lane in range(LANES):
                year = year_of[member_of[lane]]
                column[AIR + lane] = air[year, day]
                column[PRECIPITATION + lane] = rain[year, day]
                column[REFERENCE + lane] = reference[year, day]
                column[RADIATION + lane] = radiation[year, day]
            poured = 0.0
            changed = False
            while event < event_day.shape[0] and event_day[event] == day:
                kind = event_kind[event]
                if kind == at.LAY:
                    lift = int(event_values[event, 0])
                    for lane in range(LANES):
                        for k in range(at.LIFT_DRAWS):
                            column[LOT + LANES * k + lane] = draws[member_of[lane], lift, k]
                    while laid < cohorts and cohort_lift[laid] <= lift:
                        laid += 1
                    begin_laying(column)
                    head = 0
                    for c in range(laid):
                        if c > 0 and cohort_sublayer[c] != cohort_sublayer[c - 1]:
                            head = c
                        if cohort_lift[c] == lift:
                            lay_cohort(
                                cohort_part[c], residue[lift], slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS], column
                            )
                            lay_sublayer(slots[head * SLOT_ROWS : (head + 1) * SLOT_ROWS], column)
                    changed = True
                elif kind == at.POUR:
                    poured += event_values[event, 0]
                elif kind == at.RAKE_OFF:
                    for c in range(laid):
                        rake_off(event_values[event, 0], slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS], column)
                    changed = True
                elif kind == at.DIG_IN:
                    top = 0.0
                    reach = max(10.0, min(600.0, event_values[event, 0] * 1000.0))
                    for h in range(3):
                        share = max(0.0, min(reach, top + at.HORIZON_MM[h]) - top) / reach
                        top += at.HORIZON_MM[h]
                        if share > 0.0:
                            for c in range(laid):
                                if standing[c]:
                                    b = 3 * c + h
                                    dug[b] = 1
                                    bury(
                                        h,
                                        share,
                                        slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS],
                                        buried[b * BURIED_ROWS : (b + 1) * BURIED_ROWS],
                                        column,
                                    )
                    for c in range(laid):
                        empty(slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS], column)
                    changed = True
                else:
                    feed(event_values[event], column)
                event += 1
                if changed:
                    look_for_members(laid, slots, standing, heads)
            for lane in range(LANES):
                column[POURED + lane] = poured
                column[CHANGED + lane] = 1.0
            if changed:
                tidy(laid, slots, column, standing, heads)
            if soil[at.KEPT_MOIST] > 0.0:
                keep_moist(column, soil)

            # 2-3 water on its way down
            meet_the_sky(crop_cover[day], kcb[day], column)
            rainy = False
            for lane in range(LANES):
                rainy |= column[FALLING + lane] > 0.0
            for c in range(laid - 1, -1, -1):
                if heads[c]:
                    slot = slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS]
                    if rainy:
                        catch_rain(slot, column)
                    dry_out(slot, column)
            reach_the_soil(crop_cover[day], soil, column)
            # 3-5 contact, warmth and the beginning of decay, on the way up
            begin_upward(column)
            for c in range(laid):
                if standing[c]:
                    slot = slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS]
                    if heads[c]:
                        touch_and_warm(slot, soil, column)
                        set_the_pace(slot, column)
                    if rainy:
                        wash_out(slot, column)
                    begin_decay(slot, column)
            drink_and_drain(kcb[day], soil, column)
            # 6-8 who gets what nitrogen, on the way down; spreading, mixing and settling, on the way up; gas
            begin_downward(column)
            for c in range(laid - 1, -1, -1):
                if standing[c]:
                    slot = slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS]
                    settle_cohort(slot, column)
                    if heads[c]:
                        settle_sublayer(slot, column)
            turn_at_the_soil(soil, column)
            if digs:
                for h in range(3):
                    enter_horizon(h, column)
                    pace_underground(h, soil, column)
                    for c in range(laid):
                        b = 3 * c + h
                        if dug[b]:
                            slot = slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS]
                            decay_underground(slot, buried[b * BURIED_ROWS : (b + 1) * BURIED_ROWS], column)
                    supply_underground(column)
                    for c in range(laid):
                        b = 3 * c + h
                        if dug[b]:
                            slot = slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS]
                            settle_underground(slot, buried[b * BURIED_ROWS : (b + 1) * BURIED_ROWS], column)
                    take_underground(column)
                    for c in range(laid):
                        b = 3 * c + h
                        if dug[b]:
                            cohort = buried[b * BURIED_ROWS : (b + 1) * BURIED_ROWS]
                            dissolve_underground(cohort, column)
                            left = 0
                            for lane in range(LANES):
                                left |= cohort[LAID_CARBON + lane] > 0.0
                            dug[b] = left
                    leave_horizon(h, column)
            for c in range(laid):
                if standing[c]:
                    slot = slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS]
                    if heads[c]:
                        spread_and_mix(slot, column)
                    mix_and_settle(slot, column)
            for c in range(laid - 1, -1, -1):
                if heads[c]:
                    lose_gas(slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS], column)
            get_and_nitrify(soil, column)
            thin = False
            for lane in range(LANES):
                thinner = column[THINNEST + lane] < SMALLEST
                column[CHANGED + lane] = 1.0 if thinner else 0.0
                thin |= thinner
            if thin:
                tidy(laid, slots, column, standing, heads)
            # 9-11 soil pools, crop
            turn_over_humus(kcb[day], soil, retained_share, column)
            feed_crop(want[day], column)
            # 13 books and outputs
            begin_count(column)
            for c in range(laid):
                if heads[c]:
                    count_sublayer(slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS], column)
            if digs:
                begin_underground(column)
                for b in range(3 * laid):
                    if dug[b]:
                        count_underground(buried[b * BURIED_ROWS : (b + 1) * BURIED_ROWS], column)
            close_books(float(day), column)
            look_below_zero(float(day), column)
            if follow:
                for c in range(laid):
                    if standing[c]:
                        slot = slots[c * SLOT_ROWS : (c + 1) * SLOT_ROWS]
                        if heads[c]:
                            follow_sublayer(slot, column)
                        follow_cohort(lift_sums[:, cohort_lift[c], day], width, slot, column)
            if (day + 1) % every == 0:
                write_outputs(soil, column)
                rows = out[(block - first) // LANES, day // every]
                for w in range(wanted.shape[0]):
                    start = OUTPUTS + LANES * wanted[w]
                    row = rows[w]
                    value = column[start : start + LANES]
                    for lane in range(LANES):
                        row[lane] = value[lane]
        for lane in range(width):
            for k in range(at.LEDGER):
                ledgers[block + lane, k] = column[LEDGER + LANES * k + lane]
            for k in range(at.BOOKS):
                books[block + lane, k] = column[BOOKS + LANES * k + lane]
