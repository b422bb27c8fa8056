"""Tell what is in hand today, what is held and why; keep a new count of it.

Reads the record; only :func:`count_in_hand` writes, one or two entries. Raises InputFault where no garden is kept or a
count cannot be.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from mullbed.domain.garden import Garden
from mullbed.domain.in_hand import Heap, InHand
from mullbed.domain.plain_values import from_plain
from mullbed.domain.record import Entry, correction
from mullbed.domain.record_batches import BatchTaken
from mullbed.domain.record_ground import SupplyTold
from mullbed.domain.record_kinds import Facts, Kind
from mullbed.domain.record_papers import Document
from mullbed.domain.record_work import LayerLaid
from mullbed.domain.season_plan import PlannedLayer
from mullbed.domain.signing import Signature, Where
from mullbed.domain.supply import Supply
from mullbed.errors import Fault, InputFault, NotFound
from mullbed.files.record_garden import DONE_KINDS, GARDEN_KINDS, KeptGarden, document_content, doings_in, kept_garden
from mullbed.plan.garden_as_done import garden_as_done
from mullbed.plan.in_hand import COUNTED, in_hand, keeps_until, own_name
from mullbed.reference.containers import find_container
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues
from mullbed.store.database import Transaction, open_record
from mullbed.store.journal import append, entries, latest
from mullbed.store.which_garden import which_garden

#: More containers of one thing than this are a slip of the hand.
MOST = 2000.0
_READ = (*GARDEN_KINDS, *DONE_KINDS, Kind.TEST_SET_UP, Kind.TEST_READ)


@dataclass(frozen=True, slots=True)
class _Read:
    identity: str
    told: tuple[Entry, ...]
    kept: KeptGarden
    plan: Entry | None


def list_in_hand(where: Where, today: date) -> InHand:
    """Return what is in hand today.

    Raises
    ------
    InputFault
        When the record holds no garden.
    """
    with open_record(where.record) as record, record.reading() as transaction:
        read = _read(transaction, where)
    return _standing(read, today)


def _standing(read: _Read, today: date) -> InHand:
    garden = garden_as_done(
        read.kept.garden,
        doings_in(read.told, read.kept.carried_over_on),
        today,
        crops=all_crops(),
        residues=all_residues(),
        container=find_container,
        from_today=False,
    )
    return in_hand(garden, read.told, _coming(read.plan), today)


def _coming(plan: Entry | None) -> tuple[PlannedLayer, ...] | None:
    if plan is None or not isinstance(plan.facts, Document):
        return None
    content = document_content(plan.facts).get("layers", [])
    return tuple(from_plain(PlannedLayer, one, "plan") for one in (content if isinstance(content, list) else []))


def _read(transaction: Transaction, where: Where) -> _Read:
    identity = which_garden(transaction, where.garden)
    told = entries(transaction, identity, kinds=_READ)
    kept = kept_garden(told)
    if kept is None:
        remedy = "Begin with: mullbed garden new garden.toml"
        raise InputFault([Fault("record", f"no garden file of {identity}", "a garden", remedy)])
    return _Read(identity, told, kept, latest(transaction, identity, Kind.PLAN))


def count_in_hand(where: Where, signed: Signature, name: str, count: float) -> tuple[Entry, ...]:
    """Keep how many containers of one heap are there now; what is expected later stays expected.

    Raises
    ------
    InputFault
        When there is no such heap, or the count cannot be.
    """
    with open_record(where.record) as record, record.writing() as transaction:
        read = _read(transaction, where)
        found = _standing(read, signed.today)
        heap = next((one for one in (*found.heaps, *found.held) if one.name == name), None)
        known = {one.name: one for one in _sources(read.kept.garden, name)}
        batch = next((one for one in read.told if isinstance(one.facts, BatchTaken) and one.batch == name), None)
        if heap is None and not known and batch is None:
            names = ", ".join(one.name for one in found.heaps)
            raise InputFault([Fault("what", f"'{name[:60]}'", names or "nothing is in hand", "Choose one of these.")])
        if not 0.0 <= count <= MOST:
            raise InputFault([Fault("count", f"{count:g}", f"0 to {MOST:g}", "Count the containers again.")])
        there = heap.count if heap is not None else 0.0
        made = _entries(read, signed, name, count, there, heap, known, batch)
        append(transaction, made)
        return made


def _sources(garden: Garden, name: str) -> tuple[Supply, ...]:
    return tuple(one for one in garden.supplies if own_name(one) == name)


def _entries(
    read: _Read,
    signed: Signature,
    name: str,
    count: float,
    there: float,
    heap: Heap | None,
    known: Mapping[str | None, Supply],
    batch: Entry | None,
) -> tuple[Entry, ...]:
    """Return the entries of a count: a batch is put right, a supply told anew."""
    if batch is not None and isinstance(batch.facts, BatchTaken):
        facts = replace(batch.facts, count=max(0.0, batch.facts.count + count - there))
        return (correction(batch, facts, id=signed.new_id(), written_at=signed.now, author=signed.author),)
    supplies = list(known.values())
    source = next((one for one in supplies if one.every_days is not None), supplies[0] if supplies else None)
    if source is None:
        raise NotFound("heap", name, ())
    laid_today = sum(
        lift.count
        for entry in read.told
        if isinstance(entry.facts, LayerLaid) and entry.day == signed.today
        for lift in (one.lift for one in entry.facts.lifts)
        if lift.residue == source.residue and lift.container == source.container
    )
    until = heap.keeps_until if heap is not None else keeps_until(replace(source, first_day=signed.today))
    shelf = None if until is None else float(max(0, (until - signed.today).days))
    made: list[Facts] = []
    if source.every_days is not None:
        coming = source.first_day
        while coming <= signed.today:
            coming += timedelta(days=source.every_days)
        ended = source.last_day is not None and coming > source.last_day
        made.append(SupplyTold(replace(source, first_day=coming), ended=ended))
        name = f"{name}, {COUNTED}"
    else:
        name = source.name or source.residue
    told = replace(
        source,
        name=name,
        count=count + laid_today,
        first_day=signed.today,
        every_days=None,
        last_day=None,
        shelf_life_days=shelf,
    )
    made.insert(0, SupplyTold(told))
    return tuple(
        Entry(signed.new_id(), read.identity, Kind.SUPPLY, signed.today, signed.now, signed.author, one) for one in made
    )
