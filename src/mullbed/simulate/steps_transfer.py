"""Matter that leaves the layer and joins the soil's pools ([@mullbed_model] eq. 24)."""

from __future__ import annotations

from mullbed.compiled import step
from mullbed.simulate import layout as at

SOIL_RATIO = 9.5  # C:N of soil biomass and humus


@step
def cohort_to_soil(pools, c, share, soil_pools, soil_nh4, soil_no3, horizon):
    """Move a share of one cohort into the soil pools, its nitrogen with it; shortfall is met from RPM."""
    soluble = share * pools[c, at.SOLUBLE]
    main = share * pools[c, at.MAIN]
    resistant = share * pools[c, at.RESISTANT]
    biomass = share * pools[c, at.BIOMASS]
    product = share * pools[c, at.PRODUCT]
    soluble_n = share * pools[c, at.SOLUBLE_N]
    main_n = share * pools[c, at.MAIN_N]
    resistant_n = share * pools[c, at.RESISTANT_N]
    biomass_n = share * pools[c, at.BIOMASS_N]
    product_n = share * pools[c, at.PRODUCT_N]
    free = share * pools[c, at.FREE_N]
    for k in range(at.ASH + 1):
        pools[c, k] -= share * pools[c, k]
    soil_pools[at.DPM] += soluble + 0.59 * main
    soil_pools[at.DPM_N] += soluble_n + 0.59 * main_n
    soil_pools[at.RPM] += 0.41 * main + resistant + 0.4 * product
    soil_pools[at.RPM_N] += 0.41 * main_n + resistant_n + 0.4 * product_n
    has = biomass_n + 0.6 * product_n
    needs = (biomass + 0.6 * product) / SOIL_RATIO
    kept = 1.0
    if has >= needs:
        soil_nh4[horizon] += has - needs
    else:
        short = min(needs - has, soil_pools[at.RPM_N])
        soil_pools[at.RPM_N] -= short
        kept = (has + short) / needs
        soil_pools[at.RPM] += (1.0 - kept) * (biomass + 0.6 * product)
    soil_pools[at.BIO] += kept * biomass
    soil_pools[at.HUM] += kept * 0.6 * product
    soil_nh4[horizon] += 0.7 * free
    soil_no3[horizon] += 0.3 * free
