"""Today's walk: bed by bed what is due, from the record and the forecast and plan kept in it.

Reads the record, writes nothing, runs no simulation. Raises InputFault where no garden is kept.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from mullbed.domain.garden import Garden, UnitSystem
from mullbed.domain.observation import Observation
from mullbed.domain.plain_values import from_plain
from mullbed.domain.record import Entry
from mullbed.domain.record_batches import BatchDecided, BatchTaken, BeanTestRead, BeanTestSetUp, Decision
from mullbed.domain.record_crops import Harvested, Sown
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import Document
from mullbed.domain.record_seen import Observed, WeatherDay
from mullbed.domain.record_work import CoverDrawnBack, LayerLaid
from mullbed.domain.residue import Group
from mullbed.domain.season_plan import PlannedLayer
from mullbed.domain.signing import Where
from mullbed.domain.walk import Round
from mullbed.errors import Fault, InputFault
from mullbed.files.kept_forecast import read_forecast
from mullbed.files.record_garden import DONE_KINDS, GARDEN_KINDS, KeptGarden, document_content, doings_in, kept_garden
from mullbed.plan.garden_as_done import garden_as_done
from mullbed.plan.walk import NOSE_DAYS, BedToday, GardenToday, heap_stops, ranked, visit
from mullbed.reference.containers import find_container
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues
from mullbed.store.database import Transaction, open_record
from mullbed.store.journal import entries, latest, latest_by_bed, written_since
from mullbed.store.which_garden import which_garden

#: How far back work is read for the walk; older layers are told by their latest entry. [d]
BACK_DAYS = 60
#: A word for the rain to come holds so long. [d]
RAIN_DAYS = 2
#: Kinds the walk reads, and how far back: work, then what nose and hand told, then weather. [d]
RECENT = (
    (tuple(kind for kind in DONE_KINDS if kind is not Kind.WATER), BACK_DAYS),
    ((Kind.SEEN,), NOSE_DAYS),
    ((Kind.WEATHER,), RAIN_DAYS),
)
#: A forecast or plan older than this is told as old. Judgement. [d]
FRESH_DAYS = 7
#: Absences that begin so soon are told. [d]
AWAY_DAYS = 14
#: What is written of these kinds changes a forecast.
CHANGING = (Kind.LAYER, Kind.WATER, Kind.DRAWN_BACK, Kind.SOWN, Kind.HARVEST, Kind.FED, Kind.DUG_IN, Kind.SEEN)


@dataclass(frozen=True, slots=True)
class WalkedRound:
    """The walk, and the units of its garden."""

    walk: Round
    units: UnitSystem


@dataclass(frozen=True, slots=True)
class _Read:
    """What the walk reads of the record."""

    kept: KeptGarden
    recent: tuple[Entry, ...]
    last: dict[tuple[str, str], Entry]
    """Latest entry by bed and kind."""
    tests: tuple[Entry, ...]
    batches: tuple[Entry, ...]
    plan: Entry | None
    forecasts: dict[str, Entry]
    since: int


def walk_round(where: Where, today: date) -> WalkedRound:
    """Return today's walk.

    Raises
    ------
    InputFault
        When the record holds no garden.
    """
    with open_record(where.record) as record, record.reading() as transaction:
        read = _read(transaction, where, today)
    garden = garden_as_done(
        read.kept.garden,
        doings_in(_done(read), read.kept.carried_over_on),
        today,
        crops=all_crops(),
        residues=all_residues(),
        container=find_container,
        from_today=False,
    )
    planned = _planned(read, today)
    now = _garden_today(garden, read, planned, today)
    visits = ranked(
        replace(visit(now, _bed_today(name, garden, read, planned, today)), place=place)
        for place, name in enumerate(_names(garden))
    )
    heap = heap_stops(now)
    due = [stop.minutes for one in visits for stop in one.stops] + [stop.minutes for stop in heap]
    made = min((entry.day for entry in read.forecasts.values()), default=None)
    plan_made = read.plan.day if read.plan is not None else None
    fresh = made is not None and (today - made).days <= FRESH_DAYS and read.since == 0
    walk = Round(
        garden=garden.site.name,
        day=today,
        visits=visits,
        heap=heap,
        minutes=sum(due),
        forecast_made=made,
        plan_made=plan_made,
        fresh=fresh,
        written_since=read.since,
        rain_expected=now.rain_expected,
        away_from=now.away_from,
    )
    return WalkedRound(walk, garden.site.units)


def _read(transaction: Transaction, where: Where, today: date) -> _Read:
    identity = which_garden(transaction, where.garden)
    kept = kept_garden(entries(transaction, identity, kinds=GARDEN_KINDS))
    if kept is None:
        remedy = "Begin with: mullbed garden new garden.toml"
        raise InputFault([Fault("record", f"no garden file of {identity}", "a garden", remedy)])
    names = _names(kept.garden)
    recent = tuple(
        entry
        for kinds, days in RECENT
        for entry in entries(transaction, identity, kinds=kinds, first_day=today - timedelta(days=days), last_day=today)
    )
    last = latest_by_bed(transaction, identity, (Kind.LAYER, Kind.SEEN, Kind.WATER, Kind.DRAWN_BACK), names)
    forecasts = {
        bed: entry for (bed, _), entry in latest_by_bed(transaction, identity, (Kind.FORECAST,), names).items()
    }
    oldest = min((entry.written_at for entry in forecasts.values()), default=None)
    return _Read(
        kept=kept,
        recent=recent,
        last={key: entry for key, entry in last.items() if entry.day <= today},
        tests=entries(
            transaction, identity, kinds=(Kind.TEST_SET_UP, Kind.TEST_READ), first_day=today - timedelta(days=120)
        ),
        batches=entries(transaction, identity, kinds=(Kind.BATCH, Kind.BATCH_DECISION)),
        plan=latest(transaction, identity, Kind.PLAN),
        forecasts=forecasts,
        since=written_since(transaction, identity, oldest, CHANGING) if oldest is not None else 0,
    )


def _names(garden: Garden) -> tuple[str, ...]:
    return tuple(bed.name for bed in garden.beds)


def _done(read: _Read) -> tuple[Entry, ...]:
    """Return recent work, and the last layer of beds where it is older."""
    known = {entry.id for entry in read.recent}
    older = [entry for entry in read.last.values() if entry.kind == Kind.LAYER and entry.id not in known]
    return (*older, *read.recent)


def _garden_today(
    garden: Garden, read: _Read, planned: dict[str, tuple[PlannedLayer, ...]], today: date
) -> GardenToday:
    residues = all_residues()
    wanted = {
        (lift.residue, one.layer.day) for layers in planned.values() for one in layers for lift in one.layer.lifts
    }
    own = {one.name: one for one in garden.containers}
    dry = next(
        (one for one in garden.supplies if residues[one.residue].group is Group.DRY and not one.held_because), None
    )
    container = ("bucket", find_container("bucket").litres.mid)
    if dry is not None:
        holds = own[dry.container] if dry.container in own else find_container(dry.container)
        container = (dry.container, holds.litres.mid)
    spoiling = []
    for one in garden.supplies:
        shelf = one.shelf_life_days
        if shelf is None and not one.dried:
            shelf = residues[one.residue].shelf_life_days
        if one.every_days is None and one.first_day <= today and shelf is not None and not one.held_because:
            last = one.first_day + timedelta(days=round(shelf))
            if not any(residue == one.residue and day <= last for residue, day in wanted):  # else the plan uses it
                spoiling.append((one.residue, one.container, one.count, last))
    return GardenToday(
        day=today,
        can_litres=(own.get("can") or find_container("can")).litres.mid,
        dry_container=container,
        dry_thing=dry.residue if dry is not None else None,
        rain_expected=_rain_expected(read.recent, today),
        tests_due=_tests_due(read),
        spoiling=tuple(spoiling),
        away_from=_away_from(garden, today),
        latitude=garden.site.latitude,
    )


def _rain_expected(recent: Iterable[Entry], today: date) -> str | None:
    """Return the newest word for the rain of today and the days after."""
    told = [
        (entry.day, entry.written_at, entry.facts.expected)
        for entry in recent
        if isinstance(entry.facts, WeatherDay) and entry.facts.expected is not None
        if 0 <= (today - entry.day).days <= RAIN_DAYS
    ]
    return str(max(told)[2]) if told else None


def _tests_due(read: _Read) -> tuple[tuple[str, date], ...]:
    """Return held batches and the day their next reading is due."""
    free = {
        entry.batch
        for entry in read.batches
        if isinstance(entry.facts, BatchDecided) and entry.facts.decision is not Decision.HOLD_AND_TEST
    }
    held = {
        entry.batch
        for entry in read.batches
        if isinstance(entry.facts, BatchTaken) and entry.facts.decision is Decision.HOLD_AND_TEST
    }
    readings: dict[str, int] = {}
    over: set[str] = set()
    for entry in read.tests:
        if isinstance(entry.facts, BeanTestRead):
            readings[entry.facts.set_up] = readings.get(entry.facts.set_up, 0) + 1
            if entry.facts.last:
                over.add(entry.facts.set_up)
    due = []
    for entry in read.tests:
        if isinstance(entry.facts, BeanTestSetUp) and entry.id not in over and entry.batch in held - free:
            done = readings.get(entry.id, 0)
            if done < len(entry.facts.due):
                due.append((str(entry.batch), entry.facts.due[done]))
    return tuple(sorted(due, key=lambda one: one[1]))


def _away_from(garden: Garden, today: date) -> date | None:
    coming = [first for first, _ in garden.site.weeks_away if 0 < (first - today).days <= AWAY_DAYS]
    return min(coming, default=None)


def _planned(read: _Read, today: date) -> dict[str, tuple[PlannedLayer, ...]]:
    """Return the plan's layers that were not laid, by bed; those that were carry the day they were planned for."""
    if read.plan is None or not isinstance(read.plan.facts, Document):
        return {}
    content: Any = document_content(read.plan.facts).get("layers", [])
    done = {
        (entry.bed, entry.facts.planned_day)
        for entry in read.recent
        if isinstance(entry.facts, LayerLaid) and entry.facts.planned_day is not None
    }
    found: dict[str, list[PlannedLayer]] = {}
    for one in content:
        day = date.fromisoformat(one["layer"]["day"])
        bed = one["layer"]["bed"]
        if (bed, day) not in done and day >= today - timedelta(days=BACK_DAYS):
            found.setdefault(bed, []).append(from_plain(PlannedLayer, one, "plan"))
    return {bed: tuple(layers) for bed, layers in found.items()}


