"""Steps 5-7 for one cohort, in a layer or in the soil: flows as they would be, then as nitrogen lets them be."""

from __future__ import annotations

from mullbed.compiled import step
from mullbed.processes.decomposition import carbon_dioxide
from mullbed.simulate import parameters as par
from mullbed.simulate.rows import (
    BIOMASS,
    BIOMASS_N,
    F_BIOMASS,
    F_BIOMASS_N,
    F_FREED,
    F_GIVEN,
    F_MAIN,
    F_MAIN_N,
    F_PRODUCT,
    F_PRODUCT_N,
    F_RESISTANT,
    F_RESISTANT_N,
    F_SOLUBLE,
    F_SOLUBLE_N,
    F_TURNED,
    F_UPTAKE,
    FREE_N,
    LANES,
    MAIN,
    MAIN_N,
    PRODUCT,
    PRODUCT_N,
    RECORD,
    RESISTANT,
    RESISTANT_N,
    SOLUBLE,
    SOLUBLE_N,
)
from mullbed.simulate.steps_cohort import lost_shares, met_flows, wanted_flows


@step
def carbon_in(cohort, lane):
    """Return the carbon of a cohort. [g m-2]"""
    fresh = cohort[SOLUBLE + lane] + cohort[MAIN + lane] + cohort[RESISTANT + lane]
    return fresh + cohort[BIOMASS + lane] + cohort[PRODUCT + lane]


@step
def nitrogen_in(cohort, lane):
    """Return the nitrogen of a cohort, soluble nitrogen of its tissue included. [g m-2]"""
    fresh = cohort[SOLUBLE_N + lane] + cohort[MAIN_N + lane] + cohort[RESISTANT_N + lane]
    return fresh + cohort[BIOMASS_N + lane] + cohort[PRODUCT_N + lane] + cohort[FREE_N + lane]


@step
def lowest_pool(cohort, lane):
    """Return the smallest pool of a cohort. [g m-2]"""
    carbon = min(min(cohort[SOLUBLE + lane], cohort[MAIN + lane]), cohort[RESISTANT + lane])
    living = min(min(cohort[BIOMASS + lane], cohort[BIOMASS_N + lane]), cohort[PRODUCT + lane])
    nitrogen = min(min(cohort[SOLUBLE_N + lane], cohort[MAIN_N + lane]), cohort[RESISTANT_N + lane])
    return min(min(carbon, living), min(nitrogen, min(cohort[PRODUCT_N + lane], cohort[FREE_N + lane])))


@step
def begin_flows(
    cohort,
    lane,
    k_soluble,
    k_main,
    k_resistant,
    k_biomass,
    k_product,
    ratio,
    product_ratio,
    modifier,
    rewetting,
    column,
):
    """Step 5 for one cohort: losses, uptake; returns what it would give (or take, below zero) with enough nitrogen."""
    of_soluble, of_main, of_resistant, of_biomass, of_product = lost_shares(
        k_soluble, k_main, k_resistant, k_biomass, k_product, modifier, rewetting
    )
    d_soluble = cohort[SOLUBLE + lane] * of_soluble
    d_main = cohort[MAIN + lane] * of_main
    d_resistant = cohort[RESISTANT + lane] * of_resistant
    d_biomass = cohort[BIOMASS + lane] * of_biomass
    n_soluble = cohort[SOLUBLE_N + lane] * of_soluble
    n_main = cohort[MAIN_N + lane] * of_main
    n_resistant = cohort[RESISTANT_N + lane] * of_resistant
    n_biomass = cohort[BIOMASS_N + lane] * of_biomass
    n_product = cohort[PRODUCT_N + lane] * of_product
    freed = n_soluble + n_main + n_resistant
    uptake, turned, given = wanted_flows(
        d_soluble,
        d_main,
        d_resistant,
        d_biomass,
        freed,
        n_biomass,
        n_product,
        ratio,
        product_ratio,
        column[RECORD + LANES * par.EFFICIENCY + lane],
        column[RECORD + LANES * par.RESISTANT_EFFICIENCY + lane],
        column[RECORD + LANES * par.PRODUCT_SHARE + lane],
    )
    cohort[F_SOLUBLE + lane] = d_soluble
    cohort[F_MAIN + lane] = d_main
    cohort[F_RESISTANT + lane] = d_resistant
    cohort[F_BIOMASS + lane] = d_biomass
    cohort[F_PRODUCT + lane] = cohort[PRODUCT + lane] * of_product
    cohort[F_UPTAKE + lane] = uptake
    cohort[F_FREED + lane] = freed
    cohort[F_TURNED + lane] = turned
    cohort[F_GIVEN + lane] = given
    cohort[F_SOLUBLE_N + lane] = n_soluble
    cohort[F_MAIN_N + lane] = n_main
    cohort[F_RESISTANT_N + lane] = n_resistant
    cohort[F_BIOMASS_N + lane] = n_biomass
    cohort[F_PRODUCT_N + lane] = n_product
    return given


@step
def finish_flows(cohort, lane, ratio_met, product_ratio, product_share):
    """Steps 6-7 for one cohort: slow where nitrogen is short, update the pools.

    Returns the carbon respired, the nitrogen really taken from outside, the nitrogen really given (a taker gives
    nothing) and by how much a law of direction was broken.
    """
    given = cohort[F_GIVEN + lane]
    share, taken, new_nitrogen = met_flows(
        given, cohort[F_UPTAKE + lane], cohort[F_FREED + lane], cohort[F_TURNED + lane], ratio_met
    )
    d_soluble = share * cohort[F_SOLUBLE + lane]
    d_main = share * cohort[F_MAIN + lane]
    d_resistant = share * cohort[F_RESISTANT + lane]
    uptake = share * cohort[F_UPTAKE + lane]
    d_biomass = cohort[F_BIOMASS + lane]
    d_product = cohort[F_PRODUCT + lane]
    n_biomass = cohort[F_BIOMASS_N + lane]
    made = product_share * d_biomass
    before = carbon_in(cohort, lane)
    cohort[SOLUBLE_N + lane] -= share * cohort[F_SOLUBLE_N + lane]
    cohort[MAIN_N + lane] -= share * cohort[F_MAIN_N + lane]
    cohort[RESISTANT_N + lane] -= share * cohort[F_RESISTANT_N + lane]
    cohort[SOLUBLE + lane] -= d_soluble
    cohort[MAIN + lane] -= d_main
    cohort[RESISTANT + lane] -= d_resistant
    cohort[BIOMASS + lane] += uptake - d_biomass
    cohort[BIOMASS_N + lane] += new_nitrogen - n_biomass
    cohort[PRODUCT + lane] += made - d_product
    cohort[PRODUCT_N + lane] += min(made / product_ratio, n_biomass) - cohort[F_PRODUCT_N + lane]
    respired = carbon_dioxide(d_soluble + d_main + d_resistant, uptake, d_biomass, d_product, product_share)
    really_given = max(0.0, given)
    broken = max(really_given, -taken) if given < 0.0 else 0.0
    broken = max(broken, carbon_in(cohort, lane) - before - 1e-9)
    return respired, taken, really_given, broken
