"""What may come instead of the mean: weather years and chemistry by member, mowings that do not come by draw.

A scenario is one member of the ensemble (its weather year, its chemistry, its parameters, all drawn together) and one
draw of which expected supplies come. Every arrival fails in its own share of the scenarios, so that a small number of
scenarios does not make a supply surer than it is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from mullbed.plan.candidates import Candidate
from mullbed.plan.terms import Index, PlanTerms, Series, Stock

#: Scenarios looked at; each member comes in as many of them as fit. [judgement]
SCENARIOS = 64


@dataclass(frozen=True, slots=True, eq=False)
class MemberWeeks:
    """What candidates of one bed give in every member and week, read off between the recipes of their class."""

    recipes: Series
    """Shared by all beds of a class. (rows, members, weeks) [g m-2]"""
    rows: Index
    """(candidates, 4)"""
    weights: Series
    """(candidates, 4) [fraction]"""

    def keep(self, index: Index) -> MemberWeeks:
        """Return what some candidates give."""
        return MemberWeeks(self.recipes, self.rows[index], self.weights[index])

    def given(self, index: Index) -> Series:
        """Return what some candidates give. (chosen, members, weeks) [g m-2]"""
        if not self.recipes.shape[0]:
            return np.zeros((len(index), *self.recipes.shape[1:]))
        found = np.zeros((len(index), *self.recipes.shape[1:]))
        for corner in range(self.rows.shape[1]):
            found += self.weights[index, corner, None, None] * self.recipes[self.rows[index, corner]]
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Scenarios:
    """Which member each scenario is, and what of each stock came in it."""

    member: Index
    """(scenarios,)"""
    came: tuple[Series, ...]
    """By stock: share of what was expected to be at hand in a week that is there. (scenarios, weeks) [fraction]"""

    soil: Mapping[str, Series] = field(default_factory=dict)
    """By name of the bed: what it gives without new layers, where more members of that are known than of the layers.
    (scenarios, weeks) [g m-2]"""

    @property
    def count(self) -> int:
        """Number of scenarios."""
        return int(self.member.shape[0])

    def laid(self, candidate: Candidate) -> Series:
        """Return the share of a candidate that can be laid in each scenario. (scenarios,) [fraction]"""
        shares = [self.came[portion.stock][:, candidate.week] for portion in candidate.portions]
        return np.asarray(np.minimum.reduce(shares))


def failing(stock: Stock, count: int, generator: np.random.Generator, first_day: date) -> Series:
    """Return for each arrival and scenario whether it comes: 1 or 0. (arrivals, scenarios)"""
    came = np.ones((len(stock.arrivals), count))
    for place, arrival in enumerate(stock.arrivals):
        if stock.may_fail <= 0.0 or arrival.day <= first_day:
            continue
        whole, part = divmod(stock.may_fail * count, 1.0)
        lost = int(whole) + int(generator.random() < part)
        came[place, generator.permutation(count)[:lost]] = 0.0
    return came


def at_hand(stock: Stock, days: Sequence[date | None], came: Series) -> Series:
    """Return the share of what was expected to be at hand in each week that is there. (scenarios, weeks)"""
    shares = np.ones((came.shape[1], len(days)))
    if came.min(initial=1.0) >= 1.0:
        return shares
    for week, day in enumerate(days):
        if day is None:
            continue
        counts = np.array([a.count * stock.kept(a, day) if stock.usable_on(a, day) else 0.0 for a in stock.arrivals])
        if counts.sum() > 0.0:
            shares[:, week] = counts @ came / counts.sum()
    return shares


def scenarios_of(
    terms: PlanTerms,
    members: int,
    seed: int,
    count: int = SCENARIOS,
    whole: PlanTerms | None = None,
    strata: Sequence[Index] = (),
) -> Scenarios:
    """Draw scenarios: every member as often as any other, every arrival failing as often as its chance says.

    Parameters
    ----------
    terms : PlanTerms
    members : int
        Members the candidates were priced with.
    seed : int
        Equal seeds give equal scenarios.
    count : int
        About how many; rounded up to a multiple of the members. One per member where no supply may fail.
    whole : PlanTerms, optional
        Terms in which more members tell what the beds give by themselves; needs the strata.
    strata : sequence of array
        For each member of the candidates, the members of ``whole`` it stands for. Each of those is a scenario: its own
        soil with the layers of the member that stands for it. Few members make a bad tenth that is chance.
    """
    sure = all(stock.may_fail <= 0.0 for stock in terms.stocks)
    stands_for = known = np.arange(members, dtype=np.int64)
    if strata:
        known = np.concatenate(strata)
        of = np.repeat(np.arange(len(strata), dtype=np.int64), [len(stratum) for stratum in strata])
        stands_for, known = of[np.argsort(known, kind="stable")], np.sort(known)
    times = 1 if sure else max(1, -(-count // len(stands_for)))
    member = np.tile(stands_for, times)
    soil = {}
    if whole is not None and strata:
        soil = {bed.name: np.tile(bed.soil_given[known], (times, 1)) for bed in whole.beds}
    generator = np.random.default_rng(np.random.SeedSequence([seed, 5077]))
    first_day = terms.weeks[0].monday
    came = []
    for number, stock in enumerate(terms.stocks):
        drawn = failing(stock, len(member), generator, first_day)
        came.append(at_hand(stock, terms.stock_days[number], drawn))
    return Scenarios(member, tuple(came), soil)
