"""Steps 5-8 and 12 of a day in the layer: decay, nitrogen settlement, spreading, losses, thickness."""

from __future__ import annotations

from mullbed.compiled import step
from mullbed.processes.ammonia import alkaline_share, competing_losses, richness, trap_strength, volatilisation_rate
from mullbed.processes.decomposition import (
    biomass_turnover,
    carbon_dioxide,
    carbon_uptake,
    daily_loss,
    rewetting_turnover,
)
from mullbed.processes.exchange import exchange_coefficient
from mullbed.processes.mineralisation import (
    given_nitrogen,
    slowed_share,
    soluble_release_opening,
    soluble_release_share,
    supply_ratio,
    turnover_nitrogen,
)
from mullbed.processes.nitrification import layer_nitrification_rate, nitrous_oxide_of_nitrification, soil_nitrification
from mullbed.processes.rate_modifiers import layer_moisture_response, relative_water, wetness
from mullbed.processes.settling import lift_thickness, settled_density
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par
from mullbed.simulate.steps_transfer import cohort_to_soil

SMALLEST = 0.02  # a sublayer below this merges downward [kg m-2]
POOREST = 30.0  # highest C:N of new biomass


@step
def organic_carbon(pools, c):
    """Return the carbon of a cohort. [g m-2]"""
    return (
        pools[c, at.SOLUBLE] + pools[c, at.MAIN] + pools[c, at.RESISTANT] + pools[c, at.BIOMASS] + pools[c, at.PRODUCT]
    )


@step
def refresh_sublayers(pools, constants, sub, place, active, count, record):
    """Work out mass, cover and holding of every sublayer from its cohorts."""
    for i in range(count):
        j = active[i]
        sub[j, at.MASS] = 0.0
        sub[j, at.COVERING] = 0.0
        sub[j, at.HOLD] = 0.0
    for c in range(place.shape[0]):
        j = place[c]
        if j >= 0:
            mass = (organic_carbon(pools, c) / constants[c, at.CARBON_DENSITY] + pools[c, at.ASH]) / 1000.0
            sub[j, at.MASS] += mass
            sub[j, at.COVERING] += mass * constants[c, at.INTERCEPTION]
            sub[j, at.HOLD] += mass * constants[c, at.HOLDING]
    for i in range(count):
        j = active[i]
        sub[j, at.HOLD] = max(record[par.DRY_WATER] + 0.05, sub[j, at.HOLD] / sub[j, at.MASS])


