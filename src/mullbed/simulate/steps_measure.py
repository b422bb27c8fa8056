"""Step 13: what a layer holds, and what its sublayers are, summed over cohorts and sublayers."""

from __future__ import annotations

from mullbed.compiled import step
from mullbed.processes.settling import lift_thickness
from mullbed.simulate import parameters as par
from mullbed.simulate.rows import (
    ALL_CARBON,
    ALL_COVERING,
    ALL_MASS,
    ALL_MINERAL,
    ALL_MODIFIER,
    ALL_NITROGEN,
    ALL_WATER,
    AMMONIUM,
    ASH,
    CARBON_DENSITY,
    CHANGED,
    COVERING,
    DENSITY,
    HEAD,
    HOLD,
    HOLDING,
    INTERCEPTION,
    LANES,
    LEAST,
    MASS,
    MODIFIER,
    NITRATE,
    RECORD,
    SUM_COVERING,
    SUM_HOLD,
    SUM_MASS,
    THICKNESS,
    TISSUE,
    WARMEST,
    WARMTH,
    WATER,
)
from mullbed.simulate.steps_flows import carbon_in, lowest_pool, nitrogen_in
from mullbed.simulate.steps_water import TINY


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
