"""Step 1 of a day: laying, raking off, digging in and feeding; and sublayers too thin to stand alone."""

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
from mullbed.simulate.rows import (
    AGE,
    AMMONIUM,
    ASH,
    BIOMASS,
    BIOMASS_N,
    BIOMASS_RATIO,
    BIOMASS_RATIO_BURIED,
    CARBON_DENSITY,
    COVERING,
    DENSITY,
    FREE_N,
    FRESH,
    HEAD,
    HOLDING,
    INTERCEPTION,
    K_BIOMASS,
    K_MAIN,
    K_MAIN_BURIED,
    K_PRODUCT,
    K_RESISTANT,
    K_REWETTING,
    K_SOLUBLE,
    K_SOLUBLE_BURIED,
    LAID_CARBON,
    LAID_DENSITY,
    LAID_MASS,
    LANES,
    LEDGER,
    LOT,
    MAIN,
    MAIN_N,
    MASS,
    NITRATE,
    OPENNESS,
    OVER,
    OVER_AMMONIUM,
    OVER_NITRATE,
    OVER_TISSUE,
    PALATABILITY,
    PRODUCT,
    PRODUCT_N,
    PRODUCT_RATIO,
    PRODUCT_RATIO_BURIED,
    RECORD,
    RESISTANT,
    RESISTANT_N,
    RESPONSE,
    RPM,
    RPM_N,
    SOIL_AMMONIUM,
    SOIL_NITRATE,
    SOIL_WARMTH,
    SOIL_WATER,
    SOLUBLE,
    SOLUBLE_N,
    SUM_TISSUE,
    SUM_WATER,
    TISSUE,
    WARMTH,
    WATER,
)
from mullbed.simulate.steps_transfer import cohort_to_soil

SMALLEST = 0.02  # a sublayer below this merges downward [kg m-2]


@step
def lay_cohort(part, residue, slot, column):
    """Lay one cohort, ``part`` of its lift; the lift's draws stand in ``LOT``, its constants in ``residue``."""
    fresh = residue[at.R_FRESH] > 0.5
    tissue_per_kg = residue[at.R_TISSUE]
    water_per_kg = residue[at.R_FREE_WATER]
    size = residue[at.R_SIZE]
    density = residue[at.R_DENSITY]
    palatability = residue[at.R_PALATABILITY]
    interception = residue[at.R_INTERCEPTION]
    holding = residue[at.R_HOLDING]
    for lane in range(LANES):
        carbon = column[LOT + LANES * at.D_CARBON + lane]
        nitrogen = column[LOT + LANES * at.D_NITROGEN + lane]
        place_rate = column[RECORD + LANES * par.PLACE_RATE + lane] * column[LOT + LANES * at.D_RATE + lane]
        soluble, main, resistant = residue_pools(
            nitrogen,
            column[LOT + LANES * at.D_LIGNIN + lane],
            column[RECORD + LANES * par.SOLUBLE_BASE + lane],
            column[RECORD + LANES * par.SOLUBLE_SLOPE + lane],
            column[RECORD + LANES * par.RESISTANT_BASE + lane],
            column[RECORD + LANES * par.RESISTANT_SLOPE + lane],
        )
        usual = soluble_nitrogen_share(nitrogen)
        shifted = min(0.5, max(0.0, usual + column[RECORD + LANES * par.SOLUBLE_NITROGEN_SHIFT + lane]))
        free = shifted if usual > 0.02 else usual
        quality = quality_factor(nitrogen, column[RECORD + LANES * par.HALF_EFFECT + lane])
        dry = column[LOT + LANES * at.D_MASS + lane] * part
        all_carbon = dry * carbon
        all_nitrogen = dry * nitrogen / 100.0
        organic = all_nitrogen * (1.0 - free)
        slot[SOLUBLE + lane] = all_carbon * soluble
        slot[MAIN + lane] = all_carbon * main
        slot[RESISTANT + lane] = all_carbon * resistant
        slot[SOLUBLE_N + lane] = organic * soluble
        slot[MAIN_N + lane] = organic * main
        slot[RESISTANT_N + lane] = organic * resistant
        slot[FREE_N + lane] = all_nitrogen * free
        slot[BIOMASS + lane] = 0.0
        slot[BIOMASS_N + lane] = 0.0
        slot[PRODUCT + lane] = 0.0
        slot[PRODUCT_N + lane] = 0.0
        slot[ASH + lane] = laid_ash(dry, carbon)
        slot[AGE + lane] = 0.0
        laid_density = density * column[RECORD + LANES * par.DENSITY_FACTOR + lane]
        slot[DENSITY + lane] = laid_density
        slot[LAID_MASS + lane] = dry
        slot[LAID_CARBON + lane] = all_carbon
        k_main = column[RECORD + LANES * par.MAIN_RATE + lane] * quality * size * place_rate
        k_soluble = column[RECORD + LANES * par.SOLUBLE_RATE + lane] * place_rate
        slot[K_SOLUBLE + lane] = k_soluble * column[RECORD + LANES * par.SOLUBLE_SURFACE + lane]
        slot[K_MAIN + lane] = k_main * column[RECORD + LANES * par.MAIN_SURFACE + lane]
        slot[K_RESISTANT + lane] = column[RECORD + LANES * par.RESISTANT_RATE + lane] * quality**0.5 * place_rate
        slot[K_BIOMASS + lane] = column[RECORD + LANES * par.BIOMASS_TURNOVER + lane] * place_rate
        slot[K_REWETTING + lane] = column[RECORD + LANES * par.REWETTING_STRENGTH + lane] * richness(nitrogen)
        slot[K_PRODUCT + lane] = column[RECORD + LANES * par.PRODUCT_RATE + lane] * place_rate
        shift = column[RECORD + LANES * par.BIOMASS_RATIO_SHIFT + lane]
        slot[BIOMASS_RATIO + lane] = max(4.0, biomass_carbon_to_nitrogen(nitrogen, 1.0) + shift)
        slot[BIOMASS_RATIO_BURIED + lane] = max(4.0, biomass_carbon_to_nitrogen(nitrogen, 0.0) + shift)
        shift = column[RECORD + LANES * par.PRODUCT_RATIO_SHIFT + lane]
        slot[PRODUCT_RATIO + lane] = max(5.0, product_carbon_to_nitrogen(nitrogen, 1.0) + shift)
        slot[PRODUCT_RATIO_BURIED + lane] = max(5.0, product_carbon_to_nitrogen(nitrogen, 0.0) + shift)
        slot[CARBON_DENSITY + lane] = carbon_density(carbon)
        slot[OPENNESS + lane] = column[RECORD + LANES * par.FRESH_OPENNESS + lane] if fresh else 1.0
        slot[INTERCEPTION + lane] = interception * column[RECORD + LANES * par.INTERCEPTION_FACTOR + lane]
        slot[HOLDING + lane] = holding * column[RECORD + LANES * par.STORAGE_FACTOR + lane]
        slot[LAID_DENSITY + lane] = laid_density
        slot[PALATABILITY + lane] = palatability
        slot[K_SOLUBLE_BURIED + lane] = k_soluble
        slot[K_MAIN_BURIED + lane] = k_main
        tissue = tissue_per_kg * dry / 1000.0
        water = water_per_kg * dry / 1000.0
        column[SUM_TISSUE + lane] += tissue
        column[SUM_WATER + lane] += water
        column[LEDGER + LANES * at.LAID_C + lane] += all_carbon
        column[LEDGER + LANES * at.LAID_N + lane] += all_nitrogen
        column[LEDGER + LANES * at.LAID_WATER + lane] += tissue + water


