"""Design the next layer of one bed: try every whole-container pair, weigh the goals, simulate the best few.

The goals pull against each other: what feeds a crop now is wet and thin, what covers and holds water takes nitrogen.
None of them is a limit that must be met; each costs by how far it is missed, and the answer says which were.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from mullbed.domain.layer_design import LayerDesign, Traded
from mullbed.domain.residue import Residue
from mullbed.domain.spread import Evidence, Spread
from mullbed.errors import NoPlan
from mullbed.plan.bed_classes import PLACE
from mullbed.plan.bed_forecast import after, forecast_of
from mullbed.plan.candidates import Candidate, Portion, layer_of, made, water_in
from mullbed.plan.choice_model import COVERED
from mullbed.plan.layer_checks import CHECKS
from mullbed.plan.lift_rows import lifts_through, rows_of_layers
from mullbed.plan.offers import BedOffers
from mullbed.plan.outcomes import Ensemble, cover_depth_of
from mullbed.plan.rehearse import Attributed, attributed, with_layers
from mullbed.plan.safety_refusals import layer_refusals
from mullbed.plan.season_facts import MODEL, REFUSAL_WORDS, planned_layers
from mullbed.plan.terms import PlanTerms, Series
from mullbed.simulate import layout as at
from mullbed.simulate.case import BedCase
from mullbed.simulate.ensemble import Members, draw_members
from mullbed.simulate.run import simulate

#: Wanted C:N of a layer. [common practice, no source; @usda_nrcs_carbon_to_nitrogen gives 24 as balanced]
WANTED_RATIO = (20.0, 35.0)
#: Wanted thickness as laid. [m, judgement]
WANTED_THICKNESS = (0.015, 0.06)
#: Weeks over which a layer is asked to feed.
FEEDING_WEEKS = 8
#: Layers that are run through the daily model.
SIMULATED = 8
#: Most dry matter of dry residue in one layer. [g m-2, judgement]
MOST_DRY = 1500.0


@dataclass(frozen=True, slots=True)
class GoalWeights:
    """What missing each goal by one unit costs, in grams of nitrogen a square metre; judgement."""

    ratio: float = 0.08
    """Per unit of C:N outside of what is wanted."""
    moisture: float = 20.0
    """Per fraction."""
    thickness: float = 40.0
    """Per metre."""
    short: float = 1.0
    over: float = 0.5
    ammonia: float = 0.3
    bare: float = 2.0
    """For a bed left all bare."""
    minute: float = 0.01


def ratio_of(candidate: Candidate, terms: PlanTerms) -> float:
    """Return the C:N of a layer from its carbon and nitrogen. [g g-1]"""
    dry = terms.stocks[candidate.dry.stock]
    carbon = candidate.dry_load * dry.carbon
    if candidate.soft is not None:
        carbon += candidate.soft_load * terms.stocks[candidate.soft.stock].carbon
    return carbon / candidate.nitrogen


def moisture_of(candidate: Candidate, terms: PlanTerms) -> float:
    """Return the moisture as laid, with the water poured. [fraction, wet basis]"""
    dry = terms.stocks[candidate.dry.stock].unit
    water = candidate.dry_load * water_in(dry) / dry.dry_matter + 1000.0 * candidate.water
    if candidate.soft is not None:
        soft = terms.stocks[candidate.soft.stock].unit
        water += candidate.soft_load * water_in(soft) / soft.dry_matter
    return water / (water + candidate.soft_load + candidate.dry_load)


def outside(value: float, wanted: tuple[float, float]) -> float:
    """Return how far a value lies outside of what is wanted."""
    return max(0.0, wanted[0] - value, value - wanted[1])


def whole_pairs(terms: PlanTerms, week: int) -> Iterator[Candidate]:
    """Yield every layer of one soft fresh and one dry stock, or of dry alone, in whole containers at hand."""
    bed, place = terms.beds[0], terms.weeks[week]
    day = place.laying_day
    if day is None:
        return
    for dry_index, dry in enumerate(terms.stocks):
        if dry.soft_fresh:
            continue
        most_dry = int(min(dry.most_on(day), MOST_DRY * bed.area / dry.unit.dry_matter))
        for dry_count in range(1, most_dry + 1):
            portion = Portion(dry_index, dry_count)
            alone = made(0, place, day, None, portion, terms, moist=False)
            if alone is not None:
                yield alone
            for soft_index, soft in enumerate(terms.stocks):
                if not soft.soft_fresh:
                    continue
                thick = terms.limits.thickest_soft_fresh * bed.area / soft.unit.thickness
                for soft_count in range(1, int(min(soft.most_on(day), thick + 1e-9)) + 1):
                    pair = made(0, place, day, Portion(soft_index, soft_count), portion, terms, moist=False)
                    if pair is not None:
                        yield pair


def worth_trying(terms: PlanTerms, week: int) -> tuple[list[Candidate], Counter[str]]:
    """Return the layers that keep every rule of a single layer, and how many each rule turned away."""
    bed = terms.beds[0]
    found: list[Candidate] = []
    refused: Counter[str] = Counter()
    for candidate in whole_pairs(terms, week):
        broken = [rule for rule, check in CHECKS.items() if check(candidate, bed, terms)]
        refused.update(broken)
        if not broken:
            found.append(candidate)
    return found, refused


def arithmetic_cost(candidate: Candidate, gap: float, terms: PlanTerms, weights: GoalWeights) -> float:
    """Return what a layer misses before it is simulated, its feeding guessed from its C:N. [g m-2]

    The guess only sorts; the best few are simulated.
    """
    balance = candidate.nitrogen - (candidate.nitrogen * ratio_of(candidate, terms)) / 50.0
    fed = 0.35 * balance
    return fixed_cost(candidate, terms, weights) + (
        weights.short * max(0.0, gap - fed) + weights.over * max(0.0, fed - gap)
    )


def fixed_cost(candidate: Candidate, terms: PlanTerms, weights: GoalWeights) -> float:
    """Return what a layer misses in C:N, moisture, thickness, cover and work. [g m-2]"""
    bare = float(np.exp(-0.0037 * (candidate.soft_load + candidate.dry_load)))
    return (
        weights.ratio * outside(ratio_of(candidate, terms), WANTED_RATIO)
        + weights.moisture * outside(moisture_of(candidate, terms), terms.limits.moisture)
        + weights.thickness * outside(candidate.thickness, WANTED_THICKNESS)
        + weights.bare * bare
        + weights.minute * candidate.minutes / max(1.0, terms.beds[0].area)
    )


def fed_within(found: Attributed, week: int) -> Series:
    """Return what a layer gave in the weeks it is asked to feed. (members,) [g m-2]"""
    return np.asarray(found.given[0, :, week : week + FEEDING_WEEKS].sum(axis=1))


def carbon_to_nitrogen(members: Members, rows: slice) -> Spread:
    """Return the C:N of the lifts of some rows together, over the members. [g g-1]"""
    draws = members.draws[:, rows]
    carbon = (draws[:, :, at.D_MASS] * draws[:, :, at.D_CARBON]).sum(axis=1)
    nitrogen = (draws[:, :, at.D_MASS] * draws[:, :, at.D_NITROGEN]).sum(axis=1) / 100.0
    low, mid, high = np.percentile(carbon / nitrogen, (10.0, 50.0, 90.0))
    return Spread(float(low), float(mid), float(high), "g g-1", Evidence.WORKED_OUT, MODEL)


def designed_layer(
    terms: PlanTerms,
    week: int,
    case: BedCase,
    residues: Mapping[str, Residue],
    ensemble: Ensemble,
    first_day: int,
    shown_from: int,
    can_litres: float,
    weights: GoalWeights | None = None,
) -> LayerDesign:
    """Design the next layer of the one bed of some terms.

    Parameters
    ----------
    terms : PlanTerms
        With one bed; the stocks as they are on the day.
    week : int
        The week of the layer; its laying day is the day asked for.
    case : BedCase
        The bed as it is.
    residues : mapping
    ensemble : Ensemble
    first_day : int
        Day index of the first Monday.
    shown_from : int
        Day index from which the forecast is shown.
    can_litres : float
    weights : GoalWeights, optional

    Raises
    ------
    NoPlan
        When no layer at all keeps the rules; says which turned how many away.
    """
    weights = weights or GoalWeights()
    bed = terms.beds[0]
    candidates, refused = worth_trying(terms, week)
    if not candidates:
        reasons = [f"{REFUSAL_WORDS.get(rule, rule)} ({count} layers)" for rule, count in refused.most_common(4)]
        reasons += [refusal.told() for refusal in layer_refusals(terms, refused)]
        raise NoPlan(reasons or ["nothing in hand"])
    span = slice(week, week + FEEDING_WEEKS)
    gap = max(0.0, float((bed.want[span] - bed.soil_given.mean(axis=0)[span]).sum()))
    ordered = sorted(candidates, key=lambda candidate: arithmetic_cost(candidate, gap, terms, weights))
    best: tuple[float, Candidate, Attributed] | None = None
    for candidate in ordered[:SIMULATED]:
        found = attributed(case, one_offer(candidate, terms, ensemble), (0,), terms, residues, ensemble, first_day)
        fed = fed_within(found, week)  # by member
        cost = fixed_cost(candidate, terms, weights) + float(
            np.mean(weights.short * np.maximum(0.0, gap - fed) + weights.over * np.maximum(0.0, fed - gap))
        )
        if best is None or cost < best[0]:
            best = (cost, candidate, found)
    if best is None:
        raise NoPlan(["nothing in hand"])
    _, candidate, found = best
    layer = layer_of(candidate, terms)
    laid = with_layers(case, [layer], residues)
    members = draw_members(laid, found.given.shape[1], ensemble.seed, place=PLACE, learned=ensemble.learned)
    forecast, outcome = forecast_of(laid, (), members, ensemble.seed, threads=ensemble.threads)
    forecast = replace(forecast, lifts=lifts_through(laid, [layer], outcome, members))
    offer = replace(
        one_offer(candidate, terms, ensemble),
        given=found.given.mean(axis=1),
        given_by_member=found.given.sum(axis=2),
        cover_depth=covered_by(laid, case, members, ensemble, first_day)[None, : len(terms.weeks)],
    )
    planned = planned_layers(0, terms, offer, found, outcome, members, laid, first_day, can_litres, residues)[0]
    middle = float(np.median(fed_within(found, week)))
    rows = rows_of_layers(laid, [layer])[0]
    goals = (
        Traded("carbon to nitrogen", ratio_of(candidate, terms), *WANTED_RATIO, "g g-1"),
        Traded("moisture", moisture_of(candidate, terms), *terms.limits.moisture, "1"),
        Traded("thickness", candidate.thickness, *WANTED_THICKNESS, "m"),
        Traded("nitrogen fed in eight weeks", middle, 0.8 * gap, max(1.2 * gap, 0.5), "g m-2"),
        Traded("cover", 1.0 - float(np.exp(-offer.cover_depth[0, week])), 1.0 - float(np.exp(-COVERED)), 1.0, "1"),
    )
    return LayerDesign(
        planned,
        carbon_to_nitrogen(members, rows),
        goals,
        after(forecast, shown_from),
        len(candidates),
        min(SIMULATED, len(candidates)),
        layer_refusals(terms, refused),
        terms.safety.set_aside,
    )


def one_offer(candidate: Candidate, terms: PlanTerms, ensemble: Ensemble) -> BedOffers:
    """Return a candidate as the only offer, its outcomes still unknown."""
    weeks = len(terms.weeks)
    nothing = np.zeros((1, weeks))
    return BedOffers((candidate,), nothing, np.zeros((1, ensemble.members)), np.zeros(1), np.zeros(1), nothing, nothing)


def covered_by(laid: BedCase, case: BedCase, members: Members, ensemble: Ensemble, first_day: int) -> Series:
    """Return the cover a layer adds, by week, as -ln(bare share). (weeks,)"""
    without = draw_members(case, members.count, ensemble.seed, place=PLACE, learned=ensemble.learned)
    with_it = simulate(laid, members, every=7, twin=False)
    base = simulate(case, without, every=7, twin=False)
    return np.maximum(0.0, cover_depth_of(with_it) - cover_depth_of(base))[first_day // 7 :]
