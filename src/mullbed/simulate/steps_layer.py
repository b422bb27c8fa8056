"""Steps 5-8 and 12 of a day in the layer: decay, nitrogen settlement, spreading, losses, thickness.

Five passes over the slots, up or down the stack. What a cohort must know of its sublayer goes up from the head
(rows ``NOW_...``); what a sublayer must know of its cohorts comes down to the head (rows ``SUM_...``).
"""

from __future__ import annotations

from mullbed.compiled import step
from mullbed.processes.ammonia import alkaline_share, competing_losses, richness, trap_strength, volatilisation_rate
from mullbed.processes.decomposition import carbon_dioxide, rewetting_turnover
from mullbed.processes.exchange import exchange_coefficient
from mullbed.processes.fauna import mixed_share, worm_intake, worm_share
from mullbed.processes.leaching import washed_out_share
from mullbed.processes.mineralisation import soluble_release_opening, soluble_release_share, supply_ratio
from mullbed.processes.nitrification import layer_nitrification_rate, nitrous_oxide_of_nitrification
from mullbed.processes.rate_modifiers import layer_moisture_response, relative_water, wetness
from mullbed.processes.settling import lift_thickness, settled_density
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par
from mullbed.simulate.rows import (
    ABOVE_AMMONIUM,
    ABOVE_DIAGONAL,
    ABOVE_MASS,
    ABOVE_NITRATE,
    AGE,
    AGE_MEAN,
    ALL_CARBON,
    ALL_COVERING,
    ALL_MASS,
    ALL_MINERAL,
    ALL_MODIFIER,
    ALL_NITROGEN,
    ALL_WATER,
    AMMONIUM,
    ASH,
    BELOW,
    BIOMASS,
    BIOMASS_N,
    BIOMASS_RATIO,
    CARBON_DENSITY,
    CHANGED,
    CONCENTRATION_AMMONIUM,
    CONCENTRATION_NITRATE,
    COVERING,
    DENSITY,
    DPM,
    DPM_N,
    EATEN_SHARE,
    F_BIOMASS,
    F_BIOMASS_N,
    F_FREED,
    F_GIVEN,
    F_MAIN,
    F_MAIN_N,
    F_PRODUCT,
    F_PRODUCT_N,
    F_RELEASED,
    F_RESISTANT,
    F_RESISTANT_N,
    F_SOLUBLE,
    F_SOLUBLE_N,
    F_TURNED,
    F_UPTAKE,
    FREE_N,
    FRESH,
    GAVE,
    GOT_AMMONIUM,
    GOT_NITRATE,
    HEAD,
    HOLD,
    HOLDING,
    INTERCEPTION,
    K_BIOMASS,
    K_MAIN,
    K_PRODUCT,
    K_RESISTANT,
    K_REWETTING,
    K_SOLUBLE,
    LAID_DENSITY,
    LAID_MASS,
    LANES,
    LEAST,
    LEDGER,
    LIKING,
    LOWEST_MASS,
    MAIN,
    MAIN_N,
    MASS,
    MASS_BEFORE,
    MIXED_AMMONIUM,
    MIXED_NITRATE,
    MIXED_SHARE,
    MODIFIER,
    NITRATE,
    NOW_GIVE,
    NOW_HELD,
    NOW_LOWEST,
    NOW_MIXED,
    NOW_MODIFIER,
    NOW_PASSED,
    NOW_RELEASED,
    NOW_REWETTED,
    NOW_WANT,
    NOW_WETNESS,
    OPENNESS,
    OWN,
    PALATABILITY,
    PASSED,
    PRODUCT,
    PRODUCT_N,
    PRODUCT_RATIO,
    RATIO,
    RECORD,
    RESISTANT,
    RESISTANT_N,
    RESPONSE,
    REWETTED,
    RICH,
    RUN_GIVE,
    RUN_HELD,
    RUN_LOWEST,
    RUN_WANT,
    SOIL_AMMONIUM,
    SOIL_NITRATE,
    SOIL_RESPONSE,
    SOIL_WARMTH,
    SOIL_WATER,
    SOLUBLE,
    SOLUBLE_N,
    SUM_AGE,
    SUM_COVERING,
    SUM_GIVEN,
    SUM_HOLD,
    SUM_LIKING,
    SUM_MASS,
    SUM_RELEASED,
    SUM_RICH,
    SUM_TAKEN,
    THICKNESS,
    THINNEST,
    TISSUE,
    TRAPPED,
    UP_AMMONIUM,
    UP_NITRATE,
    UP_SHARE,
    WARMEST,
    WARMTH,
    WATER,
    WET,
)
from mullbed.simulate.steps_cohort import (
    apply_flows,
    lost_shares,
    met_flows,
    organic_carbon,
    potential_flows,
    wanted_flows,
)
from mullbed.simulate.steps_transfer import cohort_to_soil
from mullbed.simulate.steps_water import TINY

