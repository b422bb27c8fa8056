"""R23: plan, look at the plan in every scenario, charge the layers and plan again; then try single layers."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np

from mullbed.plan.first_plan import Growing
from mullbed.plan.offers import BedOffers
from mullbed.plan.scenarios import Scenarios
from mullbed.plan.terms import PlanTerms, Series
from mullbed.plan.uncertain import (
    Ahead,
    BedScenarios,
    Chosen,
    Outlook,
    charged,
    charged_terms,
    charges,
    looked_at,
    together,
    weighed,
)

#: A change is taken if it lowers what a plan counts by this share. [fraction]
BETTER = 1e-4
#: How often all beds are gone through for single layers to change.
SWEEPS = 3
#: How often layers are charged and chosen again; fewer where a round brings less than this share. [judgement]
ROUNDS, WORTH_A_ROUND = 2, 0.003

#: From terms and offers to candidates by bed and the proven gap.
Solve = Callable[[PlanTerms, tuple[BedOffers, ...]], tuple[Chosen, float]]


@dataclass(frozen=True, slots=True, eq=False)
class PlannedAhead:
    """A plan chosen over scenarios, beside the one chosen in the mean season."""

    ahead: Ahead
    gap: float
    """Proven for the choice the plan comes from, charges included. [fraction]"""
    in_the_mean: Ahead
    """The plan the mean season alone would choose, or the plan begun with."""


def planned_ahead(
    solve: Solve,
    terms: PlanTerms,
    offers: Sequence[BedOffers],
    scenarios: Scenarios,
    outlook: Outlook,
    rounds: int = ROUNDS,
    begin: Chosen | None = None,
    kept: Collection[int] = (),
) -> PlannedAhead:
    """Return the plan that counts least over its scenarios among those the rounds came by.

    Parameters
    ----------
    solve : callable
        The choice in one season; beds that keep their layers keep them there too.
    terms : PlanTerms
    offers : sequence of BedOffers
    scenarios : Scenarios
    outlook : Outlook
        How the mean and the bad tenth count.
    rounds : int
        How often layers are charged and chosen again, at least once.
    begin : tuple, optional
        The plan to charge beside first; the choice in the mean season where none is given.
    kept : collection of int
        Beds whose layers stay as they are.
    """
    beds = tuple(BedScenarios(bed, offer, scenarios, terms) for bed, offer in zip(terms.beds, offers, strict=True))
    chosen, gap = (begin, inf) if begin is not None else solve(terms, tuple(offers))
    mean = looked_at(beds, chosen, outlook)
    best = improved(beds, mean, outlook, terms, offers, kept)
    carried: tuple[Series, ...] = ()
    dearer = charged_terms(terms)
    for number in range(max(1, rounds)):
        new = charges(beds, best.chosen, outlook)
        carried = tuple(0.5 * (a + b) for a, b in zip(carried, new, strict=True)) if carried else new
        chosen, proven = solve(dearer, charged(terms, offers, carried))
        found = improved(beds, looked_at(beds, chosen, outlook), outlook, terms, offers, kept)
        before = together(best, outlook)
        better = together(found, outlook) < before
        if better or gap == inf:
            gap = proven
        if better:
            best = found
        if number and together(best, outlook) > (1.0 - WORTH_A_ROUND) * before:
            break
    return PlannedAhead(best, gap, mean)


def improved(
    beds: Sequence[BedScenarios],
    ahead: Ahead,
    outlook: Outlook,
    terms: PlanTerms,
    offers: Sequence[BedOffers],
    kept: Collection[int] = (),
) -> Ahead:
    """Swap, add and take away single layers as long as that lowers what the plan counts; every rule is kept."""
    chosen = [tuple(plan) for plan in ahead.chosen]
    costs = [bed.costs(plan) for bed, plan in zip(beds, chosen, strict=True)]
    for _ in range(SWEEPS):
        changed = False
        for number in range(len(beds)):
            if number in kept:
                continue
            others = np.sum(costs, axis=0) - costs[number]
            better = better_plan(number, beds[number], chosen, others, outlook, terms, offers)
            if better is not None:
                chosen[number], changed = better, True
                costs[number] = beds[number].costs(better)
        if not changed:
            break
    return looked_at(beds, chosen, outlook)


def better_plan(
    number: int,
    bed: BedScenarios,
    chosen: Sequence[tuple[int, ...]],
    others: Series,
    outlook: Outlook,
    terms: PlanTerms,
    offers: Sequence[BedOffers],
) -> tuple[int, ...] | None:
    """Return the plan of one bed that one change makes better by most; None where no change helps."""
    plan = chosen[number]
    now = float(weighed(others + bed.costs(plan), outlook))
    enough = BETTER * abs(now)
    found: list[tuple[float, tuple[int, ...], int | None]] = []
    for place in plan:
        rest = tuple(one for one in plan if one != place)
        gain = now - float(weighed(others + bed.costs(rest), outlook))
        if gain > enough:
            found.append((gain, rest, None))
    for in_the_way, index in bed.instead_of(plan).items():
        rest = tuple(one for one in plan if one not in in_the_way)
        gains = now - weighed(others + bed.with_each(rest, index), outlook)
        found.extend((float(gains[at]), rest, int(index[at])) for at in np.flatnonzero(gains > enough))
    for _, rest, added in sorted(found, key=lambda one: (-one[0], one[1], -1 if one[2] is None else one[2])):
        if added is None:
            return rest
        if added not in plan and still_fits(number, rest, added, chosen, terms, offers):
            return tuple(sorted((*rest, added)))
    return None


def still_fits(
    number: int,
    rest: tuple[int, ...],
    place: int,
    chosen: Sequence[tuple[int, ...]],
    terms: PlanTerms,
    offers: Sequence[BedOffers],
) -> bool:
    """Say whether a plan keeps every rule with one bed's layers as given and one more."""
    growing = Growing(terms, offers)
    for bed, indices in enumerate(chosen):
        for one in rest if bed == number else indices:
            growing.lay(bed, one)
    return not growing.closed[number][place] and growing.fits(number, place)
