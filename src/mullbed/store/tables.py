"""Tables of the record, the same on SQLite and PostgreSQL; every constraint has a name."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    BigInteger,
    Column,
    Date,
    DateTime,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
}


class Moment(TypeDecorator[datetime]):
    """A moment in UTC; SQLite keeps no zone, so it is taken off and put on again."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> Any:
        """Return the moment as the database keeps it."""
        if value is None or dialect.name != "sqlite":
            return value
        return value.astimezone(UTC).replace(tzinfo=None)

    def process_result_value(self, value: Any | None, dialect: Dialect) -> datetime | None:
        """Return the moment with its zone."""
        if value is None:
            return None
        moment: datetime = value
        return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)


metadata = MetaData(naming_convention=NAMING)

gardens = Table("gardens", metadata, Column("id", String(200), primary_key=True))

entries = Table(
    "entries",
    metadata,
    Column("number", BigInteger().with_variant(Integer, "sqlite"), primary_key=True, autoincrement=True),
    Column("id", String(32), nullable=False),
    Column("garden", String(200), ForeignKey("gardens.id"), nullable=False),
    Column("kind", String(200), nullable=False),
    Column("day", Date, nullable=False),
    Column("written_at", Moment, nullable=False),
    Column("author", String(200), nullable=False),
    Column("bed", String(200)),
    Column("batch", String(200)),
    Column("subject", String(32)),
    Column("corrects", String(32), ForeignKey("entries.id")),
    Column("withdraws", String(32), ForeignKey("entries.id")),
    Column("version", Integer, nullable=False),
    Column("facts", Text, nullable=False),
    Column("digest", String(64), nullable=False),
    Column("thread", String(32), ForeignKey("entries.id"), nullable=False),
    UniqueConstraint("id"),
    sqlite_autoincrement=True,
)
"""``number`` is the order of arrival; ``thread`` the id of the first entry in its chain of corrections."""

Index(None, entries.c.thread)
Index(None, entries.c.garden, entries.c.kind, entries.c.bed, entries.c.day)
Index(None, entries.c.garden, entries.c.kind, entries.c.day)
Index(None, entries.c.garden, entries.c.day)
Index(None, entries.c.garden, entries.c.written_at)
Index(None, entries.c.garden, entries.c.batch, entries.c.kind)
Index(None, entries.c.subject)

photos = Table(
    "photos",
    metadata,
    Column("digest", String(64), primary_key=True),
    Column("media_type", String(40), nullable=False),
    Column("size", Integer, nullable=False),
    Column("content", LargeBinary),
)
"""``content`` is empty where the picture lies as a file beside the database."""

accounts = Table(
    "accounts",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("name", String(200), nullable=False),
    Column("folded", String(200), nullable=False),
    Column("phrase", Text, nullable=False),
    Column("made_at", Moment, nullable=False),
    UniqueConstraint("folded"),
)
"""``folded`` is the name as it is looked for; ``phrase`` the argon2 hash of the pass phrase."""

memberships = Table(
    "memberships",
    metadata,
    Column("account", String(32), ForeignKey("accounts.id"), primary_key=True),
    Column("garden", String(200), primary_key=True),
    Column("role", String(20), nullable=False),
    Column("beds", Text),
)
"""``garden`` is empty for whichever the record holds; ``beds`` a JSON list, empty for all."""

invitations = Table(
    "invitations",
    metadata,
    Column("digest", String(64), primary_key=True),
    Column("garden", String(200), nullable=False),
    Column("role", String(20), nullable=False),
    Column("beds", Text),
    Column("made_by", String(200), nullable=False),
    Column("expires_at", Moment, nullable=False),
    Column("used_at", Moment),
)

links = Table(
    "links",
    metadata,
    Column("digest", String(64), primary_key=True),
    Column("garden", String(200), nullable=False),
    Column("bed", String(200)),
    Column("made_by", String(200), nullable=False),
    Column("made_at", Moment, nullable=False),
    Column("expires_at", Moment, nullable=False),
    Column("ended_at", Moment),
)
"""Links that let anybody look; ``bed`` is empty for the whole garden, ``ended_at`` until it is taken back."""

sessions = Table(
    "sessions",
    metadata,
    Column("digest", String(64), primary_key=True),
    Column("account", String(32), ForeignKey("accounts.id"), nullable=False),
    Column("expires_at", Moment, nullable=False),
)
"""The token itself stays with the browser; only its hash is kept."""

attempts = Table(
    "attempts",
    metadata,
    Column("number", BigInteger().with_variant(Integer, "sqlite"), primary_key=True, autoincrement=True),
    Column("who", String(64), nullable=False),
    Column("at", Moment, nullable=False),
)

Index(None, attempts.c.who, attempts.c.at)
