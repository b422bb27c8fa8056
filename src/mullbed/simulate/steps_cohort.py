"""Steps 5-7 for one cohort: what it would lose, give or take, and what it does with the nitrogen it gets.

Plain numbers in and out; the day loop works on rows of members, :mod:`mullbed.evidence` on single litters.
"""

from __future__ import annotations

from mullbed.compiled import step
from mullbed.processes.decomposition import biomass_turnover, carbon_dioxide, carbon_uptake, daily_loss
from mullbed.processes.mineralisation import given_nitrogen, slowed_share, turnover_nitrogen
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par

POOREST = 30.0  # highest C:N of new biomass


@step
def lost_shares(k_soluble, k_main, k_resistant, k_biomass, k_product, modifier, rewetting):
    """Return the share every pool loses today; its nitrogen loses the same share. [1]"""
    return (
        daily_loss(1.0, k_soluble, modifier),
        daily_loss(1.0, k_main, modifier),
        daily_loss(1.0, k_resistant, modifier),
        biomass_turnover(1.0, k_biomass, modifier, rewetting),
        daily_loss(1.0, k_product, modifier),
    )


@step
def wanted_flows(
    d_soluble,
    d_main,
    d_resistant,
    d_biomass,
    freed,
    n_biomass,
    n_product,
    ratio,
    product_ratio,
    efficiency,
    resistant_efficiency,
    product_share,
):
    """Return uptake, nitrogen of turnover and what the cohort would give (take, below zero) with enough nitrogen."""
    uptake = carbon_uptake(d_soluble, d_main, d_resistant, efficiency, resistant_efficiency)
    turned = turnover_nitrogen(n_biomass, d_biomass, n_product, product_share, product_ratio)
    return uptake, turned, given_nitrogen(freed, turned, uptake / ratio)


@step
def met_flows(given, uptake, freed, turned, ratio_met):
    """Return how far residue is slowed, nitrogen taken from outside and nitrogen of new biomass."""
    giver = given >= 0.0
    taken = 0.0 if giver else ratio_met * (-given)
    slowed = slowed_share(freed, turned, taken, uptake, POOREST)
    share = 1.0 if giver or ratio_met >= 1.0 else slowed
    return share, taken, freed + turned - given if giver else share * freed + turned + taken


@step
def organic_carbon(pools, c):
    """Return the carbon of a cohort. [g m-2]"""
    fresh = pools[c, at.SOLUBLE] + pools[c, at.MAIN] + pools[c, at.RESISTANT]
    return fresh + pools[c, at.BIOMASS] + pools[c, at.PRODUCT]


@step
def potential_flows(
    pools,
    flows,
    c,
    k_soluble,
    k_main,
    k_resistant,
    k_biomass,
    k_product,
    ratio,
    product_ratio,
    modifier,
    rewetting,
    record,
):
    """Step 5 for cohort ``c`` of arrays (cohorts, columns): losses, uptake, what it would give or take."""
    of_soluble, of_main, of_resistant, of_biomass, of_product = lost_shares(
        k_soluble, k_main, k_resistant, k_biomass, k_product, modifier, rewetting
    )
    d_soluble = pools[c, at.SOLUBLE] * of_soluble
    d_main = pools[c, at.MAIN] * of_main
    d_resistant = pools[c, at.RESISTANT] * of_resistant
    d_biomass = pools[c, at.BIOMASS] * of_biomass
    n_soluble = pools[c, at.SOLUBLE_N] * of_soluble
    n_main = pools[c, at.MAIN_N] * of_main
    n_resistant = pools[c, at.RESISTANT_N] * of_resistant
    n_biomass = pools[c, at.BIOMASS_N] * of_biomass
    n_product = pools[c, at.PRODUCT_N] * of_product
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
        record[par.EFFICIENCY],
        record[par.RESISTANT_EFFICIENCY],
        record[par.PRODUCT_SHARE],
    )
    flows[c, at.F_SOLUBLE] = d_soluble
    flows[c, at.F_MAIN] = d_main
    flows[c, at.F_RESISTANT] = d_resistant
    flows[c, at.F_BIOMASS] = d_biomass
    flows[c, at.F_PRODUCT] = pools[c, at.PRODUCT] * of_product
    flows[c, at.F_UPTAKE] = uptake
    flows[c, at.F_FREED] = freed
    flows[c, at.F_TURNED] = turned
    flows[c, at.F_GIVEN] = given
    flows[c, at.F_SOLUBLE_N] = n_soluble
    flows[c, at.F_MAIN_N] = n_main
    flows[c, at.F_RESISTANT_N] = n_resistant
    flows[c, at.F_BIOMASS_N] = n_biomass
    flows[c, at.F_PRODUCT_N] = n_product


@step
def apply_flows(pools, flows, c, ratio_met, product_ratio, record):
    """Steps 6-7 for cohort ``c`` of arrays (cohorts, columns): slow where nitrogen is short, update the pools.

    Returns the carbon respired, the nitrogen really taken from outside and the nitrogen really given; a taker
    gives nothing.
    """
    given = flows[c, at.F_GIVEN]
    share, taken, new_nitrogen = met_flows(
        given, flows[c, at.F_UPTAKE], flows[c, at.F_FREED], flows[c, at.F_TURNED], ratio_met
    )
    d_soluble = share * flows[c, at.F_SOLUBLE]
    d_main = share * flows[c, at.F_MAIN]
    d_resistant = share * flows[c, at.F_RESISTANT]
    uptake = share * flows[c, at.F_UPTAKE]
    d_biomass = flows[c, at.F_BIOMASS]
    d_product = flows[c, at.F_PRODUCT]
    n_biomass = flows[c, at.F_BIOMASS_N]
    made = record[par.PRODUCT_SHARE] * d_biomass
    pools[c, at.SOLUBLE_N] -= share * flows[c, at.F_SOLUBLE_N]
    pools[c, at.MAIN_N] -= share * flows[c, at.F_MAIN_N]
    pools[c, at.RESISTANT_N] -= share * flows[c, at.F_RESISTANT_N]
    pools[c, at.SOLUBLE] -= d_soluble
    pools[c, at.MAIN] -= d_main
    pools[c, at.RESISTANT] -= d_resistant
    pools[c, at.BIOMASS] += uptake - d_biomass
    pools[c, at.BIOMASS_N] += new_nitrogen - n_biomass
    pools[c, at.PRODUCT] += made - d_product
    pools[c, at.PRODUCT_N] += min(made / product_ratio, n_biomass) - flows[c, at.F_PRODUCT_N]
    lost = d_soluble + d_main + d_resistant
    respired = carbon_dioxide(lost, uptake, d_biomass, d_product, record[par.PRODUCT_SHARE])
    return respired, taken, max(0.0, given)
