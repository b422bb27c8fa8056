"""Step 1 of a day: laying, raking off and digging in."""

from __future__ import annotations

from mullbed.compiled import step
from mullbed.processes.ammonia import richness
from mullbed.processes.rate_modifiers import temperature_response
from mullbed.processes.residue_quality import (
    biomass_carbon_to_nitrogen,
    carbon_density,
    laid_ash,
    product_carbon_to_nitrogen,
    quality_factor,
    residue_pools,
    soluble_nitrogen_share,
)
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par


@step
def lay_lift(
    lift,
    cohort_lift,
    cohort_sublayer,
    cohort_part,
    residue,
    draws,
    record,
    pools,
    constants,
    sub,
    place,
    ledger,
    soil_warmth,
):
    """Lay every cohort of one lift, given by its number."""
    mass = draws[lift, at.D_MASS]
    carbon = draws[lift, at.D_CARBON]
    nitrogen = draws[lift, at.D_NITROGEN]
    lignin = draws[lift, at.D_LIGNIN]
    place_rate = record[par.PLACE_RATE] * draws[lift, at.D_RATE]
    soluble, main, resistant = residue_pools(
        nitrogen,
        lignin,
        record[par.SOLUBLE_BASE],
        record[par.SOLUBLE_SLOPE],
        record[par.RESISTANT_BASE],
        record[par.RESISTANT_SLOPE],
    )
    free = soluble_nitrogen_share(nitrogen) + record[par.SOLUBLE_NITROGEN_SHIFT]
    free = min(0.5, max(0.0, free)) if soluble_nitrogen_share(nitrogen) > 0.02 else soluble_nitrogen_share(nitrogen)
    quality = quality_factor(nitrogen, record[par.HALF_EFFECT])
    fresh = residue[lift, at.R_FRESH]
    for c in range(place.shape[0]):
        if cohort_lift[c] != lift:
            continue
        part = cohort_part[c]
        dry = mass * part
        all_carbon = dry * carbon
        all_nitrogen = dry * nitrogen / 100.0
        organic = all_nitrogen * (1.0 - free)
        pools[c, at.SOLUBLE] = all_carbon * soluble
        pools[c, at.MAIN] = all_carbon * main
        pools[c, at.RESISTANT] = all_carbon * resistant
        pools[c, at.SOLUBLE_N] = organic * soluble
        pools[c, at.MAIN_N] = organic * main
        pools[c, at.RESISTANT_N] = organic * resistant
        pools[c, at.FREE_N] = all_nitrogen * free
        for k in range(at.BIOMASS, at.PRODUCT_N + 1):
            pools[c, k] = 0.0
        pools[c, at.ASH] = laid_ash(dry, carbon)
        pools[c, at.AGE] = 0.0
        pools[c, at.DENSITY] = residue[lift, at.R_DENSITY] * record[par.DENSITY_FACTOR]
        pools[c, at.LAID_MASS] = dry
        pools[c, at.LAID_CARBON] = all_carbon
        k_main = record[par.MAIN_RATE] * quality * residue[lift, at.R_SIZE] * place_rate
        k_soluble = record[par.SOLUBLE_RATE] * place_rate
        constants[c, at.K_SOLUBLE] = k_soluble * record[par.SOLUBLE_SURFACE]
        constants[c, at.K_MAIN] = k_main * record[par.MAIN_SURFACE]
        constants[c, at.K_RESISTANT] = record[par.RESISTANT_RATE] * quality**0.5 * place_rate
        constants[c, at.K_BIOMASS] = record[par.BIOMASS_TURNOVER] * place_rate
        constants[c, at.K_REWETTING] = record[par.REWETTING_STRENGTH] * richness(nitrogen)
        constants[c, at.K_PRODUCT] = record[par.PRODUCT_RATE] * place_rate
        shift = record[par.BIOMASS_RATIO_SHIFT]
        constants[c, at.BIOMASS_RATIO] = max(4.0, biomass_carbon_to_nitrogen(nitrogen, 1.0) + shift)
        constants[c, at.BIOMASS_RATIO_BURIED] = max(4.0, biomass_carbon_to_nitrogen(nitrogen, 0.0) + shift)
        shift = record[par.PRODUCT_RATIO_SHIFT]
        constants[c, at.PRODUCT_RATIO] = max(5.0, product_carbon_to_nitrogen(nitrogen, 1.0) + shift)
        constants[c, at.PRODUCT_RATIO_BURIED] = max(5.0, product_carbon_to_nitrogen(nitrogen, 0.0) + shift)
        constants[c, at.CARBON_DENSITY] = carbon_density(carbon)
        constants[c, at.OPENNESS] = record[par.FRESH_OPENNESS] if fresh > 0.5 else 1.0
        constants[c, at.INTERCEPTION] = residue[lift, at.R_INTERCEPTION] * record[par.INTERCEPTION_FACTOR]
        constants[c, at.HOLDING] = residue[lift, at.R_HOLDING] * record[par.STORAGE_FACTOR]
        constants[c, at.LAID_DENSITY] = residue[lift, at.R_DENSITY] * record[par.DENSITY_FACTOR]
        constants[c, at.PALATABILITY] = residue[lift, at.R_PALATABILITY]
        constants[c, at.K_SOLUBLE_BURIED] = k_soluble
        constants[c, at.K_MAIN_BURIED] = k_main
        j = cohort_sublayer[c]
        place[c] = j
        tissue = residue[lift, at.R_TISSUE] * dry / 1000.0
        free_water = residue[lift, at.R_FREE_WATER] * dry / 1000.0
        sub[j, at.TISSUE] += tissue
        sub[j, at.WATER] += free_water
        sub[j, at.WARMTH] = soil_warmth
        sub[j, at.RESPONSE] = temperature_response(soil_warmth, record[par.WARMTH_EXPONENT])
        ledger[at.LAID_C] += all_carbon
        ledger[at.LAID_N] += all_nitrogen
        ledger[at.LAID_WATER] += tissue + free_water