__all__ = ["apply_flows", "organic_carbon", "potential_flows"]  # of single cohorts, for users of one litter


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


@step
def begin_upward(column):
    """Forget what the last pass up the stack carried."""
    for lane in range(LANES):
        column[NOW_PASSED + lane] = 0.0
        column[NOW_REWETTED + lane] = 0.0
        column[NOW_MODIFIER + lane] = 0.0
        column[NOW_RELEASED + lane] = 0.0
        column[NOW_HELD + lane] = 0.0
        column[NOW_LOWEST + lane] = 0.0
        column[NOW_GIVE + lane] = 0.0
        column[NOW_WANT + lane] = 0.0
        column[LOWEST_MASS + lane] = 1.0


@step
def wash_out(slot, column):
    """Step 2 for one cohort, from the soil up: water that passed its sublayer carries soluble matter to the soil.

    How far rain on moist residue hastens its decomposers goes up with it.
    """
    for lane in range(LANES):
        here = slot[PASSED + lane]
        before = column[NOW_PASSED + lane]
        passed = here if slot[HEAD + lane] > 0.0 else before
        share = washed_out_share(passed, slot[OPENNESS + lane], column[RECORD + LANES * par.WASH_OUT + lane])
        carbon = share * slot[SOLUBLE + lane]
        nitrogen = share * slot[SOLUBLE_N + lane]
        slot[SOLUBLE + lane] -= carbon
        slot[SOLUBLE_N + lane] -= nitrogen
        column[NOW_PASSED + lane] = passed
        rewetted = rewetting_turnover(slot[REWETTED + lane], slot[RESPONSE + lane], 1.0)
        known = column[NOW_REWETTED + lane]
        column[NOW_REWETTED + lane] = rewetted if slot[HEAD + lane] > 0.0 else known
        column[DPM + lane] += carbon
        column[DPM_N + lane] += nitrogen
        column[LEDGER + LANES * at.WASHED_OUT_C + lane] += carbon


@step
def set_the_pace(slot, column):
    """Step 5 in one sublayer, from the soil up: how warmth and moisture set the pace of its cohorts today."""
    for lane in range(LANES):
        head = slot[HEAD + lane] > 0.0
        warmth = slot[RESPONSE + lane]
        wet = layer_moisture_response(
            slot[WET + lane],
            column[RECORD + LANES * par.DRY_FLOOR + lane],
            column[RECORD + LANES * par.DRY_END + lane],
            column[RECORD + LANES * par.WET_END + lane],
        )
        modifier = warmth * wet
        slot[MODIFIER + lane] = modifier
        opening = soluble_release_opening(wet, warmth)
        released = soluble_release_share(opening, column[RECORD + LANES * par.SOLUBLE_RELEASE + lane])
        mass = slot[MASS + lane]
        lowest = column[BELOW + lane] <= (mass if head else -1.0)
        known = column[NOW_MODIFIER + lane]
        column[NOW_MODIFIER + lane] = modifier if head else known
        known = column[NOW_RELEASED + lane]
        column[NOW_RELEASED + lane] = released if head else known
        known = column[NOW_LOWEST + lane]
        column[NOW_LOWEST + lane] = (1.0 if lowest else 0.0) if head else known
        known = column[LOWEST_MASS + lane]
        column[LOWEST_MASS + lane] = mass if lowest else known
        held = slot[AMMONIUM + lane] + slot[NITRATE + lane]
        known = column[NOW_HELD + lane]
        column[NOW_HELD + lane] = held if head else known
        known = column[NOW_GIVE + lane]
        column[NOW_GIVE + lane] = 0.0 if head else known
        known = column[NOW_WANT + lane]
        column[NOW_WANT + lane] = 0.0 if head else known


