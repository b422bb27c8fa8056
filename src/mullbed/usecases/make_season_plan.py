"""Make the season plan of a garden, from its file or from what was really done.

Reads the garden file and its weather, or the record; writes the plan to the record where it is signed. Raises
InputFault when any of them is at fault, NoPlan when nothing fits the limits.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.doings import Doings
from mullbed.domain.forecast import BedForecast
from mullbed.domain.garden import Garden
from mullbed.domain.layer import Layer
from mullbed.domain.observation import Observation
from mullbed.domain.plain_values import from_plain, to_plain
from mullbed.domain.plan_changes import LayerChange, plan_changes
from mullbed.domain.record import Entry
from mullbed.domain.record_codec import canonical
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import Document
from mullbed.domain.record_seen import WeatherDay
from mullbed.domain.season_plan import PlannedLayer, SeasonPlan
from mullbed.domain.signing import Signature, Where
from mullbed.domain.supply import supply_names
from mullbed.domain.wishes import Wishes
from mullbed.errors import Fault, InputFault
from mullbed.evidence.backing import backings, case_facts
from mullbed.files.garden_file import read_garden
from mullbed.files.kept_forecast import observations_in
from mullbed.files.record_garden import (
    DONE_KINDS,
    GARDEN_KINDS,
    KeptGarden,
    document_content,
    doings_in,
    kept_garden,
    weather_in,
)
from mullbed.learn.beds import learn_garden
from mullbed.learn.containers import containers_of, learn_containers, with_learnt
from mullbed.plan.garden_as_done import garden_as_done
from mullbed.plan.garden_tables import tables_of
from mullbed.plan.outcomes import Ensemble
from mullbed.plan.season import plan_season, season_span
from mullbed.plan.solve import Effort
from mullbed.plan.standing_plan import StandingPlan
from mullbed.reference.containers import find_container
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues
from mullbed.safety.limits import refuse_crops, safety_limits
from mullbed.simulate.bed_case import bed_case
from mullbed.weather.place_weather import place_weather
from mullbed.weather.recorded_days import with_known_days

#: Particles that beds learn with before a plan is made of what they share.
PARTICLES = 256


@dataclass(frozen=True, slots=True)
class MadePlan:
    """A plan and the garden it is for."""

    plan: SeasonPlan
    garden: Garden
    changes: tuple[LayerChange, ...] | None = None
    """What it does otherwise than the plan kept before it, from its day on; None where none was kept."""


def make_season_plan(
    path: Path,
    *,
    seed: int = 1,
    members: int = 16,
    gap: float = 0.02,
    threads: int = 2,
    where: Where | None = None,
    today: date | None = None,
    signed: Signature | None = None,
    wishes: Wishes | None = None,
    progress: Callable[[str], None] = lambda sentence: None,
    stop: Callable[[], bool] = lambda: False,
) -> MadePlan:
    """Return the plan of a garden and the garden.

    Parameters
    ----------
    path : Path
        The garden file; not read where the record tells the garden.
    seed : int
        Equal seeds give equal plans.
    members : int
        Members each candidate is priced with, 16 to 64.
    gap : float
        Proven gap at which the solver may stop. [fraction]
    threads : int
    where : Where, optional
        The record to plan from: the garden it tells, what was laid, used, sown, picked and rained until today; the
        season is planned from today on. Buckets hold what was weighed, and what notes taught of all beds counts.
    today : date, optional
        The day it is; needed with a record.
    signed : Signature, optional
        Keeps the plan in the record under this name, as a new version.
    wishes : Wishes, optional
        Beds left alone, layers of the plan so far that stay, supplies used first.
    progress : callable
        Told a sentence now and then.
    stop : callable
        Asked now and then whether the best plan so far will do.

    Raises
    ------
    InputFault
        When the garden, its weather or the record is at fault.
    NoPlan
        When nothing fits the limits.
    """
    told = _told(where) if where is not None else None
    if told is not None:
        garden = garden_as_done(
            told.kept.garden,
            told.doings,
            today or told.kept.garden.first_day,
            crops=all_crops(),
            residues=all_residues(),
            container=find_container,
        )
        buckets = learn_containers(
            containers_of(garden.containers, told.doings.weighed, find_container), all_residues(), told.doings.weighed
        )
        garden = replace(garden, containers=with_learnt(garden.containers, buckets))
    else:
        garden = read_garden(path, needs_supplies=False)
    refuse_crops(garden)
    first, last = season_span(garden)
    progress("Reading the weather.")
    station = told.kept.station_text if told is not None else None
    weather = place_weather(garden.site, first, last, seed, station_text=station)
    if told is not None:
        weather = with_known_days(weather, told.weather, garden.site.latitude)
    ensemble = Ensemble(members, seed, threads)
    seen = [one for one in told.observations if today is None or one.day <= today] if told is not None else []
    if seen:
        cases = [bed_case(one, weather, all_crops(), all_residues()) for one in garden.beds]
        learned = learn_garden(cases, seen, PARTICLES, seed, threads, progress).common()
        ensemble = replace(ensemble, learned=learned)
    before = told.planned if told is not None else None
    since = max(today or garden.first_day, garden.first_day)
    plan = plan_season(
        garden,
        weather,
        tables_of(garden, safety_limits(garden, supply_names(garden.supplies), all_residues())),
        ensemble=ensemble,
        effort=Effort(gap=gap, stop=stop),
        standing=StandingPlan(tuple(one for one in before or () if one.day >= since), wishes or Wishes()),
        progress=progress,
    )
    plan = replace(plan, forecasts=_with_backing(plan, garden, weather))
    changes = None
    if where is not None and signed is not None:
        _keep(plan, where, signed)
        if before is not None:
            changes = plan_changes(before, [one.layer for one in plan.layers], today or plan.first_day)
    return MadePlan(plan, garden, changes)


def _with_backing(plan: SeasonPlan, garden: Garden, weather: WeatherYears) -> dict[str, BedForecast]:
    """Return the plan's forecasts, each series with its class: data-backed or extrapolation."""
    told = {}
    for name, forecast in plan.forecasts.items():
        bed = garden.bed(name)
        laid = [one.layer for one in plan.layers if one.layer.bed == name]
        before = list(bed.layers) if bed is not None else []
        facts = case_facts([*before, *laid], weather, all_residues(), buried=bool(bed and bed.dug_in))
        told[name] = replace(forecast, backing=backings(forecast, facts))
    return told