@step
def merge_small(pools, constants, sub, place, active, soil_pools, soil_water, soil_nh4, soil_no3, ledger):
    """Merge sublayers below 20 g downward, the lowest into the soil; return the number of sublayers left.

    Works out every sublayer's mass anew, so it may follow any event.
    """
    total = sub.shape[0]
    for j in range(total):
        sub[j, at.MASS] = 0.0
    for c in range(place.shape[0]):
        if place[c] >= 0:
            mass = organic_carbon(pools, c) / constants[c, at.CARBON_DENSITY] + pools[c, at.ASH]
            sub[place[c], at.MASS] += mass / 1000.0
    count = 0
    for j in range(total):
        mass = sub[j, at.MASS]
        if mass <= 0.0 and sub[j, at.WATER] + sub[j, at.TISSUE] + sub[j, at.AMMONIUM] + sub[j, at.NITRATE] <= 0.0:
            continue
        if mass >= SMALLEST:
            active[count] = j
            count += 1
            continue
        below = active[count - 1] if count > 0 else -1
        for c in range(place.shape[0]):
            if place[c] == j:
                if below >= 0:
                    place[c] = below
                else:
                    cohort_to_soil(pools, c, 1.0, soil_pools, soil_nh4, soil_no3, 0)
                    place[c] = -1
        if below >= 0:
            sub[below, at.MASS] += mass
            for k in (at.WATER, at.TISSUE, at.AMMONIUM, at.NITRATE):
                sub[below, k] += sub[j, k]
                sub[j, k] = 0.0
        else:
            soil_water[0] += sub[j, at.WATER] + sub[j, at.TISSUE]
            soil_nh4[0] += sub[j, at.AMMONIUM]
            soil_no3[0] += sub[j, at.NITRATE]
            ledger[at.DIRECT_N] += sub[j, at.AMMONIUM] + sub[j, at.NITRATE]
            for k in (at.WATER, at.TISSUE, at.AMMONIUM, at.NITRATE):
                sub[j, k] = 0.0
        sub[j, at.MASS] = 0.0
    return count


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
    """Step 5 for one cohort: losses, uptake and what it would give or take with enough nitrogen."""
    d_soluble = daily_loss(pools[c, at.SOLUBLE], k_soluble, modifier)
    d_main = daily_loss(pools[c, at.MAIN], k_main, modifier)
    d_resistant = daily_loss(pools[c, at.RESISTANT], k_resistant, modifier)
    d_biomass = biomass_turnover(pools[c, at.BIOMASS], k_biomass, modifier, rewetting)
    d_product = daily_loss(pools[c, at.PRODUCT], k_product, modifier)
    uptake = carbon_uptake(d_soluble, d_main, d_resistant, record[par.EFFICIENCY], record[par.RESISTANT_EFFICIENCY])
    n_soluble = pools[c, at.SOLUBLE_N] * (d_soluble / pools[c, at.SOLUBLE]) if pools[c, at.SOLUBLE] > 0.0 else 0.0
    n_main = pools[c, at.MAIN_N] * (d_main / pools[c, at.MAIN]) if pools[c, at.MAIN] > 0.0 else 0.0
    n_resistant = (
        pools[c, at.RESISTANT_N] * (d_resistant / pools[c, at.RESISTANT]) if pools[c, at.RESISTANT] > 0.0 else 0.0
    )
    freed = n_soluble + n_main + n_resistant
    n_biomass = pools[c, at.BIOMASS_N] * (d_biomass / pools[c, at.BIOMASS]) if pools[c, at.BIOMASS] > 0.0 else 0.0
    n_product = pools[c, at.PRODUCT_N] * (d_product / pools[c, at.PRODUCT]) if pools[c, at.PRODUCT] > 0.0 else 0.0
    turned = turnover_nitrogen(n_biomass, d_biomass, n_product, record[par.PRODUCT_SHARE], product_ratio)
    flows[c, at.F_SOLUBLE] = d_soluble
    flows[c, at.F_MAIN] = d_main
    flows[c, at.F_RESISTANT] = d_resistant
    flows[c, at.F_BIOMASS] = d_biomass
    flows[c, at.F_PRODUCT] = d_product
    flows[c, at.F_UPTAKE] = uptake
    flows[c, at.F_FREED] = freed
    flows[c, at.F_TURNED] = turned
    flows[c, at.F_GIVEN] = given_nitrogen(freed, turned, uptake / ratio)
    flows[c, at.F_SOLUBLE_N] = n_soluble
    flows[c, at.F_MAIN_N] = n_main
    flows[c, at.F_RESISTANT_N] = n_resistant
    flows[c, at.F_BIOMASS_N] = n_biomass
    flows[c, at.F_PRODUCT_N] = n_product


@step
def apply_flows(pools, flows, c, ratio_met, product_ratio, record):
    """Steps 6-7 for one cohort: slow where nitrogen is short, update the pools.

    Returns the carbon respired, the nitrogen really taken from outside and the nitrogen really given; a taker
    gives nothing.
    """
    given = flows[c, at.F_GIVEN]
    uptake = flows[c, at.F_UPTAKE]
    freed = flows[c, at.F_FREED]
    turned = flows[c, at.F_TURNED]
    share = 1.0
    taken = 0.0
    if given >= 0.0:
        new_nitrogen = freed + turned - given
    else:
        taken = ratio_met * (-given)
        if ratio_met < 1.0:
            share = slowed_share(freed, turned, taken, uptake, POOREST)
        new_nitrogen = share * freed + turned + taken
    d_soluble = share * flows[c, at.F_SOLUBLE]
    d_main = share * flows[c, at.F_MAIN]
    d_resistant = share * flows[c, at.F_RESISTANT]
    uptake *= share
    d_biomass = flows[c, at.F_BIOMASS]
    d_product = flows[c, at.F_PRODUCT]
    pools[c, at.SOLUBLE_N] -= share * flows[c, at.F_SOLUBLE_N]
    pools[c, at.MAIN_N] -= share * flows[c, at.F_MAIN_N]
    pools[c, at.RESISTANT_N] -= share * flows[c, at.F_RESISTANT_N]
    n_biomass = flows[c, at.F_BIOMASS_N]
    n_product = flows[c, at.F_PRODUCT_N]
    h = record[par.PRODUCT_SHARE]
    kept = min(h * d_biomass / product_ratio, n_biomass)
    pools[c, at.SOLUBLE] -= d_soluble
    pools[c, at.MAIN] -= d_main
    pools[c, at.RESISTANT] -= d_resistant
    pools[c, at.BIOMASS] += uptake - d_biomass
    pools[c, at.BIOMASS_N] += new_nitrogen - n_biomass
    pools[c, at.PRODUCT] += h * d_biomass - d_product
    pools[c, at.PRODUCT_N] += kept - n_product
    respired = carbon_dioxide(d_soluble + d_main + d_resistant, uptake, d_biomass, d_product, h)
    return respired, taken, max(0.0, given)