@step
def begin_decay(slot, column):
    """Step 5 for one cohort, from the soil up: soluble nitrogen set free, potential flows, who gives and who wants."""
    for lane in range(LANES):
        modifier = column[NOW_MODIFIER + lane]
        slot[AGE + lane] += modifier
        released = slot[FREE_N + lane] * column[NOW_RELEASED + lane]
        slot[FREE_N + lane] -= released
        given = begin_flows(
            slot,
            lane,
            slot[K_SOLUBLE + lane],
            slot[K_MAIN + lane],
            slot[K_RESISTANT + lane],
            slot[K_BIOMASS + lane],
            slot[K_PRODUCT + lane],
            slot[BIOMASS_RATIO + lane],
            slot[PRODUCT_RATIO + lane],
            modifier,
            slot[K_REWETTING + lane] * column[NOW_REWETTED + lane],
            column,
        )
        held = column[NOW_HELD + lane] + released
        give = column[NOW_GIVE + lane] + max(0.0, given)
        want = column[NOW_WANT + lane] + max(0.0, -given)
        column[NOW_HELD + lane] = held
        column[NOW_GIVE + lane] = give
        column[NOW_WANT + lane] = want
        slot[F_RELEASED + lane] = released
        slot[RUN_GIVE + lane] = give
        slot[RUN_WANT + lane] = want
        slot[RUN_HELD + lane] = held
        slot[RUN_LOWEST + lane] = column[NOW_LOWEST + lane]


@step
def begin_downward(column):
    """Forget what the last pass down the stack carried."""
    for lane in range(LANES):
        column[FRESH + lane] = 1.0
        column[RATIO + lane] = 1.0
        column[OWN + lane] = 0.0
        column[SUM_TAKEN + lane] = 0.0
        column[SUM_GIVEN + lane] = 0.0
        column[SUM_RELEASED + lane] = 0.0
        column[SUM_MASS + lane] = 0.0
        column[SUM_COVERING + lane] = 0.0
        column[SUM_HOLD + lane] = 0.0
        column[SUM_RICH + lane] = 0.0
        column[SUM_AGE + lane] = 0.0
        column[SUM_LIKING + lane] = 0.0
        column[LIKING + lane] = 0.0
        column[ABOVE_MASS + lane] = 0.0
        column[ABOVE_DIAGONAL + lane] = 1.0
        column[ABOVE_AMMONIUM + lane] = 0.0
        column[ABOVE_NITRATE + lane] = 0.0
        column[TRAPPED + lane] = 0.0


@step
def settle_cohort(slot, column):
    """Steps 6-7 for one cohort, from the top down: the share of its want that is met, pools, sums for its sublayer."""
    for lane in range(LANES):
        fresh = column[FRESH + lane] > 0.0
        own = slot[RUN_GIVE + lane] + column[RECORD + LANES * par.HELD_REACH + lane] * slot[RUN_HELD + lane]
        reach = column[RECORD + LANES * par.SOIL_REACH + lane]
        from_soil = reach * (column[SOIL_AMMONIUM + lane] + column[SOIL_NITRATE + lane])
        from_soil *= min(1.0, 0.3 / max(column[LOWEST_MASS + lane], TINY)) * slot[RUN_LOWEST + lane]
        met = supply_ratio(own + from_soil, slot[RUN_WANT + lane])
        ratio = met if fresh else column[RATIO + lane]
        column[RATIO + lane] = ratio
        known = column[OWN + lane]
        column[OWN + lane] = own if fresh else known
        column[FRESH + lane] = 1.0 if slot[HEAD + lane] > 0.0 else 0.0
        respired, taken, given, broken = finish_flows(
            slot, lane, ratio, slot[PRODUCT_RATIO + lane], column[RECORD + LANES * par.PRODUCT_SHARE + lane]
        )
        column[LEDGER + LANES * at.CO2_LAYER + lane] += respired
        column[GAVE + lane] = max(column[GAVE + lane], broken)
        dry = carbon_in(slot, lane) / slot[CARBON_DENSITY + lane] + slot[ASH + lane]
        mass = 0.001 * dry
        column[SUM_TAKEN + lane] += taken
        column[SUM_GIVEN + lane] += given
        column[SUM_RELEASED + lane] += slot[F_RELEASED + lane]
        column[SUM_MASS + lane] += mass
        column[SUM_COVERING + lane] += mass * slot[INTERCEPTION + lane]
        column[SUM_HOLD + lane] += mass * slot[HOLDING + lane]
        column[SUM_RICH + lane] += nitrogen_in(slot, lane) - slot[FREE_N + lane]
        column[SUM_AGE + lane] += slot[AGE + lane] * dry
        column[SUM_LIKING + lane] += slot[PALATABILITY + lane] * mass


