"""Make the season plan of a garden.

Reads the garden file and its weather, writes nothing. Raises InputFault when either is at fault, NoPlan when nothing
fits the limits.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from mullbed.domain.garden import Garden
from mullbed.domain.season_plan import SeasonPlan
from mullbed.domain.supply import supply_names
from mullbed.files.garden_file import read_garden
from mullbed.plan.outcomes import Ensemble
from mullbed.plan.season import Tables, plan_season, season_span
from mullbed.plan.solve import Effort
from mullbed.reference.containers import find_container
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues
from mullbed.safety.limits import refuse_crops, safety_limits
from mullbed.weather.place_weather import place_weather


@dataclass(frozen=True, slots=True)
class MadePlan:
    """A plan and the garden it is for."""

    plan: SeasonPlan
    garden: Garden


def tables_for(garden: Garden) -> Tables:
    """Return the crops, residues and containers a garden names, and the limits of safety there."""
    own = {container.name: container for container in garden.containers}
    names = {supply.container for supply in garden.supplies}
    containers = {name: own[name] if name in own else find_container(name) for name in sorted(names)}
    can = own.get("can") or find_container("can")
    safety = safety_limits(garden, supply_names(garden.supplies), all_residues())
    return Tables(all_crops(), all_residues(), containers, can.litres.mid, safety)


def make_season_plan(
    path: Path,
    *,
    seed: int = 1,
    members: int = 16,
    gap: float = 0.05,
    threads: int = 2,
    progress: Callable[[str], None] = lambda sentence: None,
) -> MadePlan:
    """Return the plan of a garden and the garden.

    Parameters
    ----------
    path : Path
        The garden file.
    seed : int
        Equal seeds give equal plans.
    members : int
        Members each candidate is priced with, 16 to 64.
    gap : float
        Proven gap at which the solver may stop. [fraction]
    threads : int
    progress : callable
        Told a sentence now and then.

    Raises
    ------
    InputFault
        When the garden or its weather is at fault.
    NoPlan
        When nothing fits the limits.
    """
    garden = read_garden(path, needs_supplies=False)
    refuse_crops(garden)
    first, last = season_span(garden)
    progress("Reading the weather.")
    weather = place_weather(garden.site, first, last, seed)
    plan = plan_season(
        garden,
        weather,
        tables_for(garden),
        ensemble=Ensemble(members, seed, threads),
        effort=Effort(gap=gap),
        progress=progress,
    )
    return MadePlan(plan, garden)
