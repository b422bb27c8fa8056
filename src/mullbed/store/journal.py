"""The journal: entries are added and read, never changed.

J1 An entry that was acknowledged is kept; sent again it is kept once.
J2 An id that is taken by other words is refused.
J3 A correction or withdrawal points at an entry that is kept, of the same garden; a correction is of the same kind.
J4 What is read is what holds, unless every entry is asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, Row, Select, func, insert, select

from mullbed.domain.record import Entry
from mullbed.domain.record_codec import digest, facts_read, facts_text
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_standing import standing
from mullbed.errors import EntryConflict, Fault, InputFault, NotFound
from mullbed.store.database import Transaction
from mullbed.store.tables import entries as table
from mullbed.store.tables import gardens as garden_table

#: Ids asked for in one statement.
AT_ONCE = 500
_COLUMNS = tuple(column for column in table.c if column.name not in ("number", "digest", "thread"))


@dataclass(frozen=True, slots=True)
class Appended:
    """What became of entries that were sent."""

    new: tuple[str, ...]
    """Ids that were added."""
    known: tuple[str, ...]
    """Ids that had been kept before, word for word."""


@dataclass(frozen=True, slots=True)
class _Kept:
    """What must be known of an entry to point at it."""

    garden: str
    kind: str
    thread: str


def append(transaction: Transaction, entries: Iterable[Entry]) -> Appended:
    """Add entries to the journal, all or none; those that are kept already are left as they are.

    Raises
    ------
    EntryConflict
        When an id is taken by an entry that says something else.
    NotFound
        When a correction or withdrawal points at an entry that is not kept.
    InputFault
        When it points at an entry of another garden or kind.
    """
    sent = tuple(entries)
    digests = _digests(transaction, {entry.id for entry in sent})
    targets = {one for entry in sent for one in (entry.corrects, entry.withdraws) if one is not None}
    kept = _kept(transaction, targets)
    rows, new, known = [], [], []
    for entry in sent:
        own = digest(entry)
        if entry.id in digests:
            if digests[entry.id] != own:
                raise EntryConflict(entry.id, f"{entry.kind} of {entry.day}")
            known.append(entry.id)
            continue
        thread = _thread(entry, kept)
        digests[entry.id], kept[entry.id] = own, _Kept(entry.garden, entry.kind, thread)
        rows.append(_row(entry, own, thread))
        new.append(entry.id)
    if rows:
        _add_gardens(transaction, {row["garden"] for row in rows})
        transaction.execute(insert(table), rows)
    return Appended(tuple(new), tuple(known))


def _row(entry: Entry, own: str, thread: str) -> dict[str, Any]:
    version, facts = facts_text(entry)
    return {
        "id": entry.id, "garden": entry.garden, "kind": str(entry.kind), "day": entry.day,
        "written_at": entry.written_at, "author": entry.author, "bed": entry.bed, "batch": entry.batch,
        "subject": entry.subject, "corrects": entry.corrects, "withdraws": entry.withdraws,
        "version": version, "facts": facts, "digest": own, "thread": thread,
    }  # fmt: skip


def _thread(entry: Entry, kept: dict[str, _Kept]) -> str:
    """Return the id of the first entry in the chain, after a look at what is pointed at."""
    target = entry.corrects or entry.withdraws
    if target is None:
        return entry.id
    if target not in kept:
        raise NotFound("entry", target, ())
    found = kept[target]
    faults = []
    if found.garden != entry.garden:
        allowed = f"an entry of the garden {entry.garden}"
        faults.append(Fault(f"entry {entry.id}", f"points at one of {found.garden}", allowed, "Point at another."))
    if entry.corrects is not None and (found.kind != entry.kind or found.kind == Kind.TAKEN_BACK):
        remedy = "Take the old one back and write a new one."
        faults.append(Fault(f"entry {entry.id}", f"{entry.kind} for {found.kind}", "the same kind", remedy))
    if faults:
        raise InputFault(faults)
    return found.thread


def _digests(transaction: Transaction, ids: Iterable[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for some in _by_many(ids):
        for row in transaction.execute(select(table.c.id, table.c.digest).where(table.c.id.in_(some))):
            found[row.id] = row.digest
    return found


def _kept(transaction: Transaction, ids: Iterable[str]) -> dict[str, _Kept]:
    found: dict[str, _Kept] = {}
    columns = (table.c.id, table.c.garden, table.c.kind, table.c.thread)
    for some in _by_many(ids):
        for row in transaction.execute(select(*columns).where(table.c.id.in_(some))):
            found[row.id] = _Kept(row.garden, row.kind, row.thread)
    return found


def _add_gardens(transaction: Transaction, names: set[str]) -> None:
    found = set(transaction.scalars(select(garden_table.c.id).where(garden_table.c.id.in_(names))))
    if names - found:
        transaction.execute(insert(garden_table), [{"id": name} for name in sorted(names - found)])


def _by_many(ids: Iterable[str]) -> Iterator[Sequence[str]]:
    ordered = sorted(set(ids))
    for first in range(0, len(ordered), AT_ONCE):
        yield ordered[first : first + AT_ONCE]


def _entry(row: Row[Any]) -> Entry:
    facts = facts_read(row.kind, row.version, row.facts, f"entry {row.id}")
    return Entry(
        row.id, row.garden, row.kind, row.day, row.written_at, row.author, facts,
        row.bed, row.batch, row.subject, row.corrects, row.withdraws,
    )  # fmt: skip


def entry(transaction: Transaction, id: str) -> Entry | None:
    """Return one entry as it was written, whether it holds or not; None if none has this id."""
    row = transaction.execute(select(*_COLUMNS).where(table.c.id == id)).first()
    return None if row is None else _entry(row)


def history(transaction: Transaction, id: str) -> tuple[Entry, ...]:
    """Return an entry with all its corrections and withdrawals, in the order they arrived; empty if there is none."""
    thread = select(table.c.thread).where(table.c.id == id).scalar_subquery()
    rows = transaction.execute(select(*_COLUMNS).where(table.c.thread == thread).order_by(table.c.number))
    return tuple(_entry(row) for row in rows)


def entries(
    transaction: Transaction,
    garden: str,
    *,
    kinds: Iterable[str] = (),
    bed: str | None = None,
    batch: str | None = None,
    subject: str | None = None,
    first_day: date | None = None,
    last_day: date | None = None,
    newest: int | None = None,
) -> tuple[Entry, ...]:
    """Return the entries of a garden that hold, by day; None and () mean whatever it is.

    Parameters
    ----------
    newest : int or None
        So many of the latest days only; None for all.
    """
    wanted = tuple(str(kind) for kind in kinds)
    conditions: list[ColumnElement[bool]] = [table.c.garden == garden]
    if wanted:
        conditions.append(table.c.kind.in_(wanted))
    for column, value in ((table.c.bed, bed), (table.c.batch, batch), (table.c.subject, subject)):
        if value is not None:
            conditions.append(column == value)
    if first_day is not None:
        conditions.append(table.c.day >= first_day)
    if last_day is not None:
        conditions.append(table.c.day <= last_day)
    if newest is not None:
        return _newest(transaction, conditions, newest)
    threads = select(table.c.thread).where(*conditions)
    rows = transaction.execute(select(*_COLUMNS).where(table.c.thread.in_(threads)))
    return tuple(
        one
        for one in standing(_entry(row) for row in rows)
        if (not wanted or one.kind in wanted)
        and (bed is None or one.bed == bed)
        and (batch is None or one.batch == batch)
        and (subject is None or one.subject == subject)
        and (first_day is None or one.day >= first_day)
        and (last_day is None or one.day <= last_day)
    )


def _newest(transaction: Transaction, conditions: Sequence[ColumnElement[bool]], count: int) -> tuple[Entry, ...]:
    """Return the last entries that hold, by pages from the newest day back."""
    found: list[Entry] = []
    page, skipped = max(2 * count, 8), 0
    while len(found) < count:
        rows = transaction.execute(_latest_first(conditions).limit(page).offset(skipped)).all()
        hold = _holding(transaction, {row.thread for row in rows})
        found += [hold[row.id] for row in rows if row.id in hold]
        if len(rows) < page:
            break
        skipped, page = skipped + page, min(2 * page, AT_ONCE)
    return tuple(reversed(found[:count]))


def _latest_first(conditions: Sequence[ColumnElement[bool]]) -> Select[tuple[str, str]]:
    order = (table.c.day.desc(), table.c.written_at.desc(), table.c.id.desc())
    return select(table.c.id, table.c.thread).where(*conditions, table.c.withdraws.is_(None)).order_by(*order)


def _holding(transaction: Transaction, threads: Iterable[str]) -> dict[str, Entry]:
    """Return what holds of these chains, by id."""
    found: dict[str, Entry] = {}
    for some in _by_many(threads):
        rows = transaction.execute(select(*_COLUMNS).where(table.c.thread.in_(some)))
        found |= {one.id: one for one in standing(_entry(row) for row in rows)}
    return found


def latest(
    transaction: Transaction, garden: str, kind: str, *, bed: str | None = None, batch: str | None = None
) -> Entry | None:
    """Return the latest entry of a kind that holds; None if there is none."""
    found = entries(transaction, garden, kinds=(kind,), bed=bed, batch=batch, newest=1)
    return found[0] if found else None


def latest_by_bed(
    transaction: Transaction, garden: str, kinds: Iterable[str], names: Iterable[str] | None = None
) -> dict[tuple[str, str], Entry]:
    """Return for each bed and kind the latest entry that holds; None asks for every bed that ever had an entry."""
    wanted = tuple(dict.fromkeys(str(kind) for kind in kinds))
    asked = beds(transaction, garden) if names is None else tuple(names)
    first: dict[tuple[str, str], tuple[str, str]] = {}
    for bed in asked:
        for kind in wanted:
            row = transaction.execute(
                _latest_first((table.c.garden == garden, table.c.kind == kind, table.c.bed == bed)).limit(1)
            ).first()
            if row is not None:
                first[bed, kind] = (row.id, row.thread)
    hold = _holding(transaction, {thread for _, thread in first.values()})
    found: dict[tuple[str, str], Entry] = {}
    for (bed, kind), (id, _) in first.items():
        one = hold.get(id) or latest(transaction, garden, kind, bed=bed)
        if one is not None:
            found[bed, kind] = one
    return found


def every_entry(transaction: Transaction, garden: str | None = None) -> Iterator[Entry]:
    """Return every entry ever written, of a garden or of all, in the order they arrived."""
    last = 0
    while True:
        asked = select(table.c.number, *_COLUMNS).where(table.c.number > last)
        if garden is not None:
            asked = asked.where(table.c.garden == garden)
        rows = transaction.execute(asked.order_by(table.c.number).limit(AT_ONCE)).all()
        for row in rows:
            yield _entry(row)
        if len(rows) < AT_ONCE:
            return
        last = rows[-1].number


_GARDENS = select(garden_table.c.id)
_NEWEST = select(table.c.number, table.c.id).order_by(table.c.number.desc()).limit(1)
"""Asked at every look at a page, so they are put together once."""


def gardens(transaction: Transaction) -> tuple[str, ...]:
    """Return the ids of all gardens, in alphabetical order."""
    return tuple(sorted(transaction.scalars(_GARDENS)))


def beds(transaction: Transaction, garden: str) -> tuple[str, ...]:
    """Return the names of the beds that were ever told of, in alphabetical order; some may have been given up since."""
    asked = select(table.c.bed).where(table.c.garden == garden, table.c.kind == Kind.BED.value).distinct()
    return tuple(sorted(name for name in transaction.scalars(asked) if name is not None))


def written_since(transaction: Transaction, garden: str, moment: datetime, kinds: Iterable[str] = ()) -> int:
    """Return how many entries were written after a moment; withdrawals count with the kind they take back."""
    first = table.alias("first")
    asked = (
        select(func.count())
        .select_from(table.join(first, table.c.thread == first.c.id))
        .where(table.c.garden == garden, table.c.written_at > moment)
    )
    wanted = tuple(str(kind) for kind in kinds)
    if wanted:
        asked = asked.where(first.c.kind.in_(wanted))
    return int(transaction.execute(asked).scalar_one())


def newest(transaction: Transaction) -> tuple[int, str]:
    """Return number and id of the entry that came last, of whichever garden; changes with whatever is written."""
    row = transaction.execute(_NEWEST).first()
    return (0, "") if row is None else (int(row.number), str(row.id))


def count(transaction: Transaction) -> int:
    """Return the number of entries ever written, of all gardens."""
    return int(transaction.execute(select(func.count()).select_from(table)).scalar_one())