@step
def settle_sublayer(slot, column):
    """Steps 6-8 in one sublayer, from the top down: what its takers took, its new mass, spreading worked downward.

    Concentrations c = N / m of the implicit step solve a row for every sublayer; going down, the row of the one
    above is written as c(above) = ``UP_AMMONIUM`` + ``UP_SHARE`` c(here), and likewise for nitrate.
    """
    for lane in range(LANES):
        head = slot[HEAD + lane] > 0.0
        released = column[SUM_RELEASED + lane]
        taken = column[SUM_TAKEN + lane]
        ammonium = slot[AMMONIUM + lane] + 0.7 * released + column[SUM_GIVEN + lane]
        nitrate = slot[NITRATE + lane] + 0.3 * released
        inside = min(taken, column[OWN + lane])
        first = min(inside, ammonium)
        second = min(inside - first, nitrate)
        rest = max(taken - first - second, 0.0)
        rest = rest if head else 0.0
        third = min(rest, column[SOIL_NITRATE + lane])
        ammonium = ammonium - first if head else 0.0
        nitrate = nitrate - second if head else 0.0
        slot[AMMONIUM + lane] = ammonium
        slot[NITRATE + lane] = nitrate
        column[SOIL_NITRATE + lane] -= third
        column[SOIL_AMMONIUM + lane] -= rest - third
        column[LEDGER + LANES * at.DIRECT_N + lane] -= rest
        mass = column[SUM_MASS + lane]
        safe = max(mass, TINY)
        slot[MASS + lane] = mass if head else 0.0
        slot[MASS_BEFORE + lane] = safe
        slot[COVERING + lane] = column[SUM_COVERING + lane] if head else 0.0
        slot[HOLD + lane] = max(column[RECORD + LANES * par.DRY_WATER + lane] + 0.05, column[SUM_HOLD + lane] / safe)
        slot[RICH + lane] = 0.1 * column[SUM_RICH + lane] / safe
        slot[AGE_MEAN + lane] = 0.001 * column[SUM_AGE + lane] / safe
        known = column[LIKING + lane]
        column[LIKING + lane] = column[SUM_LIKING + lane] / safe if head else known
        above = column[ABOVE_MASS + lane]
        between = exchange_coefficient(safe, above, column[RECORD + LANES * par.DIFFUSIVITY + lane])
        between = between if above > 0.0 else 0.0
        diagonal = column[ABOVE_DIAGONAL + lane] + between
        share = between / diagonal
        slot[UP_SHARE + lane] = share
        slot[UP_AMMONIUM + lane] = column[ABOVE_AMMONIUM + lane] / diagonal
        slot[UP_NITRATE + lane] = column[ABOVE_NITRATE + lane] / diagonal
        known = column[ABOVE_DIAGONAL + lane]
        column[ABOVE_DIAGONAL + lane] = mass + between - between * share if head else known
        from_above = ammonium + share * column[ABOVE_AMMONIUM + lane]
        known = column[ABOVE_AMMONIUM + lane]
        column[ABOVE_AMMONIUM + lane] = from_above if head else known
        from_above = nitrate + share * column[ABOVE_NITRATE + lane]
        known = column[ABOVE_NITRATE + lane]
        column[ABOVE_NITRATE + lane] = from_above if head else known
        column[ABOVE_MASS + lane] = mass if head else above
        column[SUM_TAKEN + lane] = 0.0 if head else taken
        known = column[SUM_GIVEN + lane]
        column[SUM_GIVEN + lane] = 0.0 if head else known
        column[SUM_RELEASED + lane] = 0.0 if head else released
        column[SUM_MASS + lane] = 0.0 if head else mass
        known = column[SUM_COVERING + lane]
        column[SUM_COVERING + lane] = 0.0 if head else known
        known = column[SUM_HOLD + lane]
        column[SUM_HOLD + lane] = 0.0 if head else known
        known = column[SUM_RICH + lane]
        column[SUM_RICH + lane] = 0.0 if head else known
        known = column[SUM_AGE + lane]
        column[SUM_AGE + lane] = 0.0 if head else known
        known = column[SUM_LIKING + lane]
        column[SUM_LIKING + lane] = 0.0 if head else known


