"""Show one bed: run what really lies there through the possible seasons, beside plan and notes.

Reads the record, writes nothing. Raises InputFault where no garden is kept or no bed is called so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache
from typing import Any

from mullbed.domain.bed import Bed
from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.garden import Garden, Site
from mullbed.domain.plain_values import from_plain
from mullbed.domain.record import Entry
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import Document
from mullbed.domain.record_work import LayerLaid
from mullbed.domain.season_plan import PlannedLayer
from mullbed.domain.shown_bed import ShownBed
from mullbed.domain.signing import Where
from mullbed.errors import Fault, InputFault, NotFound
from mullbed.evidence.backing import backings, case_facts
from mullbed.files.record_garden import (
    DONE_KINDS,
    GARDEN_KINDS,
    KeptGarden,
    document_content,
    doings_in,
    kept_garden,
    weather_in,
)
from mullbed.plan.bed_forecast import forecast_of
from mullbed.plan.garden_as_done import garden_as_done
from mullbed.reference.containers import find_container
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues
from mullbed.safety.waits import sowing_waits
from mullbed.simulate.bed_case import bed_case
from mullbed.simulate.ensemble import draw_members
from mullbed.store.database import open_record
from mullbed.store.journal import entries, latest
from mullbed.store.which_garden import which_garden
from mullbed.weather.place_weather import place_weather
from mullbed.weather.recorded_days import with_known_days

MEMBERS = 256
NOTES = 30
SEED = 1
#: The page looks so far ahead of today, or to the season's end if that is nearer. [d]
AHEAD = 200
#: A planned layer so many days late is told as late; older ones are stale. Judgement. [d]
LATE_UNTIL = 14


@dataclass(frozen=True, slots=True)
class _Told:
    """What the record tells of one bed."""

    kept: KeptGarden
    identity: str
    all: tuple[Entry, ...]
    plan: Entry | None
    notes: tuple[Entry, ...]


def show_bed(where: Where, name: str, today: date, *, members: int = MEMBERS, threads: int = 1) -> ShownBed:
    """Return a bed with its forecast from the day its oldest layer was laid.

    Raises
    ------
    NotFound
        When no bed is called so.
    InputFault
        When the record holds no garden.
    """
    told = _told(where, name)
    garden = garden_as_done(
        told.kept.garden,
        doings_in(told.all, told.kept.carried_over_on),
        today,
        crops=all_crops(),
        residues=all_residues(),
        container=find_container,
        from_today=False,
    )
    bed = garden.bed(name)
    if bed is None:
        raise NotFound("bed", name, tuple(one.name for one in garden.beds)[:5])
    oldest = min((layer.day for layer in bed.layers), default=today)
    first = max(min(oldest, today), today - timedelta(days=400))
    last = min(max(garden.last_day, today + timedelta(days=60)), today + timedelta(days=AHEAD))
    weather = with_known_days(
        _weather(garden.site, first, last, told.kept.station_text), weather_in(told.all), garden.site.latitude
    )
    case = bed_case(bed, weather, all_crops(), all_residues())
    layers = [layer for layer in bed.layers if first <= layer.day <= last]
    begin = max(0, (today - timedelta(days=30) - first).days)
    drawn = draw_members(case, members, SEED)
    forecast, _ = forecast_of(case, layers, drawn, SEED, threads=threads, shown_from=begin, lean=True)
    facts = case_facts(bed.layers, weather, all_residues(), buried=bool(bed.dug_in))
    forecast = replace(forecast, backing=backings(forecast, facts))
    coming, late = _planned(told, name, today)
    seed, fine = _seed_days(garden, bed, today)
    return ShownBed(bed, garden.site.units, today, forecast, coming, late, seed, fine, told.notes, members)


def _told(where: Where, name: str) -> _Told:
    with open_record(where.record) as record, record.reading() as transaction:
        identity = which_garden(transaction, where.garden)
        told = entries(transaction, identity, kinds=(*GARDEN_KINDS, *DONE_KINDS, Kind.WEATHER))
        kept = kept_garden(told)
        if kept is None:
            remedy = "Begin with: mullbed garden new garden.toml"
            raise InputFault([Fault("record", f"no garden file of {identity}", "a garden", remedy)])
        newest = entries(transaction, identity, bed=name, newest=NOTES)
        written = tuple(one for one in reversed(newest) if one.kind not in (Kind.FORECAST, Kind.BED))
        return _Told(kept, identity, told, latest(transaction, identity, Kind.PLAN), written)


@lru_cache(maxsize=8)
def _weather(site: Site, first: date, last: date, station_text: str | None) -> WeatherYears:
    """Return the possible seasons of a place; reading them anew for every look would be slow."""
    return place_weather(site, first, last, SEED, station_text=station_text)


def _planned(told: _Told, name: str, today: date) -> tuple[tuple[PlannedLayer, ...], PlannedLayer | None]:
    """Return the plan's layers of a bed that are still to come, and one that is late."""
    if told.plan is None or not isinstance(told.plan.facts, Document):
        return (), None
    content: Any = document_content(told.plan.facts).get("layers", [])
    laid = {entry.facts.planned_day for entry in told.all if isinstance(entry.facts, LayerLaid) and entry.bed == name}
    mine: Sequence[PlannedLayer] = sorted(
        (from_plain(PlannedLayer, one, "plan") for one in content if one["layer"]["bed"] == name),
        key=lambda one: one.layer.day,
    )
    open_ones = [one for one in mine if one.layer.day not in laid]
    late = [one for one in open_ones if 0 < (today - one.layer.day).days <= LATE_UNTIL]
    return tuple(one for one in open_ones if one.layer.day >= today), late[-1] if late else None


def _seed_days(garden: Garden, bed: Bed, today: date) -> tuple[date, date]:
    """Return the first days robust and fine seed may go in."""
    fresh = [layer.day for layer in bed.layers if layer.day <= today and any(lift.fresh for lift in layer.lifts)]
    if not fresh:
        return today, today
    robust, fine = sowing_waits(garden.limits)
    return max(today, max(fresh) + timedelta(days=robust)), max(today, max(fresh) + timedelta(days=fine))
