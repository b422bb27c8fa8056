"""The record opened for one line: whose it is, and how an entry is kept or found."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from mullbed.domain.bed import Bed
from mullbed.domain.garden import Garden
from mullbed.domain.record import Entry, correction, is_entry_id
from mullbed.domain.record_kinds import Facts, Kind
from mullbed.domain.record_papers import GardenFileKept
from mullbed.domain.signing import Kept, Signature, Where
from mullbed.domain.supply import Container
from mullbed.errors import Fault, InputFault, NotFound
from mullbed.files.noted_words import bed_named
from mullbed.files.record_garden import GARDEN_KINDS, kept_garden
from mullbed.store.database import Record, Transaction, open_record
from mullbed.store.journal import append, entries, entry
from mullbed.store.which_garden import which_garden


@dataclass(frozen=True, slots=True)
class Line:
    """What every line may say beside its own: whose, when, what it corrects."""

    where: Where
    signed: Signature
    day: date | None = None
    """None for today."""
    corrects: str | None = None
    """Id of the entry it puts right, or its last letters."""
    words: str = ""
    """Free words kept with it."""


@dataclass(frozen=True, slots=True)
class Open:
    """The record while one line is kept."""

    record: Record
    transaction: Transaction
    id: str
    garden: Garden
    line: Line
    carried_over_on: date | None
    texts: dict[str, str] = field(default_factory=dict)

    @property
    def day(self) -> date:
        return self.line.day or self.line.signed.today

    @property
    def containers(self) -> tuple[Container, ...]:
        return self.garden.containers

    def bed(self, name: str) -> Bed:
        return bed_named(self.garden, name)


@contextmanager
def opened(line: Line) -> Iterator[Open]:
    """Open the record for one line; what is kept is kept whole."""
    _check_day(line)
    with open_record(line.where.record) as record, record.writing() as transaction:
        identity = which_garden(transaction, line.where.garden)
        told = entries(transaction, identity, kinds=GARDEN_KINDS)
        kept = kept_garden(told)
        if kept is None:
            remedy = "Begin with: mullbed garden new garden.toml"
            raise InputFault([Fault("record", f"no garden file of {identity}", "a garden", remedy)])
        texts = {one.facts.name: one.facts.text for one in told if isinstance(one.facts, GardenFileKept)}
        try:
            yield Open(record, transaction, identity, kept.garden, line, kept.carried_over_on, texts)
        except ValueError as error:  # facts refuse what cannot be
            raise InputFault([Fault("line", f"{error}", "what can be", "Check the numbers.")]) from error


def _check_day(line: Line) -> None:
    if line.day is not None and line.day > line.signed.today + timedelta(days=1):
        found = f"{line.day} is still to come"
        raise InputFault(
            [Fault("--day", found, f"up to {line.signed.today}", "Write down what was, not what will be.")]
        )


def keep(
    at: Open,
    kind: Kind,
    facts: Facts,
    *,
    bed: Bed | None = None,
    batch: str | None = None,
    planned_day: date | None = None,
) -> Kept:
    line, signed = at.line, at.line.signed
    replaced: Entry | None = None
    if line.corrects is not None:
        replaced = found_entry(at.transaction, at.id, line.corrects)
        if replaced.kind != kind:
            remedy = "Take the old one back and write a new one."
            found = f"{replaced.kind}, but this line is about {kind}"
            raise InputFault([Fault("--corrects", found, f"an entry about {kind}", remedy)])
        new = correction(replaced, facts, id=signed.new_id(), written_at=signed.now, author=signed.author, day=line.day)
        new = replace(new, bed=bed.name if bed is not None else None, batch=batch)
    else:
        new = Entry(
            signed.new_id(), at.id, kind, at.day, signed.now, signed.author, facts,
            bed=bed.name if bed is not None else None, batch=batch,
        )  # fmt: skip
    append(at.transaction, [new])
    remarks = []
    if at.carried_over_on is not None and new.day <= at.carried_over_on:
        remarks.append("before the carry-over")
    area = bed.area if bed is not None else None
    return Kept(new, area, at.garden.site.units, replaced, tuple(remarks), planned_day=planned_day)


def found_entry(transaction: Transaction, garden: str, asked: str) -> Entry:
    """Return the entry of an id, of its last six letters or more, or the last one written.

    Raises
    ------
    NotFound
        When there is none, or more than one.
    """
    if is_entry_id(asked):
        whole = entry(transaction, asked)
        if whole is not None and whole.garden == garden:
            return whole
    recent = entries(transaction, garden, newest=400)
    if asked.casefold() == "last" and recent:
        return max(recent, key=lambda one: (one.written_at, one.id))
    ending = [one for one in recent if len(asked) >= 6 and one.id.casefold().endswith(asked.casefold())]
    if len(ending) == 1:
        return ending[0]
    raise NotFound("entry", asked, [one.id for one in ending[:3]])


def said_words(text: str, place: str) -> str:
    if text.strip():
        return text.strip()
    raise InputFault([Fault(place, "nothing", "a few words", "Say it in a few words.")])
