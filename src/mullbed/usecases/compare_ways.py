"""Compare ways of gardening on one garden: the plan, fixed rules, a pile, chips, digging in, nothing.

Reads the garden file and its weather. Raises InputFault when either is at fault, NoPlan when nothing fits the limits.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from mullbed.domain.garden import Garden
from mullbed.domain.supply import supply_names
from mullbed.domain.ways import WaysCompared
from mullbed.files.garden_file import read_garden
from mullbed.plan.outcomes import Ensemble, drawn_members
from mullbed.plan.scenarios import scenarios_of
from mullbed.plan.season import USUAL_OUTLOOK, Tables, plan_season, problem_of, season_span
from mullbed.plan.season_terms import phosphorus_removed
from mullbed.plan.solve import Effort
from mullbed.plan.unseen import GardenInYears, acts_of
from mullbed.plan.way_other import DUG_EVERY, DUG_IN, chips, dug_in
from mullbed.plan.way_pile import gathered, pile_season, share_lost
from mullbed.plan.way_rules import RULES, laid_by
from mullbed.plan.way_years import Acts, Against, Way, phosphorus_given, setting_words, told, tuned, with_the_pile
from mullbed.reference.containers import find_container
from mullbed.reference.crops import all_crops
from mullbed.reference.pile import the_pile
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
    tables = _tables(garden)
    seen, unseen = seen_and_unseen(garden.site, *season_span(garden), seed)
    small = Ensemble(TUNING_MEMBERS, seed, threads)
    known = problem_of(garden, seen, tables, small)
    tuning = GardenInYears(known, scenarios_of(known.terms, TUNING_MEMBERS, seed), tables.residues, small)
    found: list[tuple[str, str, Acts, bool]] = []
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
        found.append(("planned", "", acts_of(plan, known.terms), ceiling))
        for rule in RULES:
            setting, acts = tuned(rule, tuning, USUAL_OUTLOOK, progress, ceiling)
            found.append((rule.name, setting_words(setting), acts, ceiling))
    pile, residues = the_pile(), tables.residues
    digging = dug_in(laid_by(DUG_IN, DUG_EVERY, known.terms), pile)
    found.append(("dug in", setting_words(DUG_EVERY), digging, True))
    found.append(("wood chips", "5 cm once", chips(known.terms, residues[CHIPS]), True))
    found.append(("nothing", "", tuple(() for _ in known.terms.beds), True))

    progress("Trying every way in years nobody planned with.")
    other = Ensemble(unseen_members, seed + OTHER_SEED, threads)
    problem = problem_of(garden, unseen, tables, other)
    terms = problem.terms
    scenarios = scenarios_of(terms, unseen_members, seed + OTHER_SEED)
    years = GardenInYears(problem, scenarios, residues, other)
    ways = [
        Way(name, setting, acts, years.tried(acts), phosphorus_given(acts, terms, residues), ceiling)
        for name, setting, acts, ceiling in found
    ]
    heap = gathered(found[0][2], terms)
    lost = share_lost(heap, pile)
    piles = [
        pile_season(heap, terms, residues[RIPE], pile, share, mineral, turns)
        for share, mineral, turns in zip(
            (lost.low, lost.mid, lost.high),
            (pile.mineral_share.high, pile.mineral_share.mid, pile.mineral_share.low),
            (pile.turns.low, pile.turns.mid, pile.turns.high),
            strict=True,
        )
    ]
    spread = piles[1].acts
    piled = Way(
        "pile", "ripe in spring", spread, with_the_pile(years, piles), phosphorus_given(spread, terms, residues)
    )
    ways.insert(-3, piled)
    area = sum(bed.area for bed in terms.beds)
    removed = sum(bed.area * phosphorus_removed(bed, tables.crops, garden.first_day.year) for bed in garden.beds)
    kept, let_go = (way.years for way in ways if way.name == "planned")
    against = Against(
        terms,
        kept,
        let_go,
        drawn_members(problem.cases[0], other).year_of[scenarios.member].astype(float),
        removed / area,
    )
    return WaysCompared(
        garden=garden.site.name,
        area=area,
        planned_with=seen.labels,
        tried_in=unseen.labels,
        seasons=scenarios.count,
        gap=gaps[0],
        gap_ceiling_let_go=gaps[1],
        ways=tuple(told(way, against) for way in ways),
    )


def freed(garden: Garden) -> Garden:
    """Return a garden whose ceiling of nitrogen fed (R11) never binds."""
    return replace(garden, limits=replace(garden.limits, nitrogen_fed_share=1000.0))


def _tables(garden: Garden) -> Tables:
    own = {container.name: container for container in garden.containers}
    names = sorted({supply.container for supply in garden.supplies})
    containers = {name: own[name] if name in own else find_container(name) for name in names}
    can = own.get("can") or find_container("can")
    safety = safety_limits(garden, supply_names(garden.supplies), all_residues())
    return Tables(all_crops(), all_residues(), containers, can.litres.mid, safety)