@dataclass(frozen=True, slots=True)
class _Told:
    """What the record tells a plan."""

    kept: KeptGarden
    doings: Doings
    weather: tuple[tuple[date, WeatherDay], ...]
    observations: tuple[Observation, ...]
    planned: tuple[Layer, ...] | None
    """Layers of the plan kept last; None where none was kept."""


def _told(where: Where) -> _Told:
    from mullbed.store.database import open_record
    from mullbed.store.journal import entries, latest
    from mullbed.store.which_garden import which_garden

    with open_record(where.record) as record, record.reading() as transaction:
        identity = which_garden(transaction, where.garden)
        told = entries(transaction, identity, kinds=(*GARDEN_KINDS, *DONE_KINDS, Kind.WEATHER, Kind.SEEN))
        last = latest(transaction, identity, Kind.PLAN)
    kept = kept_garden(told)
    if kept is None:
        remedy = "Begin with: mullbed garden new garden.toml"
        raise InputFault([Fault("record", f"no garden file of {identity}", "a garden", remedy)])
    planned = _layers_in(last.facts) if last is not None and isinstance(last.facts, Document) else None
    return _Told(kept, doings_in(told, kept.carried_over_on), weather_in(told), observations_in(told), planned)


def _layers_in(document: Document) -> tuple[Layer, ...]:
    found = document_content(document).get("layers", [])
    layers = found if isinstance(found, list) else []
    return tuple(from_plain(PlannedLayer, one, "plan").layer for one in layers)


def _keep(plan: SeasonPlan, where: Where, signed: Signature) -> None:
    """Keep a plan in the record as a new version; its forecasts, which are run anew any time, are left out."""
    from mullbed.store.database import open_record
    from mullbed.store.journal import append, latest
    from mullbed.store.which_garden import which_garden

    content = canonical(to_plain(replace(plan, forecasts={})))
    with open_record(where.record) as record, record.writing() as transaction:
        identity = which_garden(transaction, where.garden)
        before = latest(transaction, identity, Kind.PLAN)
        known = before.facts if before is not None and isinstance(before.facts, Document) else None
        if known is not None and known.content == content:
            return
        facts = Document("season plan", 1 if known is None else known.version + 1, content)
        entry = Entry(signed.new_id(), identity, Kind.PLAN, signed.today, signed.now, signed.author, facts)
        append(transaction, [entry])