@step
def begin_laying(column):
    """Forget the water of cohorts laid before."""
    for lane in range(LANES):
        column[SUM_TISSUE + lane] = 0.0
        column[SUM_WATER + lane] = 0.0


@step
def lay_sublayer(slot, column):
    """Make a slot the head of a sublayer, with the water of the cohorts laid in it, as warm as the soil."""
    for lane in range(LANES):
        warmth = column[SOIL_WARMTH + lane]
        slot[HEAD + lane] = 1.0
        slot[TISSUE + lane] += column[SUM_TISSUE + lane]
        slot[WATER + lane] += column[SUM_WATER + lane]
        slot[WARMTH + lane] = warmth
        slot[RESPONSE + lane] = temperature_response(warmth, column[RECORD + LANES * par.WARMTH_EXPONENT + lane])
        column[SUM_TISSUE + lane] = 0.0
        column[SUM_WATER + lane] = 0.0


@step
def feed(values, column):
    """Give mineral nitrogen and compost."""
    ammonium = values[0]
    nitrate = values[1]
    carbon = values[2]
    nitrogen = values[3]
    for lane in range(LANES):
        column[SOIL_AMMONIUM + lane] += ammonium
        column[SOIL_NITRATE + lane] += nitrate
        column[RPM + lane] += carbon
        column[RPM_N + lane] += nitrogen
        column[LEDGER + LANES * at.FED_N + lane] += ammonium + nitrate + nitrogen
        column[LEDGER + LANES * at.LAID_C + lane] += carbon


