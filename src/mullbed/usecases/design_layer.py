"""Design the next layer of one bed from what is in hand, with what the record tells where there is one.

Reads the garden file, its weather and the record, writes nothing. Raises InputFault when any is at fault or the day
lies outside of the season, NoPlan when no layer keeps the rules.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

from mullbed.domain.forecast import BedForecast
from mullbed.domain.garden import Garden
from mullbed.domain.layer_design import LayerDesign, Traded
from mullbed.domain.learnt import LearntGarden
from mullbed.domain.season_plan import PlannedLayer
from mullbed.domain.signing import Where
from mullbed.domain.spread import Spread
from mullbed.domain.supply import supply_names
from mullbed.errors import Fault, InputFault, NoPlan
from mullbed.files.garden_file import read_garden
from mullbed.files.record_told import TOLD_KINDS, Told, told_in
from mullbed.learn.beds import learn_garden
from mullbed.learn.containers import containers_of, learn_containers, with_learnt
from mullbed.learn.harvests import harvest_observations
from mullbed.plan.bed_classes import PLACE, bed_classes
from mullbed.plan.garden_as_done import garden_as_done
from mullbed.plan.layer_design import designed_layer
from mullbed.plan.outcomes import Ensemble
from mullbed.plan.season import season_span
from mullbed.plan.season_terms import base_run, plan_terms
from mullbed.plan.stocks import stocks_of
from mullbed.plan.terms import Week
from mullbed.reference.containers import find_container
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues
from mullbed.safety.limits import refuse_crops, safety_limits
from mullbed.simulate.bed_case import bed_case
from mullbed.weather.place_weather import place_weather
from mullbed.weather.recorded_days import with_known_days


@dataclass(frozen=True, slots=True)
class DesignedLayer:
    """A designed layer and the garden it is for."""

    design: LayerDesign
    garden: Garden
    learnt: LearntGarden | None = None
    """What the record taught; None where none was asked."""

    @property
    def planned(self) -> PlannedLayer:
        """The layer."""
        return self.design.planned

    @property
    def forecast(self) -> BedForecast:
        """The bed with the layer."""
        return self.design.forecast

    @property
    def carbon_to_nitrogen(self) -> Spread:
        """C:N of the whole layer. [g g-1]"""
        return self.design.carbon_to_nitrogen

    @property
    def traded(self) -> tuple[Traded, ...]:
        """Goals that were missed for the sake of others."""
        return self.design.traded


def weeks_around(garden: Garden, day: date) -> tuple[Week, ...]:
    """Return the weeks of the season; in the week of the day, layers are laid on that day."""
    monday = garden.first_day - timedelta(days=garden.first_day.weekday())
    weeks: list[Week] = []
    while monday <= garden.last_day:
        inside = monday <= day < monday + timedelta(days=7)
        weeks.append(Week(len(weeks), monday, (day,) if inside else (monday + timedelta(days=5),)))
        monday += timedelta(days=7)
    return tuple(weeks)


def design_layer(
    path: Path,
    bed: str,
    *,
    today: date,
    day: date | None = None,
    seed: int = 1,
    members: int = 64,
    threads: int = 2,
    where: Where | None = None,
    particles: int = 512,
    progress: Callable[[str], None] = lambda sentence: None,
) -> DesignedLayer:
    """Return the next layer of a bed: on a day, or on the first day from today on which a layer fits.

    Without a day, weeks are tried in turn from today, or from the season's first day where today lies outside of it.
    With a record, the bed is taken as it really lies, buckets hold what was weighed, and the bed has learnt from what
    was seen on it and on its neighbours.

    Raises
    ------
    InputFault
        When the garden or its weather is at fault, no bed is called so, or the day is outside of the season.
    NoPlan
        When no layer keeps the rules.
    RecordError
        When the record cannot be read.
    """
    garden = read_garden(path, needs_supplies=False)
    found = garden.bed(bed)
    faults = []
    if found is None:
        names = ", ".join(one.name for one in garden.beds)
        faults.append(Fault("--bed", f"no bed is called '{bed}'", names, "Choose one of these beds."))
    if day is not None and not garden.first_day <= day <= garden.last_day:
        season = f"{garden.first_day} to {garden.last_day}"
        faults.append(Fault("--day", f"{day} is outside of the season", season, "Give a day of the season."))
    if faults or found is None:
        raise InputFault(faults)
    crops, residues, ensemble = all_crops(), all_residues(), Ensemble(members, seed, threads)
    told: Told | None = None
    learnt: LearntGarden | None = None
    if where is not None:
        told = _told(where)
        weighed = [one for one in told.doings.weighed if one.day <= today]
        buckets = learn_containers(containers_of(garden.containers, weighed, find_container), residues, weighed)
        garden = garden_as_done(
            garden, told.doings, today, crops=crops, residues=residues, container=find_container, from_today=False
        )
        garden = replace(garden, containers=with_learnt(garden.containers, buckets))
        learnt = LearntGarden((), buckets)
        found = garden.bed(bed) or found
    every_bed = garden.beds
    garden = replace(garden, beds=(found,))
    refuse_crops(garden)
    first, last = season_span(garden)
    weather = place_weather(garden.site, first, last, seed)
    if told is not None:
        weather = with_known_days(weather, told.weather, garden.site.latitude)
    own = {container.name: container for container in garden.containers}
    names_used = {supply.container for supply in garden.supplies}
    containers = {name: own[name] if name in own else find_container(name) for name in sorted(names_used)}
    safety = safety_limits(garden, supply_names(garden.supplies), residues)
    stocks = stocks_of(garden.supplies, residues, containers, garden.containers, garden.last_day, safety)
    case = bed_case(found, weather, crops, residues)
    if told is not None and learnt is not None:
        seen = [one for one in told.observations if one.day <= today]
        seen += harvest_observations(every_bed, told.doings.picked, crops)
        cases = [bed_case(one, weather, crops, residues) for one in every_bed]
        posterior = learn_garden(cases, seen, particles, seed, threads, progress)
        learnt = replace(learnt, beds=posterior.beds, unused=posterior.unused)
        if posterior.beds:
            case = posterior.told(case)
            ensemble = replace(ensemble, learned=posterior.learned(case).at_place(found.name, PLACE))
    monday = garden.first_day - timedelta(days=garden.first_day.weekday())
    first_day = (monday - first).days
    progress(f"Running {found.name} as it is.")
    run = base_run(case, ensemble, first_day)
    can = (own.get("can") or find_container("can")).litres.mid
    refused: NoPlan | None = None
    for chosen in [day] if day is not None else days_from(garden, today):
        weeks = weeks_around(garden, chosen)
        terms = plan_terms(
            garden, weeks, stocks, [case], [run], bed_classes([case], first_day), crops, residues, first_day, safety
        )
        progress(f"Trying layers on {chosen}.")
        try:
            design = designed_layer(
                terms,
                (chosen - monday).days // 7,
                case,
                residues,
                ensemble,
                first_day,
                (garden.first_day - first).days,
                can,
            )
        except NoPlan as none:
            refused = refused or none
            continue
        return DesignedLayer(design, garden, learnt)
    raise refused or NoPlan(["the season is over"])


def _told(where: Where) -> Told:
    from mullbed.store.database import open_record
    from mullbed.store.journal import entries
    from mullbed.store.which_garden import which_garden

    with open_record(where.record) as record, record.reading() as transaction:
        return told_in(entries(transaction, which_garden(transaction, where.garden), kinds=TOLD_KINDS))


def days_from(garden: Garden, today: date) -> list[date]:
    """Return the days that are tried: today, or the season's first day, and every week after it."""
    start = today if garden.first_day <= today <= garden.last_day else garden.first_day
    count = (garden.last_day - start).days // 7
    return [start + timedelta(days=7 * week) for week in range(count + 1)]
