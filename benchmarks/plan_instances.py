"""Planning problems of any size for benchmarks: the bundled garden's beds in several sizes, supply in proportion.

Outcomes are made for at most as many classes as the bundled garden has; beds of a class differ in size, so they differ
in what whole containers come to. Beyond nine sizes of each bed, kinds of beds come again.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from functools import cache

from mullbed.domain.bed import Bed
from mullbed.domain.supply import supply_names
from mullbed.files.bundled_garden import bundled_garden
from mullbed.files.garden_file import read_garden
from mullbed.plan.garden_tables import tables_of
from mullbed.plan.offers import BedOffers
from mullbed.plan.outcomes import Ensemble, priced, representative
from mullbed.plan.season import priced_by, problem_of, season_span
from mullbed.plan.terms import PlanTerms
from mullbed.reference.residues import all_residues
from mullbed.safety.limits import safety_limits
from mullbed.weather.place_weather import place_weather

#: Sizes of beds against those of the bundled garden. (9 times 12 beds are 108 kinds)
SIZES = (1.0, 0.8, 1.25, 0.9, 1.1, 0.7, 1.4, 0.85, 1.6)


@dataclass(frozen=True)
class Instance:
    """A planning problem with its outcomes ready."""

    terms: PlanTerms
    offers: tuple[BedOffers, ...]
    outcome_seconds: float
    classes: int
    kinds: int


@cache
def instance(beds: int, supply: float = 1.0) -> Instance:
    """Return a problem of so many beds, with so much supply against the bundled garden's by bed."""
    garden = read_garden(bundled_garden())
    kinds = min(beds, len(SIZES) * len(garden.beds))
    made: list[Bed] = []
    for number in range(kinds):
        bed, size = garden.beds[number % len(garden.beds)], SIZES[number // len(garden.beds)]
        name = bed.name if size == 1.0 else f"{bed.name} {number}"
        made.append(replace(bed, name=name, area=bed.area * size))
    share = supply * beds / len(garden.beds)
    limits = garden.limits
    more = replace(
        limits,
        minutes_per_day=None if limits.minutes_per_day is None else limits.minutes_per_day * beds / len(garden.beds),
        litres_per_day=None if limits.litres_per_day is None else limits.litres_per_day * beds / len(garden.beds),
    )
    supplies = tuple(replace(one, count=max(1.0, round(one.count * share))) for one in garden.supplies)
    grown = replace(garden, beds=tuple(made), supplies=supplies, limits=more)
    began = time.perf_counter()
    weather = place_weather(grown.site, *season_span(grown), 1)
    tables, ensemble = (
        tables_of(grown, safety_limits(grown, supply_names(grown.supplies), all_residues())),
        Ensemble(64, 1, 2),
    )
    problem = problem_of(grown, weather, tables, ensemble)
    few = representative(problem.classes[0], problem.terms, tables.residues, ensemble, 16, problem.first_day)
    terms = priced_by(problem.terms, few)
    offers, _ = priced(
        problem.classes, terms, problem.candidates, tables.residues, replace(ensemble, chosen=few), problem.first_day
    )
    seconds = time.perf_counter() - began
    again = [terms.beds[number % kinds] for number in range(beds)]
    terms = replace(terms, beds=tuple(replace(one, name=f"{one.name} / {n}") for n, one in enumerate(again)))
    return Instance(
        terms, tuple(offers[number % kinds] for number in range(beds)), seconds, len(problem.classes), kinds
    )
