"""Choose the layers: rounds of pricing, the fed ceiling sharpened, kept beds kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from mullbed.errors import NoPlan
from mullbed.plan.alike_beds import Chosen, Fifths
from mullbed.plan.as_laid import AsLaid
from mullbed.plan.choice_model import built, fed_limit, highest_fifth
from mullbed.plan.clash import smallest_clash, why_nothing_fits
from mullbed.plan.first_plan import first_plan
from mullbed.plan.ledger import whole_cost
from mullbed.plan.offers import BedOffers
from mullbed.plan.price_rounds import PriceRounds
from mullbed.plan.solve import Effort, Solution, minimised
from mullbed.plan.terms import PlanTerms

#: A plan made layer by layer starts the rounds up to so many beds; it takes longer than they do beyond. [judgement]
FIRST_PLAN_BEDS = 150
#: Times a rough plan past the fed ceiling is sent back with a sharper row; one made to the gap asked for once more.
SHARPENED = 1
#: Times beds of the last plan that are past it are planned anew beside the others, before layers come off.
MENDED = 4
#: Rough plans are made to this gap; the last is made to the gap that is asked for. [fraction]
SHARPENED_AT = 0.03
#: A plan may be past its fed ceiling by this share of it before it is sent back. [fraction]
NEAR_ENOUGH = 0.08


def solved(
    terms: PlanTerms,
    offers: Sequence[BedOffers],
    effort: Effort | None = None,
    start: Sequence[Sequence[int]] | None = None,
    without: frozenset[str] = frozenset(),
    kept: Mapping[int, Sequence[int]] | None = None,
) -> tuple[Chosen, Solution]:
    """Return the candidates laid by bed and the proof.

    The fed ceiling (R11) is sharpened until the plan keeps it in its own highest fifth of members. Beds in ``kept``
    keep the layers named there. Where all do, the gap is proven against every plan of all beds; where some do, against
    every plan in which they do. Rules left out, for tests, are left out of one model of the whole.

    Raises
    ------
    NoPlan
        When no choice at all keeps the limits; names those that clash.
    """
    effort = effort or Effort()
    begin: Sequence[Sequence[int]]
    if start is not None:
        begin = start
    else:
        begin = first_plan(terms, offers) if len(offers) <= FIRST_PLAN_BEDS else wanted_in(offers)
    refuse_clashing_wishes(terms, offers)
    highest = shared_by_alike(terms, offers)
    rough = replace(effort, gap=max(effort.gap, SHARPENED_AT))

    def best(effort: Effort) -> Solution:
        if without:
            found = whole_model(terms, offers, effort, without, highest)
        else:
            found = in_rounds(terms, offers, effort, begin, highest, kept or {})
        if found is None:
            left_out = without | {"R11"} if kept else without  # a kept plan may be past its fed ceiling by a little
            raise NoPlan(why_nothing_fits(built(terms, offers, left_out, highest), kept or {}))
        return found

    solution = best(effort) if kept or without else best(rough)
    if "R11" in without:
        return solution.chosen, solution
    if without:
        return within_fed_ceiling(terms, offers, solution)
    if kept:
        return mended(terms, offers, effort, solution, highest, kept)
    strict, strict_made = effort.gap < rough.gap, False
    for asked in (*[rough] * SHARPENED, *[effort] * (2 if strict else 1)):
        past = past_fed_ceiling(terms, offers, solution.chosen)
        if not past and (strict_made or not strict):
            break
        if not past and asked is rough:
            continue
        sharpen(highest, past)
        begin, _ = within_fed_ceiling(terms, offers, solution)
        bound = solution.bound
        solution, strict_made = best(asked), asked is effort
        solution = replace(solution, bound=min(solution.cost, max(bound, solution.bound)))
    return mended(terms, offers, effort, solution, highest, {})


def mended(
    terms: PlanTerms,
    offers: Sequence[BedOffers],
    effort: Effort,
    solution: Solution,
    highest: list[list[Any]],
    kept: Mapping[int, Sequence[int]],
) -> tuple[Chosen, Solution]:
    """Return a plan within its fed ceilings: beds past theirs are planned anew with a sharper row, others as they are.

    After each attempt the plan with its richest layers taken off is looked at too; the best of all is returned. The
    bound of the plan as it was holds for it: it allowed more.
    """
    bound = solution.bound
    best_chosen, best = within_fed_ceiling(terms, offers, solution)
    for _ in range(MENDED):
        past = [one for one in past_fed_ceiling(terms, offers, solution.chosen) if one[0] not in kept]
        if not past:
            break
        sharpen(highest, past)
        others = {number for number, _ in past}
        rest = {number: plan for number, plan in enumerate(solution.chosen) if number not in others}
        within, _ = within_fed_ceiling(terms, offers, solution)
        found = in_rounds(terms, offers, effort, within, highest, rest)
        if found is None:
            break
        solution = found
        stripped_chosen, stripped = within_fed_ceiling(terms, offers, solution)
        if stripped.cost < best.cost:
            best_chosen, best = stripped_chosen, stripped
    return best_chosen, replace(best, bound=min(best.cost, bound))


def shared_by_alike(terms: PlanTerms, offers: Sequence[BedOffers]) -> list[list[Any]]:
    """Return by bed its further fifths of members for R11, none yet; beds that are alike share theirs.

    A row for one of them alone would only move the same plan to the next.
    """
    known: dict[tuple[float, float, bytes, bytes], list[Any]] = {}
    return [
        known.setdefault((bed.area, fed_limit(bed), bed.soil_given.tobytes(), offer.given_by_member.tobytes()), [])
        for bed, offer in zip(terms.beds, offers, strict=True)
    ]


def sharpen(highest: list[list[Any]], past: Sequence[tuple[int, Any]]) -> None:
    """Add the highest fifths of beds past their ceiling, each once."""
    for number, fifth in past:
        if not any(set(fifth) == set(known) for known in highest[number]):
            highest[number].append(fifth)


def wanted_in(offers: Sequence[BedOffers]) -> Chosen:
    """Return the layers to be kept (R26), by bed."""
    return tuple(tuple(place for place, one in enumerate(offer.candidates) if one.wanted) for offer in offers)


def refuse_clashing_wishes(terms: PlanTerms, offers: Sequence[BedOffers]) -> None:
    """Refuse layers to be kept that break a rule together.

    Raises
    ------
    NoPlan
        Naming the limits that clash.
    """
    wanted, laid, fits = wanted_in(offers), AsLaid(terms), True
    for number, places in enumerate(wanted):
        for place in places:
            candidate = offers[number].candidates[place]
            fits = fits and not laid.too_soon_after_old(number, candidate.day) and laid.fits(number, candidate)
            laid.lay(number, candidate)
    if fits:
        return
    whole = built(terms, offers, (), ())
    if smallest_clash(whole):
        raise NoPlan(why_nothing_fits(whole, {}))


def whole_model(
    terms: PlanTerms, offers: Sequence[BedOffers], effort: Effort, without: frozenset[str], highest: Fifths
) -> Solution | None:
    """Return the plan of all beds as one model, some rules left out; None when nothing fits."""
    choice = built(terms, offers, without, highest)
    found = minimised(choice.model, effort)
    return None if found is None else replace(found, chosen=choice.chosen(found.values))


def in_rounds(
    terms: PlanTerms,
    offers: Sequence[BedOffers],
    effort: Effort,
    start: Sequence[Sequence[int]],
    highest: Fifths,
    kept: Mapping[int, Sequence[int]],
) -> Solution | None:
    """Return the plan made in rounds of pricing (docs/topics/planning-rules.md); None when nothing fits."""
    found = PriceRounds(terms, offers, effort, highest, kept).run(start)
    if found is None or len(kept) < len(offers):
        return found
    # Proven against all beds free, not against what beds that stay as they are allow.
    free = PriceRounds(terms, offers, effort, highest).lower_bound(found.chosen)
    return replace(found, bound=min(found.cost, free))


def within_fed_ceiling(terms: PlanTerms, offers: Sequence[BedOffers], solution: Solution) -> tuple[Chosen, Solution]:
    """Take the richest layer off each bed past its fed ceiling until none is."""
    left = [list(indices) for indices in solution.chosen]
    past = past_fed_ceiling(terms, offers, left)
    if not past:
        return solution.chosen, solution
    while past:
        for number, fifth in past:
            given = offers[number].given_by_member[:, fifth].mean(axis=1)
            free = [index for index in left[number] if not offers[number].candidates[index].wanted]
            left[number].remove(max(free, key=lambda index: float(given[index])))
        past = past_fed_ceiling(terms, offers, left)
    chosen = tuple(tuple(indices) for indices in left)
    return chosen, replace(solution, chosen=chosen, cost=whole_cost(terms, offers, chosen))


def past_fed_ceiling(
    terms: PlanTerms, offers: Sequence[BedOffers], chosen: Sequence[Sequence[int]]
) -> list[tuple[int, Any]]:
    """Return the beds whose plan is past its fed ceiling, each with its own highest fifth of members.

    A bed on which all layers are to be kept is left as it is.
    """
    past = []
    for number, (bed, offer, indices) in enumerate(zip(terms.beds, offers, chosen, strict=True)):
        totals = bed.soil_given.sum(axis=1) + offer.given_by_member[list(indices)].sum(axis=0)
        fifth = highest_fifth(totals)
        free = any(not offer.candidates[index].wanted for index in indices)
        if free and float(totals[fifth].mean()) > (1.0 + NEAR_ENOUGH) * fed_limit(bed):
            past.append((number, fifth))
    return past
