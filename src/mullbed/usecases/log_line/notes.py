"""Entries read again and taken back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from mullbed.domain.record import Entry, is_entry_id, withdrawal
from mullbed.domain.record_kinds import Kind
from mullbed.domain.signing import Kept, Where
from mullbed.errors import Fault, InputFault
from mullbed.files.noted_words import bed_named
from mullbed.files.record_garden import GARDEN_KINDS, kept_garden
from mullbed.store.database import open_record
from mullbed.store.journal import append, entries, entry, history
from mullbed.store.which_garden import which_garden
from mullbed.usecases.log_line.opening import Line, found_entry, opened


def take_back(line: Line, asked: str) -> Kept:
    """Take an entry back; it stays in the record and no longer counts."""
    with opened(line) as at:
        of = found_entry(at.transaction, at.id, asked)
        signed = line.signed
        if of.kind == Kind.GARDEN_FILE:
            remedy = "Keep the earlier garden file again: mullbed garden new FILE"
            raise InputFault([Fault("entry", "a garden file", "any other entry", remedy)])
        thread = history(at.transaction, of.id)
        held = {one.withdraws for one in thread}
        if of.id in held:
            raise InputFault([Fault("entry", f"{of.id} is taken back already", "one that holds", "Nothing to do.")])
        new = withdrawal(of, id=signed.new_id(), written_at=signed.now, author=signed.author, reason=line.words)
        append(at.transaction, [new])
        return Kept(new, units=at.garden.site.units, replaced=of)


def list_notes(
    where: Where, *, bed: str | None = None, kinds: Sequence[str] = (), since: date | None = None, newest: int = 20
) -> tuple[Entry, ...]:
    """Return the newest entries that hold, oldest first."""
    with open_record(where.record) as record, record.reading() as transaction:
        identity = which_garden(transaction, where.garden)
        name = None
        if bed is not None:
            kept = kept_garden(entries(transaction, identity, kinds=GARDEN_KINDS))
            name = bed_named(kept.garden, bed).name if kept is not None else bed
        wanted = kinds or [kind for kind in Kind if kind not in (Kind.SITE, Kind.BED, Kind.GARDEN_FILE)]
        return entries(transaction, identity, kinds=wanted, bed=name, first_day=since, newest=newest)


def kept_entries(where: Where, ids: Sequence[str]) -> tuple[Entry, ...]:
    """Return the entries of some ids that are kept in this garden, whether they hold or not, in the order asked."""
    with open_record(where.record) as record, record.reading() as transaction:
        identity = which_garden(transaction, where.garden)
        found = [entry(transaction, one) for one in ids if is_entry_id(one)]
    return tuple(one for one in found if one is not None and one.garden == identity)