@step
def turn_at_the_soil(soil, column):
    """Step 8-9 under the layer: the soil's side of the spreading, and how fast worms and mixing work today."""
    full = soil[at.FIELD_CAPACITY] * at.HORIZON_MM[0]
    dry_limit = 0.5 * soil[at.WILTING_POINT] * at.HORIZON_MM[0]
    for lane in range(LANES):
        mass = max(column[ABOVE_MASS + lane], TINY)
        down = exchange_coefficient(mass, 0.0, column[RECORD + LANES * par.DIFFUSIVITY + lane])
        diagonal = column[ABOVE_DIAGONAL + lane] + down
        column[CONCENTRATION_AMMONIUM + lane] = column[ABOVE_AMMONIUM + lane] / diagonal
        column[CONCENTRATION_NITRATE + lane] = column[ABOVE_NITRATE + lane] / diagonal
        column[GOT_AMMONIUM + lane] = 0.0
        column[GOT_NITRATE + lane] = 0.0
        column[MIXED_AMMONIUM + lane] = 0.0
        column[MIXED_NITRATE + lane] = 0.0
        moist = relative_water(column[SOIL_WATER + lane], dry_limit, full)
        intake = worm_intake(column[RECORD + LANES * par.WORM_MASS + lane], moist, column[SOIL_WARMTH + lane])
        column[EATEN_SHARE + lane] = worm_share(intake, column[LIKING + lane], mass)
        column[MIXED_SHARE + lane] = moist
        column[NOW_MIXED + lane] = 0.0
        column[NOW_WETNESS + lane] = 0.0
        column[BELOW + lane] = 0.0
        column[ALL_MASS + lane] = 0.0
        column[ALL_COVERING + lane] = 0.0
        column[ALL_MODIFIER + lane] = 0.0
        column[ALL_CARBON + lane] = 0.0
        column[ALL_NITROGEN + lane] = 0.0
        column[THICKNESS + lane] = 0.0
        column[THINNEST + lane] = 1.0
        column[LEAST + lane] = 0.0


