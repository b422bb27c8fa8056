"""Dug-in residues, worms and mixing, soil organic matter, and what the crop takes (steps 5-7, 9-11)."""

from __future__ import annotations

from mullbed.compiled import step
from mullbed.processes.crop_uptake import crop_uptake, reachable_nitrogen
from mullbed.processes.fauna import mixed_share, worm_intake, worm_share
from mullbed.processes.mineralisation import soluble_release_opening, soluble_release_share, supply_ratio
from mullbed.processes.rate_modifiers import relative_water, soil_moisture_response
from mullbed.processes.soil_carbon import pool_decay, soil_carbon_moisture, soil_carbon_warmth
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par
from mullbed.simulate.steps_layer import apply_flows, potential_flows
from mullbed.simulate.steps_transfer import SOIL_RATIO, cohort_to_soil


@step
def buried_decay(
    constants, buried, flows, record, soil_constants, soil_pools, soil_water, soil_nh4, soil_no3, ledger, day_values
):
    """Steps 5-7 for dug-in cohorts against their own horizon; returns by how much a taker gave."""
    gave = 0.0
    for h in range(3):
        dry_limit = soil_constants[at.WILTING_POINT] * at.HORIZON_MM[h] * (0.5 if h == 0 else 1.0)
        share = relative_water(soil_water[h], dry_limit, soil_constants[at.FIELD_CAPACITY] * at.HORIZON_MM[h])
        warmth = day_values[at.RESPONSE_TOP + h]
        wet = soil_moisture_response(share)
        modifier = warmth * wet
        release = soluble_release_share(soluble_release_opening(wet, warmth), record[par.SOLUBLE_RELEASE])
        give = 0.0
        want = 0.0
        for c in range(h, buried.shape[0], 3):
            if buried[c, at.LAID_CARBON] <= 0.0:
                continue
            cohort = c // 3
            released = buried[c, at.FREE_N] * release
            buried[c, at.FREE_N] -= released
            soil_nh4[h] += 0.7 * released
            soil_no3[h] += 0.3 * released
            potential_flows(
                buried,
                flows,
                c,
                constants[cohort, at.K_SOLUBLE_BURIED],
                constants[cohort, at.K_MAIN_BURIED],
                constants[cohort, at.K_RESISTANT],
                constants[cohort, at.K_BIOMASS],
                constants[cohort, at.K_PRODUCT],
                constants[cohort, at.BIOMASS_RATIO_BURIED],
                constants[cohort, at.PRODUCT_RATIO_BURIED],
                modifier,
                0.0,
                record,
            )
            give += max(0.0, flows[c, at.F_GIVEN])
            want += max(0.0, -flows[c, at.F_GIVEN])
        ratio = supply_ratio(give + record[par.HELD_REACH] * (soil_nh4[h] + soil_no3[h]), want)
        all_taken = 0.0
        for c in range(h, buried.shape[0], 3):
            if buried[c, at.LAID_CARBON] <= 0.0:
                continue
            respired, taken, given = apply_flows(
                buried, flows, c, ratio, constants[c // 3, at.PRODUCT_RATIO_BURIED], record
            )
            ledger[at.CO2_SOIL] += respired
            soil_nh4[h] += given
            all_taken += taken
            if flows[c, at.F_GIVEN] < 0.0:
                gave = max(gave, given, -taken)
        first = min(all_taken, soil_nh4[h])
        soil_nh4[h] -= first
        soil_no3[h] -= all_taken - first
        for c in range(h, buried.shape[0], 3):
            laid = buried[c, at.LAID_CARBON]
            if laid > 0.0 and buried[c, at.SOLUBLE] + buried[c, at.MAIN] < 0.05 * laid:
                cohort_to_soil(buried, c, 1.0, soil_pools, soil_nh4, soil_no3, h)
                buried[c, at.LAID_CARBON] = 0.0
    return gave


@step
def fauna(
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
):
    """Step 9: worms draw from the lowest sublayer, every sublayer crumbles a little into the soil."""
    if count == 0:
        return
    dry_limit = 0.5 * soil_constants[at.WILTING_POINT] * at.HORIZON_MM[0]
    share = relative_water(soil_water[0], dry_limit, soil_constants[at.FIELD_CAPACITY] * at.HORIZON_MM[0])
    warmth = day_values[at.RESPONSE_TOP]
    lowest = active[0]
    liking = 0.0
    for c in range(place.shape[0]):
        if place[c] == lowest:
            mass = pools[c, at.SOLUBLE] + pools[c, at.MAIN] + pools[c, at.RESISTANT]
            mass += pools[c, at.BIOMASS] + pools[c, at.PRODUCT]
            liking += constants[c, at.PALATABILITY] * (mass / constants[c, at.CARBON_DENSITY] + pools[c, at.ASH])
    liking /= 1000.0 * sub[lowest, at.MASS]
    eaten = worm_share(worm_intake(record[par.WORM_MASS], share, soil_warmth[0]), liking, sub[lowest, at.MASS])
    distance = 0.0
    for i in range(count):
        j = active[i]
        part = mixed_share(warmth, share, distance + 0.5 * sub[j, at.MASS], record[par.MIXING])
        sub[j, at.GIVE] = min(0.9, part + (eaten if i == 0 else 0.0))
        distance += sub[j, at.MASS]
    for c in range(place.shape[0]):
        if place[c] >= 0:
            part = sub[place[c], at.GIVE]
            cohort_to_soil(pools, c, part, soil_pools, soil_nh4, soil_no3, 0)
            pools[c, at.LAID_MASS] *= 1.0 - part
    for i in range(count):
        j = active[i]
        sub[j, at.MASS] *= 1.0 - sub[j, at.GIVE]
        sub[j, at.COVERING] *= 1.0 - sub[j, at.GIVE]


@step
def soil_pools_step(
    kcb, record, soil_constants, retained_share, soil_pools, soil_water, soil_nh4, soil_no3, soil_warmth, ledger
):
    """Step 10: a day of the soil carbon pools and the nitrogen they free or take."""
    middle = at.HORIZON_MM[1]
    share = relative_water(
        soil_water[1], soil_constants[at.WILTING_POINT] * middle, soil_constants[at.FIELD_CAPACITY] * middle
    )
    modifier = soil_carbon_warmth(0.3 * soil_warmth[0] + 0.7 * soil_warmth[1]) * soil_carbon_moisture(share)
    modifier *= record[par.SOIL_POOL_RATE] * (0.6 if kcb > 0.2 else 1.0)
    step = 1.0 / 365.0
    d_dpm = pool_decay(soil_pools[at.DPM], 10.0, modifier, step)
    d_rpm = pool_decay(soil_pools[at.RPM], 0.3, modifier, step)
    d_bio = pool_decay(soil_pools[at.BIO], 0.66, modifier, step)
    d_hum = pool_decay(soil_pools[at.HUM], 0.02, modifier, step)
    n_dpm = soil_pools[at.DPM_N] * (d_dpm / soil_pools[at.DPM]) if soil_pools[at.DPM] > 0.0 else 0.0
    n_rpm = soil_pools[at.RPM_N] * (d_rpm / soil_pools[at.RPM]) if soil_pools[at.RPM] > 0.0 else 0.0
    lost = d_dpm + d_rpm + d_bio + d_hum
    retained = lost * retained_share
    freed = n_dpm + n_rpm + (d_bio + d_hum) / SOIL_RATIO
    net = freed - retained / SOIL_RATIO
    if net < 0.0:
        reach = 0.5 * (soil_nh4[0] + soil_no3[0] + soil_nh4[1] + soil_no3[1])
        taken = min(-net, reach)
        if taken < -net:
            retained = SOIL_RATIO * (freed + taken)
        if taken > 0.0:
            part = taken / (2.0 * reach)
            for h in range(2):
                soil_nh4[h] -= part * soil_nh4[h]
                soil_no3[h] -= part * soil_no3[h]
    else:
        soil_nh4[0] += 0.2 * net
        soil_nh4[1] += 0.8 * net
    soil_pools[at.DPM] -= d_dpm
    soil_pools[at.DPM_N] -= n_dpm
    soil_pools[at.RPM] -= d_rpm
    soil_pools[at.RPM_N] -= n_rpm
    soil_pools[at.BIO] += 0.46 * retained - d_bio
    soil_pools[at.HUM] += 0.54 * retained - d_hum
    ledger[at.CO2_SOIL] += lost - retained


@step
def feed_crop(want, day, backlog, record, soil_nh4, soil_no3, ledger):
    """Step 11: the crop takes what it wants and can; unmet want is carried for ten days, then lost."""
    slot = day % 10
    ledger[at.UNMET_N] += backlog[slot]
    backlog[slot] = want
    wanted = 0.0
    for k in range(10):
        wanted += backlog[k]
    if wanted <= 0.0:
        return
    reach = 0.0
    for h in range(3):
        reach += reachable_nitrogen(soil_no3[h], soil_nh4[h])
    taken = crop_uptake(wanted, reach, record[par.DAILY_UPTAKE_SHARE])
    if reach > 0.0:
        part = taken / reach
        for h in range(3):
            soil_no3[h] -= 0.9 * part * soil_no3[h]
            soil_nh4[h] -= 0.5 * part * soil_nh4[h]
    ledger[at.CROP_N] += taken
    left = taken
    for k in range(1, 11):
        older = (day + k) % 10
        met = min(left, backlog[older])
        backlog[older] -= met
        left -= met
