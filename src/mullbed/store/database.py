"""Opens the record by its address; one transaction for each use case.

SQLite by default, in one file; PostgreSQL by an address for gardens that many share. Both keep what was acknowledged
through a crash at any moment: SQLite writes ahead and waits for the disk at every commit, PostgreSQL does so itself.
"""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, NoSuchModuleError

from mullbed.errors import Fault, InputFault, RecordError, RecordUnreachable
from mullbed.store.faults import told_as_ours
from mullbed.store.schema import NEWEST, is_newest, step_to

#: A transaction of the record, handed to every function that reads or writes it.
Transaction = Connection

#: What every connection to SQLite is set to. [busy_timeout in ms]
SETTINGS = ("busy_timeout=5000", "journal_mode=WAL", "foreign_keys=ON", "synchronous=FULL")
#: How long a writer waits for others. [s]
PATIENCE = 30.0
#: How long a PostgreSQL server may take to let us in. [s]
CONNECT_WITHIN = 10
#: How long SQLite itself waits in one of many tries. [ms]
GLANCE = 10
#: Number of the lock that lets one writer at a time into a PostgreSQL database; any number that nobody else takes.
WRITERS_LOCK = 0x6D756C6C
_WRITES = "mullbed_writes"


@dataclass(frozen=True, slots=True)
class Record:
    """An open record."""

    place: str
    """Where it is, for people: a path, or a database and its host; never a password."""
    engine: Engine
    file: Path | None
    """The SQLite file; None for PostgreSQL."""

    @property
    def photo_folder(self) -> Path | None:
        """Folder of the pictures beside the file; None where the database itself keeps them."""
        return None if self.file is None else self.file.with_name(f"{self.file.stem}-photos")

    @contextmanager
    def reading(self) -> Iterator[Transaction]:
        """Return a transaction that reads one state of the record, whoever writes meanwhile."""
        with told_as_ours(self.place), self.engine.connect() as opened:
            connection = opened
            if self.file is None:
                connection = opened.execution_options(isolation_level="REPEATABLE READ")
            with connection.begin():
                yield connection

    @contextmanager
    def writing(self) -> Iterator[Transaction]:
        """Return a transaction that writes; all of it is kept when it ends, nothing when it fails.

        Raises
        ------
        RecordError
            When the record cannot be written; it is then as it was before.
        """
        with told_as_ours(self.place), self.engine.connect() as opened:
            connection = opened.execution_options(**{_WRITES: True})
            with connection.begin():
                if self.file is None:
                    connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": WRITERS_LOCK})
                yield connection


def default_url() -> str:
    """Return the address of the record in the user's own data folder."""
    from platformdirs import user_data_path

    return f"sqlite:///{(user_data_path('mullbed', appauthor=False) / 'record.sqlite').as_posix()}"


#: Records a server keeps open, by the address they were asked for with.
_KEPT: dict[str | None, Record] = {}


@contextmanager
def kept_open(url: str | None) -> Iterator[Record]:
    """Open a record for as long as a server runs; whoever opens the same address meanwhile gets this one.

    Raises
    ------
    InputFault
        When the address cannot be read.
    RecordError
        When the record cannot be opened.
    """
    with open_record(url) as record:
        _KEPT[url] = record
        try:
            yield record
        finally:
            if _KEPT.get(url) is record:  # another server of the same record may have come meanwhile
                del _KEPT[url]


def reachable(url: str | None) -> bool:
    """Tell whether a record can be read now."""
    try:
        with open_record(url, migrate=False) as record, record.reading() as transaction:
            return is_newest(transaction, record.place)
    except RecordError:
        return False


@contextmanager
def open_record(url: str | None = None, *, migrate: bool = True, patience: float = PATIENCE) -> Iterator[Record]:
    """Open a record, made or brought to the newest schema where needed, and close it at the end.

    Parameters
    ----------
    url : str or None
        ``sqlite:///path``, ``postgresql://...`` or the path of a SQLite file; None for the user's own record.
    migrate : bool
        False leaves the schema as it is.
    patience : float
        How long to wait for other writers of a SQLite record. [s]

    Raises
    ------
    InputFault
        When the address cannot be read.
    RecordError
        When the record cannot be opened.
    """
    if url in _KEPT:
        yield _KEPT[url]
        return
    record = _opened(url or default_url(), patience)
    try:
        if migrate:
            _migrate(record)
        yield record
    finally:
        record.engine.dispose()