@step
def spread_and_mix(slot, column):
    """Steps 8-9 in one sublayer, from the soil up: spreading worked back upward, the share that joins the soil."""
    for lane in range(LANES):
        head = slot[HEAD + lane] > 0.0
        mass = slot[MASS + lane]
        ammonium = slot[AMMONIUM + lane]
        nitrate = slot[NITRATE + lane]
        here_ammonium = column[CONCENTRATION_AMMONIUM + lane]
        here_nitrate = column[CONCENTRATION_NITRATE + lane]
        slot[AMMONIUM + lane] = here_ammonium * mass
        slot[NITRATE + lane] = here_nitrate * mass
        column[GOT_AMMONIUM + lane] += ammonium - here_ammonium * mass
        column[GOT_NITRATE + lane] += nitrate - here_nitrate * mass
        share = slot[UP_SHARE + lane]
        next_ammonium = slot[UP_AMMONIUM + lane] + share * here_ammonium
        next_nitrate = slot[UP_NITRATE + lane] + share * here_nitrate
        column[CONCENTRATION_AMMONIUM + lane] = next_ammonium if head else here_ammonium
        column[CONCENTRATION_NITRATE + lane] = next_nitrate if head else here_nitrate
        below = column[BELOW + lane]
        part = mixed_share(
            column[SOIL_RESPONSE + lane],
            column[MIXED_SHARE + lane],
            below + 0.5 * mass,
            column[RECORD + LANES * par.MIXING + lane],
        )
        part = min(0.9, part + (column[EATEN_SHARE + lane] if below <= 0.0 else 0.0))
        known = column[NOW_MIXED + lane]
        column[NOW_MIXED + lane] = part if head else known
        wet = wetness(
            slot[WET + lane], column[RECORD + LANES * par.DRY_END + lane], column[RECORD + LANES * par.WET_END + lane]
        )
        known = column[NOW_WETNESS + lane]
        column[NOW_WETNESS + lane] = wet if head else known
        column[BELOW + lane] = below + mass
        mass *= 1.0 - part
        covering = slot[COVERING + lane] * (1.0 - part)
        slot[MASS + lane] = mass
        slot[COVERING + lane] = covering
        column[ALL_MASS + lane] += mass
        column[ALL_COVERING + lane] += covering
        column[ALL_MODIFIER + lane] += slot[MODIFIER + lane] * mass
        column[THINNEST + lane] = min(column[THINNEST + lane], mass if head else 1.0)


@step
def mix_and_settle(slot, column):
    """Steps 9 and 12 for one cohort, from the soil up: a share joins the soil, the rest sinks; what is left."""
    for lane in range(LANES):
        part = column[NOW_MIXED + lane]
        cohort_to_soil(slot, column, lane, part, MIXED_AMMONIUM, MIXED_NITRATE)
        laid = slot[LAID_MASS + lane] * (1.0 - part)
        slot[LAID_MASS + lane] = laid
        carbon = carbon_in(slot, lane)
        dry = carbon / slot[CARBON_DENSITY + lane] + slot[ASH + lane]
        pace = column[RECORD + LANES * par.SETTLING_PACE + lane]
        density = settled_density(
            slot[DENSITY + lane],
            slot[LAID_DENSITY + lane],
            dry / max(1e-12, laid),
            column[NOW_WETNESS + lane],
            0.03 * pace,
            0.1 * pace,
        )
        slot[DENSITY + lane] = density
        column[THICKNESS + lane] += lift_thickness(dry, density)
        column[ALL_CARBON + lane] += carbon
        column[ALL_NITROGEN + lane] += nitrogen_in(slot, lane)
        column[LEAST + lane] = min(column[LEAST + lane], lowest_pool(slot, lane))


@step
def lose_gas(slot, column):
    """Step 8 in one sublayer, from the top down: ammonia, nitrification and nitrous oxide."""
    for lane in range(LANES):
        head = slot[HEAD + lane] > 0.0
        rich = richness(slot[RICH + lane])
        strength = column[RECORD + LANES * par.TRAP_FACTOR + lane] * trap_strength(rich)
        half = 0.5 * strength * slot[MASS_BEFORE + lane] if head else 0.0
        trapped = column[TRAPPED + lane] + half
        wet = wetness(
            slot[WET + lane], column[RECORD + LANES * par.DRY_END + lane], column[RECORD + LANES * par.WET_END + lane]
        )
        escape = volatilisation_rate(
            alkaline_share(slot[AGE_MEAN + lane], rich, column[RECORD + LANES * par.ALKALINE_PACE + lane]),
            slot[WARMTH + lane],
            wet,
            trapped,
            column[RECORD + LANES * par.VOLATILISATION + lane],
        )
        oxidise = layer_nitrification_rate(
            slot[RESPONSE + lane], wet, column[RECORD + LANES * par.LAYER_NITRIFICATION + lane]
        )
        lost, nitrified = competing_losses(slot[AMMONIUM + lane], escape, oxidise)
        oxide = nitrous_oxide_of_nitrification(nitrified, column[RECORD + LANES * par.NITROUS_OXIDE_SHARE + lane])
        slot[AMMONIUM + lane] -= lost + nitrified
        slot[NITRATE + lane] += nitrified - oxide
        column[TRAPPED + lane] = trapped + half
        column[LEDGER + LANES * at.NH3 + lane] += lost
        column[LEDGER + LANES * at.N2O_LAYER + lane] += oxide


