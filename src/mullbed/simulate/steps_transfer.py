"""Matter that leaves the layer and joins the soil's pools ([@mullbed_model] eq. 24)."""

from __future__ import annotations

from mullbed.compiled import step
from mullbed.simulate.rows import (
    ASH,
    BIO,
    BIOMASS,
    BIOMASS_N,
    DPM,
    DPM_N,
    FREE_N,
    HUM,
    MAIN,
    MAIN_N,
    PRODUCT,
    PRODUCT_N,
    RESISTANT,
    RESISTANT_N,
    RPM,
    RPM_N,
    SOLUBLE,
    SOLUBLE_N,
)

SOIL_RATIO = 9.5  # C:N of soil biomass and humus


@step
def cohort_to_soil(cohort, column, lane, share, ammonium, nitrate):
    """Move a share of one cohort into the soil pools, its nitrogen with it; shortfall is met from RPM.

    ``ammonium`` and ``nitrate`` name the rows that take the mineral nitrogen.
    """
    main = share * cohort[MAIN + lane]
    biomass = share * cohort[BIOMASS + lane]
    product = share * cohort[PRODUCT + lane]
    main_n = share * cohort[MAIN_N + lane]
    product_n = share * cohort[PRODUCT_N + lane]
    free = share * cohort[FREE_N + lane]
    has = share * cohort[BIOMASS_N + lane] + 0.6 * product_n
    needs = (biomass + 0.6 * product) / SOIL_RATIO
    column[DPM + lane] += share * cohort[SOLUBLE + lane] + 0.59 * main
    column[DPM_N + lane] += share * cohort[SOLUBLE_N + lane] + 0.59 * main_n
    rpm_n = column[RPM_N + lane] + 0.41 * main_n + share * cohort[RESISTANT_N + lane] + 0.4 * product_n
    short = min(max(needs - has, 0.0), rpm_n)
    kept = 1.0 if has >= needs else (has + short) / needs
    column[RPM_N + lane] = rpm_n - short
    column[RPM + lane] += (
        0.41 * main + share * cohort[RESISTANT + lane] + 0.4 * product + (1.0 - kept) * (biomass + 0.6 * product)
    )
    column[BIO + lane] += kept * biomass
    column[HUM + lane] += kept * 0.6 * product
    column[ammonium + lane] += max(has - needs, 0.0) + 0.7 * free
    column[nitrate + lane] += 0.3 * free
    stays = 1.0 - share
    cohort[SOLUBLE + lane] *= stays
    cohort[MAIN + lane] *= stays
    cohort[RESISTANT + lane] *= stays
    cohort[SOLUBLE_N + lane] *= stays
    cohort[MAIN_N + lane] *= stays
    cohort[RESISTANT_N + lane] *= stays
    cohort[BIOMASS + lane] *= stays
    cohort[BIOMASS_N + lane] *= stays
    cohort[PRODUCT + lane] *= stays
    cohort[PRODUCT_N + lane] *= stays
    cohort[FREE_N + lane] *= stays
    cohort[ASH + lane] *= stays
