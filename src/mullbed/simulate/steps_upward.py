"""Steps 2 and 5 of a day in the layer, from the soil up: wash-out, pace of decay, who gives nitrogen and who wants it.

What a cohort must know of its sublayer goes up from the head (rows ``NOW_...``).
"""

from __future__ import annotations

from mullbed.compiled import step
from mullbed.processes.decomposition import rewetting_turnover
from mullbed.processes.leaching import washed_out_share
from mullbed.processes.mineralisation import soluble_release_opening, soluble_release_share
from mullbed.processes.rate_modifiers import layer_moisture_response
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par
from mullbed.simulate.rows import (
    AGE,
    AMMONIUM,
    BELOW,
    BIOMASS_RATIO,
    DPM,
    DPM_N,
    F_RELEASED,
    FREE_N,
    HEAD,
    K_BIOMASS,
    K_MAIN,
    K_PRODUCT,
    K_RESISTANT,
    K_REWETTING,
    K_SOLUBLE,
    LANES,
    LEDGER,
    LOWEST_MASS,
    MASS,
    MODIFIER,
    NITRATE,
    NOW_GIVE,
    NOW_HELD,
    NOW_LOWEST,
    NOW_MODIFIER,
    NOW_PASSED,
    NOW_RELEASED,
    NOW_REWETTED,
    NOW_WANT,
    OPENNESS,
    PASSED,
    PRODUCT_RATIO,
    RECORD,
    RESPONSE,
    REWETTED,
    RUN_GIVE,
    RUN_HELD,
    RUN_LOWEST,
    RUN_WANT,
    SOLUBLE,
    SOLUBLE_N,
    WET,
)
from mullbed.simulate.steps_flows import begin_flows


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
