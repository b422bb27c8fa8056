"""Links that let anybody look; only a hash of their token is kept."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Row, insert, select, update

from mullbed.domain.showing import LookLink
from mullbed.store.database import Transaction
from mullbed.store.tables import links


def add_link(transaction: Transaction, link: LookLink) -> None:
    """Keep a new link."""
    row = {
        "digest": link.digest,
        "garden": link.garden,
        "bed": link.bed,
        "made_by": link.made_by,
        "made_at": link.made_at,
        "expires_at": link.expires,
    }
    transaction.execute(insert(links), [row])


def open_links(transaction: Transaction, garden: str, now: datetime) -> tuple[LookLink, ...]:
    """Return the links of a garden that still open, newest first."""
    ours = (links.c.garden == garden) & (links.c.expires_at > now) & links.c.ended_at.is_(None)
    return tuple(_link(row) for row in transaction.execute(select(links).where(ours).order_by(links.c.made_at.desc())))


def open_link(transaction: Transaction, digest: str, now: datetime) -> LookLink | None:
    """Return a link that still opens; None for any other."""
    ours = (links.c.digest == digest) & (links.c.expires_at > now) & links.c.ended_at.is_(None)
    row = transaction.execute(select(links).where(ours)).first()
    return None if row is None else _link(row)


def end_link(transaction: Transaction, garden: str, digest: str, now: datetime) -> bool:
    """Take a link back; False where it is none of this garden, or ended already."""
    ours = (links.c.digest == digest) & (links.c.garden == garden) & links.c.ended_at.is_(None)
    return transaction.execute(update(links).where(ours).values(ended_at=now)).rowcount == 1


def _link(row: Row[tuple[object, ...]]) -> LookLink:
    return LookLink(row.digest, row.garden, row.bed, row.made_by, row.made_at, row.expires_at)