def _opened(url: str, patience: float) -> Record:
    address = parse_url(url)
    if address.get_backend_name() == "sqlite":
        file = Path(str(address.database)).absolute()
        with told_as_ours(str(file)):
            file.parent.mkdir(parents=True, exist_ok=True)
        if file.is_dir():
            raise RecordUnreachable(str(file), "it is a folder")
        engine = create_engine(URL.create("sqlite", database=str(file)))
        _set_up_sqlite(engine, patience)
        return Record(str(file), engine, file)
    try:
        import psycopg

        waits = {} if "connect_timeout" in address.query else {"connect_timeout": CONNECT_WITHIN}
        engine = create_engine(address, module=psycopg, pool_pre_ping=True, connect_args=waits)
    except ModuleNotFoundError as error:
        remedy = "Install it: pip install 'mullbed[postgres]'."
        raise InputFault([Fault("record", f"{error.name} is missing", "a PostgreSQL driver", remedy)]) from error
    host = address.host or address.query.get("host") or "this machine"
    return Record(f"PostgreSQL database {address.database} on {host}", engine, None)


def parse_url(url: str) -> URL:
    """Return the address of a database.

    Raises
    ------
    InputFault
        When it is none, or of a database we do not know.
    """
    allowed = "a path, sqlite:///path or postgresql://user@host/name"
    if "://" not in url:
        return URL.create("sqlite", database=url)
    try:
        address = make_url(url)
        backend = address.get_backend_name()
    except (ArgumentError, NoSuchModuleError, ValueError) as error:
        raise InputFault([Fault("record", "an address that cannot be read", allowed, "Mend the address.")]) from error
    if backend == "postgresql":
        return address.set(drivername="postgresql+psycopg")
    if backend != "sqlite" or address.database in (None, "", ":memory:"):
        raise InputFault([Fault("record", f"an address of {backend}", allowed, "Choose one of these.")])
    return address


def _set_up_sqlite(engine: Engine, patience: float) -> None:
    """Settings of every connection; transactions begin when we say so, writers at once with the lock."""

    @event.listens_for(engine, "connect")
    def _connected(raw: Any, _: Any) -> None:
        raw.isolation_level = None
        for setting in SETTINGS:
            raw.execute(f"PRAGMA {setting}").close()

    @event.listens_for(engine, "begin")
    def _begun(connection: Connection) -> None:
        if connection.get_execution_options().get(_WRITES, False):
            _begin_to_write(connection, patience)
        else:
            connection.exec_driver_sql("BEGIN")


def _begin_to_write(connection: Connection, patience: float) -> None:
    """Begin a transaction that writes, as soon as the others let us.

    SQLite itself looks ever more seldom whether the lock is free, so that a writer who comes late may starve beside a
    busy one. Here it is made to look often, again and again.
    """
    raw = _raw(connection)
    last_try = time.monotonic() + patience
    raw.execute(f"PRAGMA busy_timeout={GLANCE}").close()
    try:
        while True:
            try:
                raw.execute("BEGIN IMMEDIATE").close()
            except sqlite3.OperationalError as error:
                if not error.sqlite_errorname.startswith("SQLITE_BUSY") or time.monotonic() > last_try:
                    raise
            else:
                return
    finally:
        raw.execute(f"PRAGMA {SETTINGS[0]}").close()


def _migrate(record: Record) -> None:
    """Bring the schema up to date; a record at the newest schema is only looked at."""
    with record.reading() as transaction:
        if is_newest(transaction, record.place):
            return
    bring_to(record)


def bring_to(record: Record, revision: str = NEWEST) -> None:
    """Bring a record to a schema, up or down, all or nothing, one program at a time.

    Raises
    ------
    RecordError
        When it cannot be done; the record is then as it was before.
    """
    with told_as_ours(record.place), record.engine.connect() as opened:
        if record.file is not None:
            _raw(opened).execute("PRAGMA foreign_keys=OFF").close()  # a step makes tables anew; checked at its end
        connection = opened.execution_options(**{_WRITES: True})
        try:
            with connection.begin():
                if record.file is None:
                    connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": WRITERS_LOCK})
                is_newest(connection, record.place)  # refuses what a newer program wrote
                step_to(connection, revision, place=record.place)  # nothing, where another was faster
        finally:
            if record.file is not None:
                connection.invalidate()  # its settings differ


def _raw(connection: Connection) -> Any:
    """Return the driver's own connection, which begins no transaction of itself."""
    return connection.connection.driver_connection
