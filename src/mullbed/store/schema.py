"""Which schema a database has, and the steps to the one this program knows."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, inspect, text

from mullbed.errors import RecordDamaged, RecordNewer

if TYPE_CHECKING:
    from alembic.config import Config

#: Schemas from the first to the one this program writes.
REVISIONS = ("0001", "0002", "0003", "0004", "0005")
NEWEST = REVISIONS[-1]


def revision_of(connection: Connection) -> str | None:
    """Return the schema of a database; None where nothing was ever made."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return None if found is None else str(found)


def is_newest(connection: Connection, place: str) -> bool:
    """True if no step is needed.

    Raises
    ------
    RecordNewer
        When a newer program wrote the database.
    """
    found = revision_of(connection)
    if found is not None and found not in REVISIONS:
        raise RecordNewer(place, f"schema {found}, this version knows up to {NEWEST}")
    return found == NEWEST


def step_to(connection: Connection, revision: str = NEWEST, *, place: str = "") -> None:
    """Bring a database to a schema, up or down, inside the transaction of the connection.

    Raises
    ------
    RecordDamaged
        When rows point nowhere afterwards.
    """
    from alembic import command

    found = revision_of(connection)
    before = -1 if found is None else REVISIONS.index(found)
    config = alembic_config(connection)
    if REVISIONS.index(revision) >= before:
        command.upgrade(config, revision)
    else:
        command.downgrade(config, revision)
    if connection.dialect.name == "sqlite":
        astray = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
        if astray is not None:
            raise RecordDamaged(place, f"a row of {astray[0]} points nowhere")


def alembic_config(connection: Connection) -> Config:
    """Return the settings of the steps for one open connection."""
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config
