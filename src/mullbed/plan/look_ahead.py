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
#: How often all beds are gone through for single layers to change, and up to how many beds that often. [judgement]
SWEEPS, SWEPT_BEDS = 3, 60
#: Beyond so many beds single layers are not tried and layers are charged once. [judgement]
TRIED_BEDS = 200
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
    charges: tuple[Series, ...] = ()
    """By bed: what the scenarios add to the cost of laying each candidate, as last used. (candidates,) [g]"""


def planned_ahead(
    solve: Solve,
    terms: PlanTerms,
    offers: Sequence[BedOffers],
    scenarios: Scenarios,
    outlook: Outlook,
    rounds: int = ROUNDS,
    begin: Chosen | None = None,
    kept: Collection[int] = (),
    carried: tuple[Series, ...] = (),
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
        The plan to charge beside first, which may itself be past a limit by now and is not returned; the choice in the
        mean season where none is given.
    kept : collection of int
        Beds whose layers stay as they are.
    carried : tuple of array
        Charges of an earlier round, which new ones are averaged with, so that plans do not jump from round to round.
    """
    beds = tuple(BedScenarios(bed, offer, scenarios, terms) for bed, offer in zip(terms.beds, offers, strict=True))
    chosen, gap = (begin, inf) if begin is not None else solve(terms, tuple(offers))
    mean = looked_at(beds, chosen, outlook)
    beside = improved(beds, mean, outlook, terms, offers, kept)
    best, counted = beside, inf if begin is not None else together(beside, outlook)
    dearer = charged_terms(terms)
    for number in range(max(1, rounds if len(beds) <= TRIED_BEDS else 1)):
        new = charges(beds, beside.chosen, outlook)
        carried = tuple(0.5 * (a + b) for a, b in zip(carried, new, strict=True)) if carried else new
        chosen, proven = solve(dearer, charged(terms, offers, carried))
        found = improved(beds, looked_at(beds, chosen, outlook), outlook, terms, offers, kept)
        before = counted
        if together(found, outlook) < counted:
            best, beside, gap, counted = found, found, proven, together(found, outlook)
        if number and counted > (1.0 - WORTH_A_ROUND) * before:
            break
    return PlannedAhead(best, gap, mean, carried)


def improved(
    beds: Sequence[BedScenarios],
    ahead: Ahead,
    outlook: Outlook,
    terms: PlanTerms,
    offers: Sequence[BedOffers],
    kept: Collection[int] = (),
) -> Ahead:
    """Swap, add and take away single layers as long as that lowers what the plan counts; every rule is kept.

    With very many beds nothing is tried: it would take longer than the plan, and they average one another out.
    """
    if len(beds) > TRIED_BEDS:
        return ahead
    standing = Standing(terms, offers, ahead.chosen)
    costs = [bed.costs(plan) for bed, plan in zip(beds, ahead.chosen, strict=True)]
    total = np.sum(costs, axis=0)
    for _ in range(SWEEPS if len(beds) <= SWEPT_BEDS else 1):
        changed = False
        for number, bed in enumerate(beds):
            if number in kept:
                continue
            better = better_plan(number, bed, standing, total - costs[number], outlook)
            if better is not None:
                standing.relay(number, better)
                new = bed.costs(better)
                total, costs[number], changed = total - costs[number] + new, new, True
        if not changed:
            break
    return looked_at(beds, standing.chosen, outlook)


class Standing:
    """A whole plan with what it uses, of which one bed's layers can be laid anew."""

    def __init__(self, terms: PlanTerms, offers: Sequence[BedOffers], chosen: Sequence[Sequence[int]]) -> None:
        self.growing = Growing(terms, offers)
        for number, plan in enumerate(chosen):
            for place in plan:
                self.growing.lay(number, place)

    @property
    def chosen(self) -> Chosen:
        """Return the candidates laid by bed."""
        return tuple(tuple(sorted(plan)) for plan in self.growing.chosen)

    def relay(self, number: int, plan: Sequence[int]) -> None:
        """Take a bed's layers off and lay others."""
        growing = self.growing
        growing.laid.take_off(number)
        growing.chosen[number] = []
        for place in plan:
            growing.lay(number, place)

    def fits(self, number: int, rest: Sequence[int], place: int) -> bool:
        """Say whether every rule is kept with one bed's layers as given and one more."""
        if self.growing.closed[number][place]:
            return False
        before = list(self.growing.chosen[number])
        self.relay(number, rest)
        found = self.growing.fits(number, place)
        self.relay(number, before)
        return found


def better_plan(
    number: int, bed: BedScenarios, standing: Standing, others: Series, outlook: Outlook
) -> tuple[int, ...] | None:
    """Return the plan of one bed that one change makes better by most; None where no change helps.

    Parameters
    ----------
    number : int
    bed : BedScenarios
    standing : Standing
        The plan as it stands.
    others : Series
        What all other beds cost. (scenarios,) [g]
    outlook : Outlook
    """
    plan = tuple(sorted(standing.growing.chosen[number]))
    now = float(weighed(others + bed.costs(plan), outlook))
    enough = BETTER * abs(now)
    found: list[tuple[float, tuple[int, ...], int | None]] = []
    candidates = standing.growing.offers[number].candidates
    for place in plan:
        if candidates[place].wanted:
            continue
        rest = tuple(one for one in plan if one != place)
        gain = now - float(weighed(others + bed.costs(rest), outlook))
        if gain > enough:
            found.append((gain, rest, None))
    for in_the_way, index in bed.instead_of(plan).items():
        if any(candidates[place].wanted for place in in_the_way):
            continue
        rest = tuple(one for one in plan if one not in in_the_way)
        gains = now - weighed(others + bed.with_each(rest, index), outlook)
        found.extend((float(gains[at]), rest, int(index[at])) for at in np.flatnonzero(gains > enough))
    for _, rest, added in sorted(found, key=lambda one: (-one[0], one[1], -1 if one[2] is None else one[2])):
        if added is None:
            return rest
        if added not in plan and standing.fits(number, rest, added):
            return tuple(sorted((*rest, added)))
    return None
