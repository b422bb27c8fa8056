"""Let anybody look at a garden or a bed by a link, for a while; nobody changes anything by it.

Reads and writes the record. Raises InputFault where an answer is at fault, RecordError when the record cannot be
written.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from mullbed.domain.showing import LookLink
from mullbed.domain.signing import Where
from mullbed.errors import Fault, InputFault, NotFound
from mullbed.store import links as kept
from mullbed.store.database import open_record
from mullbed.store.journal import beds
from mullbed.store.people import token_digest
from mullbed.store.which_garden import which_garden

LONGEST = timedelta(days=366)
MOST_LINKS = 50
"""Open at once in one garden. Judgement."""


def share_look(where: Where, token: str, bed: str | None, lasts: timedelta, signed: tuple[str, datetime]) -> LookLink:
    """Keep a link of a garden, or of one bed; the token itself is kept nowhere.

    Raises
    ------
    NotFound
        When no bed is called so.
    InputFault
        When it would last too long, or too many are open.
    """
    author, now = signed
    with open_record(where.record) as record, record.writing() as transaction:
        garden = which_garden(transaction, where.garden)
        known = beds(transaction, garden)
        if bed is not None and bed not in known:
            raise NotFound("bed", bed, known[:5])
        if not timedelta() < lasts <= LONGEST:
            raise InputFault([Fault("Link", f"{lasts.days} days", "1 to 366 days", "Choose how long it lasts.")])
        if len(kept.open_links(transaction, garden, now)) >= MOST_LINKS:
            raise InputFault([Fault("Links", f"{MOST_LINKS} are open", "fewer", "Take one back first.")])
        link = LookLink(token_digest(token), garden, bed, author, now, now + lasts)
        kept.add_link(transaction, link)
    return link


def open_looks(where: Where, now: datetime) -> tuple[LookLink, ...]:
    """Return the links of the garden that still open, newest first."""
    with open_record(where.record) as record, record.reading() as transaction:
        return kept.open_links(transaction, which_garden(transaction, where.garden), now)


def end_look(where: Where, digest: str, now: datetime) -> bool:
    """Take a link back at once; False where it was none, or had ended."""
    with open_record(where.record) as record, record.writing() as transaction:
        return kept.end_link(transaction, which_garden(transaction, where.garden), digest, now)


def look_by(where: Where, token: str, now: datetime) -> LookLink | None:
    """Return what a token lets one look at; None where it is over, taken back or never was."""
    with open_record(where.record) as record, record.reading() as transaction:
        return kept.open_link(transaction, token_digest(token), now)
