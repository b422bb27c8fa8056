"""The rules that can be seen on one layer alone; their numbers are those of docs/topics/planning-rules.md."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from mullbed.plan.candidates import MILLIGRAMS, Candidate
from mullbed.plan.terms import BedTerms, PlanTerms

SOW_AFTER_GREEN = "sow_after_green"
"""Key of the safety rule behind R13."""
Check = Callable[[Candidate, BedTerms, PlanTerms], bool]


def too_thick_soft(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R7: a soft fresh lift is no thicker than the limit."""
    if candidate.soft is None:
        return False
    unit = terms.stocks[candidate.soft.stock].unit
    return unit.thickness * candidate.soft.count / bed.area > terms.limits.thickest_soft_fresh + MILLIGRAMS


def cap_too_thin(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R9: soft fresh matter lies under a cap of dry residue that hides it."""
    if candidate.soft is None:
        return False
    unit = terms.stocks[candidate.dry.stock].unit
    cap = unit.thickness * (candidate.dry.count - candidate.base_count) / bed.area
    return cap < terms.limits.thinnest_cap - MILLIGRAMS


def before_direct_sowing(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R13: no soft fresh layer so many days before direct sowing; more before fine seed."""
    if candidate.soft is None or (SOW_AFTER_GREEN, bed.name) in terms.safety.waived:
        return False
    for crop in bed.growing:
        wait = terms.limits.days_before_fine_seed if crop.fine_seed else terms.limits.days_before_direct_sowing
        if crop.sown_direct and timedelta(0) <= crop.planted - candidate.day < timedelta(days=wait):
            return True
    return False


def over_seedlings(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R14: no layer over seedlings of a crop that fills half of the bed or more."""
    wait = timedelta(days=terms.limits.days_after_direct_sowing)
    return any(
        crop.sown_direct and crop.share >= 0.5 and timedelta(0) <= candidate.day - crop.planted < wait
        for crop in bed.growing
    )


def before_harvest(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R15: what needs a wait before harvest is not laid within it."""
    waits = [terms.stocks[portion.stock].harvest_wait for portion in candidate.portions]
    return any(
        timedelta(0) <= crop.harvested - candidate.day < timedelta(days=wait.days_for(crop.crop))
        for crop in bed.growing
        for wait in waits
        if wait is not None and (wait.rule, bed.name) not in terms.safety.waived
    )


def barred_here(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R22: what a rule of safety bars from a bed is not laid there."""
    if not terms.safety.bars:
        return False
    names = [terms.stocks[portion.stock].name for portion in candidate.portions]
    return any(terms.safety.barred(name, bed.name, candidate.day) is not None for name in names)


def bought_on_rich_soil(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R12: where phosphorus is very high only the garden's own residues are laid."""
    return bed.own_only and any(terms.stocks[portion.stock].bought_in for portion in candidate.portions)


def left_alone(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R25: no layer on a bed on days on which the grower wants it left alone."""
    return any(first <= candidate.day <= last for first, last in bed.left_alone)


def more_than_at_hand(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R3, R4, R5: it takes no more than could be there, still good and not held, on that day."""
    return any(
        terms.stocks[p.stock].most_on(terms.stock_days[p.stock][candidate.week] or candidate.day) < p.count - MILLIGRAMS
        for p in candidate.portions
    )


def past_a_ceiling(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R10, R12: one layer alone stays under the year's ceilings of nitrogen and phosphorus laid."""
    return candidate.nitrogen > bed.nitrogen_ceiling or candidate.phosphorus > bed.phosphorus_ceiling


def past_the_day(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R16, R17: one layer alone can be done in a day."""
    limits = terms.limits
    return (limits.minutes_per_day is not None and candidate.minutes > limits.minutes_per_day) or (
        limits.litres_per_day is not None and candidate.litres > limits.litres_per_day
    )


#: Rules one layer must keep by itself. Moisture (R8) is kept when water is worked out; away weeks (R18) have no day.
CHECKS: dict[str, Check] = {
    "R3": more_than_at_hand,
    "R7": too_thick_soft,
    "R9": cap_too_thin,
    "R10": past_a_ceiling,
    "R12": bought_on_rich_soil,
    "R13": before_direct_sowing,
    "R14": over_seedlings,
    "R15": before_harvest,
    "R16": past_the_day,
    "R22": barred_here,
    "R25": left_alone,
}