@step
def rake_off(share, slot, column):
    """Take a share of everything in one slot away."""
    stays = 1.0 - share
    for lane in range(LANES):
        carbon = slot[SOLUBLE + lane] + slot[MAIN + lane] + slot[RESISTANT + lane]
        carbon += slot[BIOMASS + lane] + slot[PRODUCT + lane]
        nitrogen = slot[SOLUBLE_N + lane] + slot[MAIN_N + lane] + slot[RESISTANT_N + lane]
        nitrogen += slot[BIOMASS_N + lane] + slot[PRODUCT_N + lane] + slot[FREE_N + lane]
        nitrogen += slot[AMMONIUM + lane] + slot[NITRATE + lane]
        column[LEDGER + LANES * at.REMOVED_C + lane] += share * carbon
        column[LEDGER + LANES * at.REMOVED_N + lane] += share * nitrogen
        column[LEDGER + LANES * at.REMOVED_WATER + lane] += share * (slot[WATER + lane] + slot[TISSUE + lane])
        for k in range(SOLUBLE, AGE, LANES):
            slot[k + lane] *= stays
        slot[LAID_MASS + lane] *= stays
        slot[LAID_CARBON + lane] *= stays
        slot[AMMONIUM + lane] *= stays
        slot[NITRATE + lane] *= stays
        slot[WATER + lane] *= stays
        slot[TISSUE + lane] *= stays


@step
def bury(horizon, share, slot, cohort, column):
    """Add a share of one slot to what is dug in to a horizon."""
    place = horizon * LANES
    for lane in range(LANES):
        for k in range(SOLUBLE, AGE, LANES):
            cohort[k + lane] += share * slot[k + lane]
        cohort[LAID_CARBON + lane] += share * slot[LAID_CARBON + lane]
        column[SOIL_AMMONIUM + place + lane] += share * slot[AMMONIUM + lane]
        column[SOIL_NITRATE + place + lane] += share * slot[NITRATE + lane]


@step
def empty(slot, column):
    """Leave nothing in a slot; its water goes to 0-5 cm."""
    for lane in range(LANES):
        column[SOIL_WATER + lane] += slot[WATER + lane] + slot[TISSUE + lane]
        for k in range(SOLUBLE, AGE, LANES):
            slot[k + lane] = 0.0
        slot[LAID_MASS + lane] = 0.0
        slot[LAID_CARBON + lane] = 0.0
        slot[HEAD + lane] = 0.0
        slot[MASS + lane] = 0.0
        slot[COVERING + lane] = 0.0
        slot[WATER + lane] = 0.0
        slot[TISSUE + lane] = 0.0
        slot[AMMONIUM + lane] = 0.0
        slot[NITRATE + lane] = 0.0


@step
def begin_merging(column):
    """Forget what fell from sublayers too thin before."""
    for lane in range(LANES):
        column[OVER + lane] = 0.0
        column[OVER_TISSUE + lane] = 0.0
        column[OVER_AMMONIUM + lane] = 0.0
        column[OVER_NITRATE + lane] = 0.0


@step
def merge_thin(slot, column):
    """From the top down: a sublayer below 20 g stops being one, its water and nitrogen go to the next below."""
    for lane in range(LANES):
        head = slot[HEAD + lane] > 0.0 and slot[MASS + lane] >= SMALLEST
        water = slot[WATER + lane] + column[OVER + lane]
        tissue = slot[TISSUE + lane] + column[OVER_TISSUE + lane]
        ammonium = slot[AMMONIUM + lane] + column[OVER_AMMONIUM + lane]
        nitrate = slot[NITRATE + lane] + column[OVER_NITRATE + lane]
        slot[HEAD + lane] = 1.0 if head else 0.0
        slot[WATER + lane] = water if head else 0.0
        slot[TISSUE + lane] = tissue if head else 0.0
        slot[AMMONIUM + lane] = ammonium if head else 0.0
        slot[NITRATE + lane] = nitrate if head else 0.0
        column[OVER + lane] = 0.0 if head else water
        column[OVER_TISSUE + lane] = 0.0 if head else tissue
        column[OVER_AMMONIUM + lane] = 0.0 if head else ammonium
        column[OVER_NITRATE + lane] = 0.0 if head else nitrate


@step
def drop_on_soil(column):
    """Give the soil what no sublayer held, and begin to look upward for the first that stands."""
    for lane in range(LANES):
        ammonium = column[OVER_AMMONIUM + lane]
        nitrate = column[OVER_NITRATE + lane]
        column[SOIL_WATER + lane] += column[OVER + lane] + column[OVER_TISSUE + lane]
        column[SOIL_AMMONIUM + lane] += ammonium
        column[SOIL_NITRATE + lane] += nitrate
        column[LEDGER + LANES * at.DIRECT_N + lane] += ammonium + nitrate
        column[FRESH + lane] = 1.0


@step
def join_soil(slot, column):
    """From the soil up: a cohort with no sublayer at or below it joins the soil."""
    for lane in range(LANES):
        bare = column[FRESH + lane] > 0.0 and slot[HEAD + lane] <= 0.0
        cohort_to_soil(slot, column, lane, 1.0 if bare else 0.0, SOIL_AMMONIUM, SOIL_NITRATE)
        column[FRESH + lane] = 1.0 if bare else 0.0
