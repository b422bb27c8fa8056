"""Compare ways of gardening on one garden: the plan, fixed rules, a pile, chips, digging in, nothing.

Reads the garden file and its weather. Raises InputFault when either is at fault, NoPlan when nothing fits the limits.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.garden import Garden
from mullbed.domain.residue import Residue
from mullbed.domain.supply import supply_names
from mullbed.domain.ways import WaysCompared
from mullbed.files.garden_file import read_garden
from mullbed.plan.acts import lessened
from mullbed.plan.garden_tables import Tables, tables_of
from mullbed.plan.outcomes import Ensemble
from mullbed.plan.scenarios import scenarios_of
from mullbed.plan.season import USUAL_OUTLOOK, plan_season, problem_of, season_span
from mullbed.plan.season_terms import phosphorus_removed
from mullbed.plan.solve import Effort
from mullbed.plan.unseen import GardenInYears, InYears, acts_of
from mullbed.plan.way_other import DUG_EVERY, DUG_IN, chips, dug_in
from mullbed.plan.way_pile import Gathered, PileSeason, gathered, pile_season, share_lost
from mullbed.plan.way_rules import RULES, laid_by
from mullbed.plan.way_years import (
    Acts,
    Against,
    Way,
    phosphorus_given,
    setting_words,
    spread_within_ceiling,
    told,
    tuned,
    with_the_pile,
    within_ceiling,
)
from mullbed.reference.pile import Pile, the_pile
from mullbed.reference.residues import all_residues
from mullbed.safety.limits import refuse_crops, safety_limits
from mullbed.weather.held_out import seen_and_unseen

#: Members rules are tuned with, members every way is tried in, and the distance of their seed from the plan's.
TUNING_MEMBERS, UNSEEN_MEMBERS, OTHER_SEED = 64, 128, 7919
KEPT = {True: "kept", False: "let go"}
CHIPS, RIPE = "woodchip", "compost_home"


def compare_ways(
    path: Path,
    *,
    seed: int = 1,
    members: int = 16,
    gap: float = 0.01,
    threads: int = 2,
    unseen_members: int = UNSEEN_MEMBERS,
    progress: Callable[[str], None] = lambda sentence: None,
) -> WaysCompared:
    """Return every way in the same unseen seasons, the plan first.

    Parameters
    ----------
    path : Path
        The garden file.
    seed : int
        Equal seeds give equal answers.
    members : int
        Members the plan is made with.
    gap : float
        Proven gap at which the solver may stop. [fraction]
    threads : int
    unseen_members : int
        Members each way is tried in.
    progress : callable

    Raises
    ------
    InputFault
        When the garden or its weather is at fault.
    NoPlan
        When nothing fits the limits.
    """
    garden = read_garden(path)
    refuse_crops(garden)
    tables = tables_of(garden, safety_limits(garden, supply_names(garden.supplies), all_residues()))
    seen, unseen = seen_and_unseen(garden.site, *season_span(garden), seed)
    known = _tried_in(garden, seen, tables, Ensemble(TUNING_MEMBERS, seed, threads))
    decided: list[Decided] = []
    gaps = []
    for ceiling in (True, False):
        progress(f"Planning with the years that may be seen, the ceiling of nitrogen fed {KEPT[ceiling]}.")
        plan = plan_season(
            garden if ceiling else freed(garden),
            seen,
            tables,
            ensemble=Ensemble(members, seed, threads),
            effort=Effort(gap=gap),
            progress=progress,
        )
        gaps.append(plan.gap)
        decided.append(Decided("planned", "", acts_of(plan, known.terms), ceiling))
        for rule in RULES:
            setting, acts = tuned(rule, known, USUAL_OUTLOOK, progress, ceiling)
            decided.append(Decided(rule.name, setting_words(setting), acts, ceiling))
    pile, terms = the_pile(), known.terms
    piles = _piles(gathered(decided[0].acts, terms), known, tables.residues[RIPE], pile)
    digging = dug_in(laid_by(DUG_IN, DUG_EVERY, terms), pile)
    covering = chips(terms, tables.residues[CHIPS])

    progress("Trying every way in years nobody planned with.")
    other = Ensemble(unseen_members, seed + OTHER_SEED, threads)
    years = _tried_in(garden, unseen, tables, other)
    ways = [
        *(_way(one, years) for one in decided),
        _way(Decided("pile", "ripe in spring", piles[1].acts, True), years, with_the_pile(years, piles)),
        _way(Decided("dug in", setting_words(DUG_EVERY), within_ceiling(known, digging), True), years),
        _way(Decided("wood chips", "5 cm once", within_ceiling(known, covering), True), years),
        _way(Decided("nothing", "", tuple(() for _ in terms.beds), True), years),
    ]
    area = sum(bed.area for bed in terms.beds)
    removed = sum(bed.area * phosphorus_removed(bed, tables.crops, garden.first_day.year) for bed in garden.beds)
    kept, let_go = (way.years for way in ways if way.name == "planned")
    against = Against(years.terms, kept, let_go, years.year_of, removed / area)
    return WaysCompared(
        garden=garden.site.name,
        area=area,
        planned_with=seen.labels,
        tried_in=unseen.labels,
        seasons=years.scenarios.count,
        gap=gaps[0],
        gap_ceiling_let_go=gaps[1],
        ways=tuple(told(way, against) for way in ways),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Decided:
    """What is done on each bed one way, before it is tried."""

    name: str
    setting: str
    acts: Acts
    ceiling: bool


def _tried_in(garden: Garden, weather: WeatherYears, tables: Tables, ensemble: Ensemble) -> GardenInYears:
    """Return a garden in some seasons, supplies failing as often as they may."""
    problem = problem_of(garden, weather, tables, ensemble)
    scenarios = scenarios_of(problem.terms, ensemble.members, ensemble.seed)
    return GardenInYears(problem, scenarios, tables.residues, ensemble)


def _piles(heap: Gathered, known: GardenInYears, ripe: Residue, pile: Pile) -> tuple[PileSeason, ...]:
    """Return a pile's season with little, middling and much lost, spread as far as beds stay within their ceilings."""
    lost, mineral, turns = share_lost(heap, pile), pile.mineral_share, pile.turns
    cases = (
        (lost.low, mineral.high, turns.low),
        (lost.mid, mineral.mid, turns.mid),
        (lost.high, mineral.low, turns.high),
    )
    seasons = [pile_season(heap, known.terms, ripe, pile, *case) for case in cases]
    shares = spread_within_ceiling(known, seasons[1].acts)
    return tuple(
        replace(one, acts=tuple(lessened(acts, share) for acts, share in zip(one.acts, shares, strict=True)))
        for one in seasons
    )


def _way(one: Decided, years: GardenInYears, tried: InYears | None = None) -> Way:
    """Return a way as it went in the seasons of a garden; tried already where that was more than its visits."""
    given = phosphorus_given(one.acts, years.terms, years.residues)
    return Way(one.name, one.setting, one.acts, tried or years.tried(one.acts), given, one.ceiling)


def freed(garden: Garden) -> Garden:
    """Return a garden whose ceiling of nitrogen fed (R11) never binds."""
    return replace(garden, limits=replace(garden.limits, nitrogen_fed_share=1000.0))
