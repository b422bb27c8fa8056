"""Choose the layers: one model or beds priced apart, the fed ceiling sharpened, kept beds kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import inf
from typing import Any

from mullbed.errors import NoPlan
from mullbed.plan.choice_model import Choice, built, fed_limit, highest_fifth
from mullbed.plan.decompose import priced_bound, solved_apart
from mullbed.plan.first_plan import first_plan
from mullbed.plan.offers import BedOffers
from mullbed.plan.solve import Effort, Solution, clashing, minimised, start_values
from mullbed.plan.terms import PlanTerms, Series

#: Up to so many beds are solved as one model; more are priced apart. [judgement]
ONE_MODEL = 6
#: Rounds in which a plan past the fed ceiling is sent back with a sharper row; then layers are taken off it.
SHARPENED = 1
#: A plan may be past its fed ceiling by this share of it before it is sent back. [fraction]
NEAR_ENOUGH = 0.08


def solved(
    terms: PlanTerms,
    offers: Sequence[BedOffers],
    effort: Effort | None = None,
    start: Sequence[Sequence[int]] | None = None,
    without: frozenset[str] = frozenset(),
    kept: Mapping[int, Sequence[int]] | None = None,
) -> tuple[tuple[tuple[int, ...], ...], Solution]:
    """Return the candidates laid by bed and the solver's proof.

    The fed ceiling (R11) is sharpened until the plan keeps it in its own highest fifth of members. Beds in ``kept``
    keep the layers named there; the gap is still proven against every plan of all beds.

    Raises
    ------
    NoPlan
        When no choice at all keeps the limits; names those that clash.
    """
    effort = effort or Effort()
    chosen = tuple(tuple(indices) for indices in (start if start is not None else first_plan(terms, offers)))
    highest: list[list[Any]] = [[] for _ in terms.beds]
    found, solution = chosen, None
    for _ in range(SHARPENED):
        choice = built(terms, offers, without, highest)
        first = start_values(choice, chosen)
        if kept:
            solution = solved_with_kept(choice, kept, effort)
            if solution is None:
                raise NoPlan(clashing(choice))
            found = choice.chosen(solution.values)
            return within_fed_ceiling(terms, offers, choice, found, solution)
        if len(terms.beds) > ONE_MODEL:
            solution = solved_apart(choice, first, effort)
        else:
            solution = minimised(choice.model, effort)
        if solution is None:
            raise NoPlan(clashing(choice))
        solution = no_worse_than(choice, first, solution)
        found = choice.chosen(solution.values)
        past = [] if "R11" in without else past_fed_ceiling(terms, offers, found)
        if not past:
            return found, solution
        for number, fifth in past:
            highest[number].append(fifth)
    if solution is None:
        raise NoPlan(clashing(choice))
    return within_fed_ceiling(terms, offers, choice, found, solution)


def within_fed_ceiling(
    terms: PlanTerms, offers: Sequence[BedOffers], choice: Choice, found: Sequence[Sequence[int]], solution: Solution
) -> tuple[tuple[tuple[int, ...], ...], Solution]:
    """Take the richest layer off each bed past its fed ceiling until none is."""
    left = [list(indices) for indices in found]
    past = past_fed_ceiling(terms, offers, left)
    if not past:
        return tuple(tuple(indices) for indices in left), solution
    while past:
        for number, fifth in past:
            given = offers[number].given_by_member[:, fifth].mean(axis=1)
            left[number].remove(max(left[number], key=lambda index: float(given[index])))
        past = past_fed_ceiling(terms, offers, left)
    chosen = tuple(tuple(indices) for indices in left)
    values = start_values(choice, chosen)
    return chosen, replace(solution, values=values, cost=choice.model.objective(values))


def solved_with_kept(choice: Choice, kept: Mapping[int, Sequence[int]], effort: Effort) -> Solution | None:
    """Solve with the layers of some beds as they are; the bound is that of the whole model with all beds free."""
    lower, upper = list(choice.model.lower), list(choice.model.upper)
    for number, indices in kept.items():
        for place, column in enumerate(choice.beds[number].lay):
            lower[column] = upper[column] = 1.0 if place in set(indices) else 0.0
    # A kept plan may be past its fed ceiling by NEAR_ENOUGH; its own rows must not forbid it.
    loose = [
        inf if name.rule == "R11" and name.bed in kept else limit
        for name, limit in zip(choice.model.names, choice.model.row_upper, strict=True)
    ]
    found = minimised(replace(choice.model, lower=lower, upper=upper, row_upper=loose), effort)
    relaxed = minimised(choice.model, effort, relaxed=True)
    if found is None or relaxed is None:
        return None
    proven = priced_bound(choice, relaxed.prices, Effort(gap=0.02, nodes=50, seconds=20.0))
    return replace(found, bound=max(relaxed.bound, proven))


def no_worse_than(choice: Choice, first: Series, solution: Solution) -> Solution:
    """Return the solution, or the first plan with the same proof where that is cheaper and keeps every row."""
    cost = choice.model.objective(first)
    if cost < solution.cost and choice.model.largest_violation(first) < 1e-6:
        return replace(solution, values=first, cost=cost)
    return solution


def past_fed_ceiling(
    terms: PlanTerms, offers: Sequence[BedOffers], chosen: Sequence[Sequence[int]]
) -> list[tuple[int, Any]]:
    """Return the beds whose plan is past its fed ceiling, each with its own highest fifth of members."""
    past = []
    for number, (bed, offer, indices) in enumerate(zip(terms.beds, offers, chosen, strict=True)):
        totals = bed.soil_given.sum(axis=1) + offer.given_by_member[list(indices)].sum(axis=0)
        fifth = highest_fifth(totals)
        if indices and float(totals[fifth].mean()) > (1.0 + NEAR_ENOUGH) * fed_limit(bed):
            past.append((number, fifth))
    return past
