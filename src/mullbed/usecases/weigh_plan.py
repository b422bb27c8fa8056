"""Weigh planning for what may come against planning for the mean season, in weather years neither plan knew.

Reads the garden file and its weather. Raises InputFault when either is at fault, NoPlan when nothing fits the limits.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np

from mullbed.domain.plan_worth import PlanWorth
from mullbed.domain.supply import supply_names
from mullbed.files.garden_file import read_garden
from mullbed.plan.garden_tables import tables_of
from mullbed.plan.outcomes import Ensemble
from mullbed.plan.scenarios import scenarios_of
from mullbed.plan.season import USUAL_OUTLOOK, plan_season, problem_of, season_span
from mullbed.plan.solve import Effort
from mullbed.plan.unseen import GardenInYears, acts_of
from mullbed.reference.residues import all_residues
from mullbed.safety.limits import refuse_crops, safety_limits
from mullbed.weather.held_out import seen_and_unseen

#: Unseen members, and the distance of their seed from the one planned with.
UNSEEN_MEMBERS, OTHER_SEED = 128, 7919


def weigh_plan(
    path: Path,
    *,
    seed: int = 1,
    members: int = 16,
    gap: float = 0.01,
    threads: int = 2,
    progress: Callable[[str], None] = lambda sentence: None,
) -> PlanWorth:
    """Return both plans in the same unseen seasons.

    Parameters
    ----------
    path : Path
        The garden file.
    seed : int
        Equal seeds give equal answers.
    members : int
        Members the plans are made with.
    gap : float
        Proven gap at which the solver may stop. [fraction]
    threads : int
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
    plans = []
    for outlook, told in ((USUAL_OUTLOOK, "what may come"), (None, "the mean season")):
        progress(f"Planning for {told}.")
        ensemble, effort = Ensemble(members, seed, threads), Effort(gap=gap)
        plans.append(
            plan_season(garden, seen, tables, ensemble=ensemble, effort=effort, outlook=outlook, progress=progress)
        )
    progress("Trying both plans in years they do not know.")
    other = Ensemble(UNSEEN_MEMBERS, seed + OTHER_SEED, threads)
    problem = problem_of(garden, unseen, tables, other)
    scenarios = scenarios_of(problem.terms, UNSEEN_MEMBERS, seed + OTHER_SEED)
    years = GardenInYears(problem, scenarios, tables.residues, other)
    ahead, mean = (years.tried(acts_of(plan, problem.terms)) for plan in plans)
    saved = mean.cost - ahead.cost
    low, middle, high = np.percentile(saved, (10.0, 50.0, 90.0))
    return PlanWorth(
        garden.site.name,
        seen.labels,
        unseen.labels,
        scenarios.count,
        ahead.summary(len(plans[0].layers)),
        mean.summary(len(plans[1].layers)),
        (float(low), float(middle), float(high)),
        float(np.mean(saved > 0.0)),
    )
