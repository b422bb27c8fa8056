"""From the garden as done and the record's entries to what is in hand: heaps, what is held, tests, how far it lasts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from mullbed.domain.garden import Garden
from mullbed.domain.in_hand import BeanTest, Heap, InHand
from mullbed.domain.layer import Lift
from mullbed.domain.record import Entry
from mullbed.domain.record_batches import BatchTaken, BeanTestRead, BeanTestSetUp
from mullbed.domain.record_crops import Harvested
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_work import LayerLaid, Watered
from mullbed.domain.season_plan import PlannedLayer
from mullbed.domain.supply import Supply
from mullbed.reference.containers import find_container
from mullbed.reference.residues import all_residues

#: A planned layer so many days late still counts as coming. Judgement. [d]
LATE_UNTIL = 14
COUNTED = "counted"
"""Word behind the name of what was counted of a supply that comes again."""


def in_hand(garden: Garden, told: Sequence[Entry], coming: Sequence[PlannedLayer] | None, today: date) -> InHand:
    """Return what is in hand.

    Parameters
    ----------
    garden : Garden
        As it was done until today.
    told : sequence of Entry
        Standing entries of work, supplies, batches and tests.
    coming : sequence of PlannedLayer or None
        Layers of the plan; None without a plan.
    today : date
    """
    batches = {entry.batch for entry in told if isinstance(entry.facts, BatchTaken)}
    heaps = [_held_still(one, batches, today) for one in _heaps(garden, today)]
    tests = _tests(told, today)
    enough, short = _enough(told, coming, [one for one in heaps if one.held_because is None], garden, today)
    held = tuple(one for one in heaps if one.held_because is not None)
    tested = {one.batch for one in tests}
    counted = [one.day for one in told if one.kind in (Kind.SUPPLY, Kind.BATCH) and one.day <= today]
    return InHand(
        garden=garden,
        today=today,
        heaps=tuple(
            sorted(
                (one for one in heaps if one.held_because is None),
                key=lambda one: (one.keeps_until or date.max, -one.volume),
            )
        ),
        held=held,
        tests=tests,
        untested=tuple(one.name for one in held if one.name in batches and one.name not in tested),
        layers_enough=enough,
        short_first=short,
        last_water={
            entry.bed or "": entry.facts.said
            for entry in sorted(told, key=lambda one: (one.day, one.written_at))
            if isinstance(entry.facts, Watered) and entry.facts.said
        },
        last_harvest={
            (entry.bed or "", entry.facts.crop): entry.facts.fresh_kg
            for entry in sorted(told, key=lambda one: (one.day, one.written_at))
            if isinstance(entry.facts, Harvested)
        },
        counted_on=max(counted, default=None),
    )


def _held_still(heap: Heap, batches: set[str | None], today: date) -> Heap:
    """Return a heap as it is held today: a hold of the garden file ends on its day, a batch's when somebody decides."""
    over = heap.held_until is not None and today >= heap.held_until and heap.name not in batches
    return replace(heap, held_because=None, held_until=None) if over else heap


def _litres(garden: Garden, name: str) -> float:
    own = {one.name: one.litres.mid for one in garden.containers}
    return own[name] if name in own else find_container(name).litres.mid


def keeps_until(supply: Supply) -> date | None:
    shelf = supply.shelf_life_days
    if shelf is None and not supply.dried:
        row = all_residues().get(supply.residue)
        shelf = row.shelf_life_days if row is not None else None
    return None if shelf is None else supply.first_day + timedelta(days=round(shelf))


def own_name(supply: Supply) -> str:
    name = supply.name or supply.residue
    return name.removesuffix(f", {COUNTED}")


def _heaps(garden: Garden, today: date) -> list[Heap]:
    """Return what is there, arrivals of one supply taken together; what spoils first names the day."""
    found: dict[str, Heap] = {}
    for supply in garden.supplies:
        if supply.first_day > today or supply.every_days is not None:
            continue
        held = supply.held_because
        until = keeps_until(supply)
        name = own_name(supply)
        if name in found and (found[name].residue, found[name].container) == (supply.residue, supply.container):
            one = found[name]
            days = [day for day in (one.keeps_until, until) if day is not None]
            found[name] = replace(
                one,
                count=one.count + supply.count,
                since=max(one.since, supply.first_day),
                keeps_until=min(days, default=None),
            )
            continue
        found[name] = Heap(
            name,
            supply.residue,
            supply.container,
            _litres(garden, supply.container),
            supply.count,
            supply.first_day,
            supply.dried,
            until,
            held,
            supply.held_until if held is not None else None,
        )
    return list(found.values())


def _tests(told: Sequence[Entry], today: date) -> tuple[BeanTest, ...]:
    readings: dict[str, int] = {}
    over: set[str] = set()
    for entry in told:
        if isinstance(entry.facts, BeanTestRead):
            readings[entry.facts.set_up] = readings.get(entry.facts.set_up, 0) + 1
            if entry.facts.last:
                over.add(entry.facts.set_up)
    found = []
    for entry in told:
        if not isinstance(entry.facts, BeanTestSetUp) or entry.id in over or entry.day > today:
            continue
        done = readings.get(entry.id, 0)
        days = entry.facts.due
        found.append(
            BeanTest(str(entry.batch), entry.day, days[done] if done < len(days) else None, done + 1 >= len(days))
        )
    return tuple(found)


def _enough(
    told: Sequence[Entry], coming: Sequence[PlannedLayer] | None, heaps: Sequence[Heap], garden: Garden, today: date
) -> tuple[int | None, str | None]:
    """Return how many coming layers of the plan can be laid in turn, and what is short for the next one."""
    if coming is None:
        return None, None
    laid = {(entry.bed, entry.facts.planned_day) for entry in told if isinstance(entry.facts, LayerLaid)}
    left: dict[str, float] = {}
    for heap in heaps:
        left[heap.residue] = left.get(heap.residue, 0.0) + heap.volume
    count = 0
    for one in sorted(coming, key=lambda one: one.layer.day):
        layer = one.layer
        if (layer.bed, layer.day) in laid or layer.day < today - timedelta(days=LATE_UNTIL):
            continue
        for lift in layer.lifts:
            left[lift.residue] = left.get(lift.residue, 0.0) - _volume(lift, garden)
            if left[lift.residue] < -1e-6:
                return count, lift.residue
        count += 1
    return count, None


def _volume(lift: Lift, garden: Garden) -> float:
    if lift.container == "L":
        return lift.count
    if lift.container in ("kg", "depth"):
        return 0.0
    return lift.count * _litres(garden, lift.container)
