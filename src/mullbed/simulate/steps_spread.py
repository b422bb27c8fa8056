"""Steps 8, 9 and 12 of a day in the layer: spreading worked back up, joining the soil, settling, gases lost."""

from __future__ import annotations

from mullbed.compiled import step
from mullbed.processes.ammonia import alkaline_share, competing_losses, richness, trap_strength, volatilisation_rate
from mullbed.processes.fauna import mixed_share
from mullbed.processes.nitrification import layer_nitrification_rate, nitrous_oxide_of_nitrification
from mullbed.processes.rate_modifiers import wetness
from mullbed.processes.settling import lift_thickness, settled_density
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par
from mullbed.simulate.rows import (
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
    DENSITY,
    EATEN_SHARE,
    GOT_AMMONIUM,
    GOT_NITRATE,
    HEAD,
    LAID_DENSITY,
    LAID_MASS,
    LANES,
    LEAST,
    LEDGER,
    MASS,
    MASS_BEFORE,
    MIXED_AMMONIUM,
    MIXED_NITRATE,
    MIXED_SHARE,
    MODIFIER,
    NITRATE,
    NOW_MIXED,
    NOW_WETNESS,
    RECORD,
    RESPONSE,
    RICH,
    SOIL_RESPONSE,
    THICKNESS,
    THINNEST,
    TRAPPED,
    UP_AMMONIUM,
    UP_NITRATE,
    UP_SHARE,
    WARMTH,
    WET,
)
from mullbed.simulate.steps_flows import carbon_in, lowest_pool, nitrogen_in
from mullbed.simulate.steps_transfer import cohort_to_soil


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