@step
def rake_off(share, pools, sub, place, ledger):
    """Take a share of everything that lies on the bed away."""
    for c in range(pools.shape[0]):
        if place[c] < 0:
            continue
        for k in range(at.ASH + 1):
            taken = share * pools[c, k]
            pools[c, k] -= taken
            if k in (at.SOLUBLE, at.MAIN, at.RESISTANT, at.BIOMASS, at.PRODUCT):
                ledger[at.REMOVED_C] += taken
            elif k != at.ASH:
                ledger[at.REMOVED_N] += taken
        pools[c, at.LAID_MASS] *= 1.0 - share
        pools[c, at.LAID_CARBON] *= 1.0 - share
    for j in range(sub.shape[0]):
        for k in (at.AMMONIUM, at.NITRATE):
            ledger[at.REMOVED_N] += share * sub[j, k]
            sub[j, k] -= share * sub[j, k]
        for k in (at.WATER, at.TISSUE):
            ledger[at.REMOVED_WATER] += share * sub[j, k]
            sub[j, k] -= share * sub[j, k]


@step
def dig_in(depth, pools, buried, sub, place, soil_water, soil_nh4, soil_no3):
    """Dig everything that lies on the bed in to a depth, spread evenly over the horizons it reaches.

    ``depth`` [m]. Layer water goes to 0-5 cm, layer mineral nitrogen goes with the cohorts.
    """
    top = 0.0
    reach = max(10.0, min(600.0, depth * 1000.0))
    for h in range(3):
        share = max(0.0, min(reach, top + at.HORIZON_MM[h]) - top) / reach
        top += at.HORIZON_MM[h]
        if share <= 0.0:
            continue
        for c in range(pools.shape[0]):
            if place[c] < 0:
                continue
            row = 3 * c + h
            for k in range(at.ASH + 1):
                buried[row, k] += share * pools[c, k]
            buried[row, at.LAID_CARBON] += share * pools[c, at.LAID_CARBON]
        for j in range(sub.shape[0]):
            soil_nh4[h] += share * sub[j, at.AMMONIUM]
            soil_no3[h] += share * sub[j, at.NITRATE]
    for c in range(pools.shape[0]):
        if place[c] >= 0:
            for k in range(at.COHORT_POOLS):
                pools[c, k] = 0.0
            place[c] = -1
    for j in range(sub.shape[0]):
        soil_water[0] += sub[j, at.WATER] + sub[j, at.TISSUE]
        for k in (at.AMMONIUM, at.NITRATE, at.WATER, at.TISSUE):
            sub[j, k] = 0.0
