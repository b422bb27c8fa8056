"""Where each value of a block of members stands: rows of ``LANES`` numbers in flat arrays, lanes last.

A block holds ``LANES`` members that are run side by side. The offsets below are already multiplied by ``LANES``,
so that ``slot[WATER + lane]`` is one member's value and every row is one vector for the compiler. A *slot* holds
one cohort and, when it is the head of its sublayer, the sublayer; cohorts above a head up to the next head lie in
that sublayer. The *column* holds everything else of the bed: soil, parameters, ledger, books and what steps hand
to each other. Offsets are fixed when the loop is compiled, so the compiler sees that rows never overlap.

Run as plain Python (``NUMBA_DISABLE_JIT=1``) a block holds a single member: the plain scalar run.
"""

from __future__ import annotations

from mullbed.compiled import PLAIN
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par

#: Members run side by side. Twice the widest vector of today's processors hides the wait for results.
LANES = 1 if PLAIN else 16


def _rows(first: int, count: int) -> tuple[int, ...]:
    return tuple(LANES * row for row in range(first, first + count))


# Rows of a slot: the cohort's pools, its flows of the day (both also of a dug-in cohort) ...
(
    SOLUBLE,
    MAIN,
    RESISTANT,
    SOLUBLE_N,
    MAIN_N,
    RESISTANT_N,
    BIOMASS,
    BIOMASS_N,
    PRODUCT,
    PRODUCT_N,
    FREE_N,
    ASH,
    AGE,
    DENSITY,
    LAID_MASS,
    LAID_CARBON,
    F_SOLUBLE,
    F_MAIN,
    F_RESISTANT,
    F_BIOMASS,
    F_PRODUCT,
    F_UPTAKE,
    F_FREED,
    F_TURNED,
    F_GIVEN,
    F_SOLUBLE_N,
    F_MAIN_N,
    F_RESISTANT_N,
    F_BIOMASS_N,
    F_PRODUCT_N,
) = _rows(0, 30)
BURIED_ROWS = LANES * 30

# ... its constants, worked out at laying ...
(
    K_SOLUBLE,
    K_MAIN,
    K_RESISTANT,
    K_BIOMASS,
    K_PRODUCT,
    BIOMASS_RATIO,
    PRODUCT_RATIO,
    CARBON_DENSITY,
    OPENNESS,
    INTERCEPTION,
    HOLDING,
    LAID_DENSITY,
    PALATABILITY,
    K_SOLUBLE_BURIED,
    K_MAIN_BURIED,
    BIOMASS_RATIO_BURIED,
    PRODUCT_RATIO_BURIED,
    K_REWETTING,
) = _rows(30, 18)

# ... and the sublayer, where the slot is a head: 1 in HEAD. Not a head: 0 in HEAD, MASS and the stocks.
(
    HEAD,
    WATER,
    TISSUE,
    AMMONIUM,
    NITRATE,
    WARMTH,
    RESPONSE,
    MASS,
    COVERING,
    HOLD,
    WET,
    MOIST_START,
    PASSED,
    MODIFIER,
    RUN_GIVE,
    RUN_WANT,
    RUN_HELD,
    RUN_LOWEST,
    RICH,
    AGE_MEAN,
    MASS_BEFORE,
    UP_SHARE,
    UP_AMMONIUM,
    UP_NITRATE,
    F_RELEASED,
    REWETTED,
) = _rows(48, 26)
SLOT_ROWS = LANES * 74

# Rows of the column: soil ...
(
    DPM,
    RPM,
    BIO,
    HUM,
    IOM,
    DPM_N,
    RPM_N,
    SNOW,
    SOIL_WATER,
    _,
    _,
    SOIL_AMMONIUM,
    _,
    _,
    SOIL_NITRATE,
    _,
    _,
    SOIL_WARMTH,
    _,
    _,
    SOIL_RESPONSE,
    _,
    _,
    NEW_RESPONSE,
    _,
    _,
) = _rows(0, 26)

# ... the day's weather, the lift being laid, starting stocks, what is judged ...
(
    AIR,
    PRECIPITATION,
    REFERENCE,
    RADIATION,
    POURED,
    LOT,
    _,
    _,
    _,
    _,
    CARBON_START,
    NITROGEN_START,
    WATER_START,
    CO2_BEFORE,
    CO2_YESTERDAY,
    GAVE,
) = _rows(26, 16)

# ... sums over the layer ...
(
    ALL_MASS,
    ALL_COVERING,
    ALL_MODIFIER,
    ALL_CARBON,
    ALL_NITROGEN,
    ALL_WATER,
    ALL_MINERAL,
    THICKNESS,
    WARMEST,
    THINNEST,
    LEAST,
) = _rows(42, 11)

# ... and what a pass up or down the stack carries from slot to slot.
(
    FALLING,
    FALLING_AMMONIUM,
    FALLING_NITRATE,
    DEMAND,
    REFERENCE_LEFT,
    OVER,
    OVER_AMMONIUM,
    OVER_NITRATE,
    BARE_SHARE,
    POWER,
    BELOW,
    NOW_PASSED,
    NOW_REWETTED,
    NOW_MODIFIER,
    NOW_RELEASED,
    NOW_HELD,
    NOW_LOWEST,
    NOW_GIVE,
    NOW_WANT,
    FRESH,
    RATIO,
    OWN,
    SUM_TAKEN,
    SUM_GIVEN,
    SUM_RELEASED,
    SUM_MASS,
    SUM_COVERING,
    SUM_HOLD,
    SUM_RICH,
    SUM_AGE,
    SUM_LIKING,
    LIKING,
    ABOVE_MASS,
    ABOVE_DIAGONAL,
    ABOVE_AMMONIUM,
    ABOVE_NITRATE,
    CONCENTRATION_AMMONIUM,
    CONCENTRATION_NITRATE,
    GOT_AMMONIUM,
    GOT_NITRATE,
    MIXED_SHARE,
    EATEN_SHARE,
    NOW_MIXED,
    NOW_WETNESS,
    MIXED_AMMONIUM,
    MIXED_NITRATE,
    TRAPPED,
    LOWEST_MASS,
    DUG_CARBON,
    DUG_NITROGEN,
    SUM_TISSUE,
    SUM_WATER,
    OVER_TISSUE,
    HERE_WATER,
    HERE_RESPONSE,
    HERE_AMMONIUM,
    HERE_NITRATE,
    CHANGED,
) = _rows(53, 58)

LEDGER = LANES * 111
RECORD = LEDGER + LANES * at.LEDGER
BACKLOG = RECORD + LANES * len(par.PARAMETERS)
BOOKS = BACKLOG + LANES * 10
OUTPUTS = BOOKS + LANES * at.BOOKS
COLUMN_ROWS = OUTPUTS + LANES * len(at.OUTPUTS)