@step
def begin_count(column):
    """Forget yesterday's sums of water and mineral nitrogen in the layer."""
    for lane in range(LANES):
        column[ALL_WATER + lane] = 0.0
        column[ALL_MINERAL + lane] = 0.0
        column[WARMEST + lane] = -1e9


@step
def count_sublayer(slot, column):
    """Step 13 in one sublayer: its water and mineral nitrogen, its warmth, the smallest of its stocks."""
    for lane in range(LANES):
        water = slot[WATER + lane]
        tissue = slot[TISSUE + lane]
        ammonium = slot[AMMONIUM + lane]
        nitrate = slot[NITRATE + lane]
        column[ALL_WATER + lane] += water + tissue
        column[ALL_MINERAL + lane] += ammonium + nitrate
        warmth = slot[WARMTH + lane]
        warmest = column[WARMEST + lane]
        column[WARMEST + lane] = max(warmest, warmth) if slot[HEAD + lane] > 0.0 else warmest
        least = min(min(water, tissue), min(ammonium, nitrate))
        column[LEAST + lane] = min(column[LEAST + lane], least)


@step
def begin_measure(column):
    """Forget the sums over cohorts and sublayers, for members whose layer changed."""
    for lane in range(LANES):
        stays = 0.0 if column[CHANGED + lane] > 0.0 else 1.0
        column[SUM_MASS + lane] = 0.0
        column[SUM_COVERING + lane] = 0.0
        column[SUM_HOLD + lane] = 0.0
        column[ALL_MASS + lane] *= stays
        column[ALL_COVERING + lane] *= stays
        column[ALL_MODIFIER + lane] *= stays
        column[ALL_CARBON + lane] *= stays
        column[ALL_NITROGEN + lane] *= stays
        column[THICKNESS + lane] *= stays


@step
def measure(slot, column):
    """Work out, from the top down, what a sublayer is and the sums over all after cohorts came, went or moved.

    Members whose layer did not change keep the bits they had, whatever their neighbours do.
    """
    for lane in range(LANES):
        head = slot[HEAD + lane] > 0.0
        counts = 1.0 if column[CHANGED + lane] > 0.0 else 0.0
        carbon = carbon_in(slot, lane)
        dry = carbon / slot[CARBON_DENSITY + lane] + slot[ASH + lane]
        here = 0.001 * dry
        mass = column[SUM_MASS + lane] + here
        covering = column[SUM_COVERING + lane] + here * slot[INTERCEPTION + lane]
        hold = column[SUM_HOLD + lane] + here * slot[HOLDING + lane]
        column[SUM_MASS + lane] = 0.0 if head else mass
        column[SUM_COVERING + lane] = 0.0 if head else covering
        column[SUM_HOLD + lane] = 0.0 if head else hold
        held = max(column[RECORD + LANES * par.DRY_WATER + lane] + 0.05, hold / max(mass, TINY))
        mass = mass if head else 0.0
        covering = covering if head else 0.0
        known_mass = slot[MASS + lane]
        known_covering = slot[COVERING + lane]
        known_hold = slot[HOLD + lane]
        slot[MASS + lane] = mass if counts > 0.0 else known_mass
        slot[COVERING + lane] = covering if counts > 0.0 else known_covering
        slot[HOLD + lane] = held if counts > 0.0 else known_hold
        column[ALL_MASS + lane] += counts * mass
        column[ALL_COVERING + lane] += counts * covering
        column[ALL_MODIFIER + lane] += counts * slot[MODIFIER + lane] * mass
        column[ALL_CARBON + lane] += counts * carbon
        column[ALL_NITROGEN + lane] += counts * nitrogen_in(slot, lane)
        column[THICKNESS + lane] += counts * lift_thickness(dry, slot[DENSITY + lane])
        column[LEAST + lane] = min(column[LEAST + lane], lowest_pool(slot, lane))