@step
def decay_and_settle(pools, constants, flows, sub, place, active, count, record, soil_nh4, soil_no3, ledger):
    """Steps 5-7 in the layer; returns the largest amount by which a taker gave, zero by law."""
    for i in range(count):
        j = active[i]
        warmth = sub[j, at.RESPONSE]
        wet = layer_moisture_response(sub[j, at.WET], record[par.DRY_FLOOR], record[par.DRY_END], record[par.WET_END])
        sub[j, at.MODIFIER] = warmth * wet
        sub[j, at.AGE_MEAN] = soluble_release_share(soluble_release_opening(wet, warmth), record[par.SOLUBLE_RELEASE])
        sub[j, at.GIVE] = 0.0
        sub[j, at.WANT] = 0.0
    for c in range(place.shape[0]):
        j = place[c]
        if j < 0:
            continue
        modifier = sub[j, at.MODIFIER]
        pools[c, at.AGE] += modifier
        released = pools[c, at.FREE_N] * sub[j, at.AGE_MEAN]
        pools[c, at.FREE_N] -= released
        sub[j, at.AMMONIUM] += 0.7 * released
        sub[j, at.NITRATE] += 0.3 * released
        potential_flows(
            pools,
            flows,
            c,
            constants[c, at.K_SOLUBLE],
            constants[c, at.K_MAIN],
            constants[c, at.K_RESISTANT],
            constants[c, at.K_BIOMASS],
            constants[c, at.K_PRODUCT],
            constants[c, at.BIOMASS_RATIO],
            constants[c, at.PRODUCT_RATIO],
            modifier,
            rewetting_turnover(sub[j, at.REWETTED], sub[j, at.RESPONSE], constants[c, at.K_REWETTING]),
            record,
        )
        given = flows[c, at.F_GIVEN]
        sub[j, at.GIVE] += max(0.0, given)
        sub[j, at.WANT] += max(0.0, -given)
    for i in range(count):
        j = active[i]
        held = record[par.HELD_REACH] * (sub[j, at.AMMONIUM] + sub[j, at.NITRATE])
        own = sub[j, at.GIVE] + held
        from_soil = 0.0
        if i == 0:
            from_soil = record[par.SOIL_REACH] * (soil_nh4[0] + soil_no3[0]) * min(1.0, 0.3 / sub[j, at.MASS])
        sub[j, at.SUPPLY_SHARE] = supply_ratio(own + from_soil, sub[j, at.WANT])
        sub[j, at.RATIO] = own
        sub[j, at.TAKEN] = 0.0
    gave = 0.0
    for c in range(place.shape[0]):
        j = place[c]
        if j < 0:
            continue
        before = organic_carbon(pools, c)
        respired, taken, given = apply_flows(
            pools, flows, c, sub[j, at.SUPPLY_SHARE], constants[c, at.PRODUCT_RATIO], record
        )
        ledger[at.CO2_LAYER] += respired
        sub[j, at.TAKEN] += taken
        sub[j, at.AMMONIUM] += given
        if flows[c, at.F_GIVEN] < 0.0:
            gave = max(gave, given, -taken)
        gave = max(gave, organic_carbon(pools, c) - before - 1e-9)
    for i in range(count):
        j = active[i]
        taken = sub[j, at.TAKEN]
        if taken <= 0.0:
            continue
        inside = min(taken, sub[j, at.RATIO])
        first = min(inside, sub[j, at.AMMONIUM])
        sub[j, at.AMMONIUM] -= first
        second = min(inside - first, sub[j, at.NITRATE])
        sub[j, at.NITRATE] -= second
        rest = taken - first - second
        if rest > 0.0:
            third = min(rest, soil_no3[0])
            soil_no3[0] -= third
            soil_nh4[0] -= rest - third
            ledger[at.DIRECT_N] -= rest
    return gave


@step
def spread_mineral(column, sub, active, count, record, solver):
    """Diffuse one mineral form over the stack and into the soil, one implicit step; returns what the soil got."""
    if count == 0:
        return 0.0
    lowest = active[0]
    down = exchange_coefficient(sub[lowest, at.MASS], 0.0, record[par.DIFFUSIVITY])
    # unknowns are concentrations c = N / m; rows from the soil up
    for i in range(count):
        j = active[i]
        mass = sub[j, at.MASS]
        lower = down if i == 0 else exchange_coefficient(mass, sub[active[i - 1], at.MASS], record[par.DIFFUSIVITY])
        upper = (
            exchange_coefficient(mass, sub[active[i + 1], at.MASS], record[par.DIFFUSIVITY]) if i < count - 1 else 0.0
        )
        solver[0, i] = -lower if i > 0 else 0.0
        solver[1, i] = mass + lower + upper
        solver[2, i] = -upper
        solver[3, i] = sub[j, column]
    for i in range(1, count):
        factor = solver[0, i] / solver[1, i - 1]
        solver[1, i] -= factor * solver[2, i - 1]
        solver[3, i] -= factor * solver[3, i - 1]
    solver[3, count - 1] /= solver[1, count - 1]
    for i in range(count - 2, -1, -1):
        solver[3, i] = (solver[3, i] - solver[2, i] * solver[3, i + 1]) / solver[1, i]
    before = 0.0
    after = 0.0
    for i in range(count):
        j = active[i]
        before += sub[j, column]
        sub[j, column] = solver[3, i] * sub[j, at.MASS]
        after += sub[j, column]
    return before - after