def _bed_today(
    name: str, garden: Garden, read: _Read, planned: dict[str, tuple[PlannedLayer, ...]], today: date
) -> BedToday:
    bed = garden.bed(name)
    if bed is None:
        raise AssertionError("a bed of the garden is in the garden")
    here = [entry for entry in read.recent if entry.bed == name]
    seen = tuple(
        entry.facts.observation(name, entry.day, entry.id) for entry in here if isinstance(entry.facts, Observed)
    )
    coming = planned.get(name, ())
    drawn = read.last.get((name, Kind.DRAWN_BACK))
    aside = drawn is not None and isinstance(drawn.facts, CoverDrawnBack) and not drawn.facts.put_back
    return BedToday(
        bed=bed,
        planned=coming,
        seen=seen,
        looked_last=_day(read, name, Kind.SEEN),
        watered_last=_day(read, name, Kind.WATER),
        drawn_back=drawn.day if drawn is not None and aside else None,
        done_crops=_done_crops(here),
        moisture=_forecast(read, name, "moisture", today),
        thickness=_forecast(read, name, "thickness", today),
        cautions=_cautions(coming, seen, today),
    )


def _done_crops(here: Sequence[Entry]) -> frozenset[tuple[str, str]]:
    sown = {("sown", entry.facts.crop) for entry in here if isinstance(entry.facts, Sown)}
    over = {("harvest", entry.facts.crop) for entry in here if isinstance(entry.facts, Harvested) and entry.facts.last}
    return frozenset(sown | over)


def _day(read: _Read, bed: str, kind: Kind) -> date | None:
    entry = read.last.get((bed, kind))
    return entry.day if entry is not None else None


def _forecast(read: _Read, bed: str, series: str, today: date) -> tuple[float, float, float] | None:
    entry = read.forecasts.get(bed)
    if entry is None or not isinstance(entry.facts, Document):
        return None
    try:
        return read_forecast(entry.facts.content).at(series, today)
    except InputFault:
        return None


def _cautions(planned: Sequence[PlannedLayer], seen: Sequence[Observation], today: date) -> tuple[str, ...]:
    """Return cautions of the next layer when it is due, and of what was seen."""
    due = [one for one in planned if (one.layer.day - today).days <= 2][:1]
    keys = [key for one in due for key in one.cautions]
    if any(one.what == "threads" and one.word == "dusty mould" for one in seen):
        keys.append("dust")
    return tuple(dict.fromkeys(keys))[:3]
