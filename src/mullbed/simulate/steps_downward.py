"""Steps 6-8 of a day in the layer, from the top down: nitrogen settled, pools renewed, spreading worked downward.

What a sublayer must know of its cohorts comes down to the head (rows ``SUM_...``).
"""

from __future__ import annotations

from mullbed.compiled import step
from mullbed.processes.exchange import exchange_coefficient
from mullbed.processes.fauna import worm_intake, worm_share
from mullbed.processes.mineralisation import supply_ratio
from mullbed.processes.rate_modifiers import relative_water
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
    ALL_MODIFIER,
    ALL_NITROGEN,
    AMMONIUM,
    ASH,
    BELOW,
    CARBON_DENSITY,
    CONCENTRATION_AMMONIUM,
    CONCENTRATION_NITRATE,
    COVERING,
    EATEN_SHARE,
    F_RELEASED,
    FREE_N,
    FRESH,
    GAVE,
    GOT_AMMONIUM,
    GOT_NITRATE,
    HEAD,
    HOLD,
    HOLDING,
    INTERCEPTION,
    LANES,
    LEAST,
    LEDGER,
    LIKING,
    LOWEST_MASS,
    MASS,
    MASS_BEFORE,
    MIXED_AMMONIUM,
    MIXED_NITRATE,
    MIXED_SHARE,
    NITRATE,
    NOW_MIXED,
    NOW_WETNESS,
    OWN,
    PALATABILITY,
    PRODUCT_RATIO,
    RATIO,
    RECORD,
    RICH,
    RUN_GIVE,
    RUN_HELD,
    RUN_LOWEST,
    RUN_WANT,
    SOIL_AMMONIUM,
    SOIL_NITRATE,
    SOIL_WARMTH,
    SOIL_WATER,
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
    TRAPPED,
    UP_AMMONIUM,
    UP_NITRATE,
    UP_SHARE,
)
from mullbed.simulate.steps_flows import carbon_in, finish_flows, nitrogen_in
from mullbed.simulate.steps_water import TINY


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