@step
def spread_and_lose(
    pools,
    constants,
    sub,
    place,
    active,
    count,
    record,
    soil_constants,
    soil_water,
    soil_nh4,
    soil_no3,
    solver,
    ledger,
    day_values,
):
    """Step 8: diffusion, ammonia, nitrification and nitrous oxide in layer and soil."""
    got = spread_mineral(at.AMMONIUM, sub, active, count, record, solver)
    soil_nh4[0] += got
    ledger[at.DIRECT_N] += got
    got = spread_mineral(at.NITRATE, sub, active, count, record, solver)
    soil_no3[0] += got
    ledger[at.DIRECT_N] += got
    for i in range(count):
        j = active[i]
        sub[j, at.RICH] = 0.0
        sub[j, at.AGE_MEAN] = 0.0
    for c in range(place.shape[0]):
        j = place[c]
        if j >= 0:
            nitrogen = pools[c, at.SOLUBLE_N] + pools[c, at.MAIN_N] + pools[c, at.RESISTANT_N]
            nitrogen += pools[c, at.BIOMASS_N] + pools[c, at.PRODUCT_N]
            sub[j, at.RICH] += nitrogen
            sub[j, at.AGE_MEAN] += pools[c, at.AGE] * (
                organic_carbon(pools, c) / constants[c, at.CARBON_DENSITY] + pools[c, at.ASH]
            )
    trapped = 0.0
    for i in range(count - 1, -1, -1):
        j = active[i]
        dry = 1000.0 * sub[j, at.MASS]
        rich = richness(100.0 * sub[j, at.RICH] / dry)
        age = sub[j, at.AGE_MEAN] / dry
        half = 0.5 * record[par.TRAP_FACTOR] * trap_strength(rich) * sub[j, at.MASS]
        trapped += half
        warmth = sub[j, at.RESPONSE]
        wet = wetness(sub[j, at.WET], record[par.DRY_END], record[par.WET_END])
        escape = volatilisation_rate(
            alkaline_share(age, rich, record[par.ALKALINE_PACE]),
            sub[j, at.WARMTH],
            wet,
            trapped,
            record[par.VOLATILISATION],
        )
        oxidise = layer_nitrification_rate(warmth, wet, record[par.LAYER_NITRIFICATION])
        lost, nitrified = competing_losses(sub[j, at.AMMONIUM], escape, oxidise)
        oxide = nitrous_oxide_of_nitrification(nitrified, record[par.NITROUS_OXIDE_SHARE])
        sub[j, at.AMMONIUM] -= lost + nitrified
        sub[j, at.NITRATE] += nitrified - oxide
        ledger[at.NH3] += lost
        ledger[at.N2O_LAYER] += oxide
        trapped += half
    for h in range(3):
        dry_limit = soil_constants[at.WILTING_POINT] * at.HORIZON_MM[h] * (0.5 if h == 0 else 1.0)
        share = relative_water(soil_water[h], dry_limit, soil_constants[at.FIELD_CAPACITY] * at.HORIZON_MM[h])
        warmth = day_values[at.RESPONSE_TOP + h]
        nitrified = soil_nitrification(soil_nh4[h], warmth, share, record[par.SOIL_NITRIFICATION])
        oxide = nitrous_oxide_of_nitrification(nitrified, record[par.NITROUS_OXIDE_SHARE])
        soil_nh4[h] -= nitrified
        soil_no3[h] += nitrified - oxide
        ledger[at.N2O_SOIL] += oxide


@step
def settle_and_measure(pools, constants, sub, place, record):
    """Step 12: let every cohort sink; return the thickness of the cover. [m]"""
    thickness = 0.0
    pace = record[par.SETTLING_PACE]
    for c in range(place.shape[0]):
        j = place[c]
        if j < 0:
            continue
        dry = organic_carbon(pools, c) / constants[c, at.CARBON_DENSITY] + pools[c, at.ASH]
        wet = wetness(sub[j, at.WET], record[par.DRY_END], record[par.WET_END])
        pools[c, at.DENSITY] = settled_density(
            pools[c, at.DENSITY],
            constants[c, at.LAID_DENSITY],
            dry / max(1e-12, pools[c, at.LAID_MASS]),
            wet,
            0.03 * pace,
            0.1 * pace,
        )
        thickness += lift_thickness(dry, pools[c, at.DENSITY])
    return thickness
