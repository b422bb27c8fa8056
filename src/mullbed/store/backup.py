"""A backup: the whole record with its photos in one file, consistent whoever writes meanwhile.

SQLite is copied by its backup interface, PostgreSQL told row by row out of one state. The file is a ZIP archive with a
list of contents that holds size and hash of every part.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import sqlite3
import struct
import zlib
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory, mkstemp
from typing import Any
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile

from sqlalchemy import Table, select, tuple_

from mullbed.domain.record_backup import BackupTold
from mullbed.domain.record_codec import canonical, written
from mullbed.errors import Fault, InputFault, RecordDamaged
from mullbed.store.database import Record, Transaction
from mullbed.store.faults import told_as_ours
from mullbed.store.photos import keep_names, photo, photo_file
from mullbed.store.schema import NEWEST
from mullbed.store.tables import accounts, entries, gardens, memberships, photos

FORM = "mullbed record backup"
FORM_VERSION = 2
"""The second holds the people of a record on PostgreSQL, too."""
LIST = "contents.json"
COPY = "record.sqlite"
ROWS = "record.jsonl"
PHOTOS = "photos/"
#: The list of contents is far shorter, however many photos there are. [bytes]
LONGEST_LIST = 64_000_000
#: Rows told at once.
AT_ONCE = 1000


def back_up(record: Record, target: Path, made_at: datetime, *, replace: bool = False) -> BackupTold:
    """Write a backup of the record to a file, whole or not at all.

    Raises
    ------
    InputFault
        When there is a file already and it may not be replaced.
    RecordError
        When the record cannot be read, is damaged, or the file cannot be written.
    """
    if target.exists() and not replace:
        remedy = "Choose another name, or say that it may be replaced."
        raise InputFault([Fault("backup", f"{target} is there already", "a new file", remedy)])
    with told_as_ours(str(target)):
        target.parent.mkdir(parents=True, exist_ok=True)
        with TemporaryDirectory(prefix=".backup-", dir=target.parent) as folder:
            told, parts = _gathered(record, Path(folder), made_at)
            _pack(target, told, parts)
    return told


def _gathered(record: Record, folder: Path, made_at: datetime) -> tuple[BackupTold, dict[str, Path]]:
    """Copy one state of the record into a folder; return what it holds and the files by name."""
    parts: dict[str, Path] = {}
    missing = []
    if record.file is not None:
        parts[COPY] = folder / COPY
        count, digests = _copied(record, parts[COPY])
        for digest, media in digests:
            path = photo_file(record.photo_folder or folder, digest, media)
            if path.exists() and _hash(path) == digest:
                parts[PHOTOS + path.name] = path
            else:
                missing.append(digest)
    else:
        parts[ROWS] = folder / ROWS
        with record.reading() as transaction:
            count = _told(transaction, parts[ROWS])
            digests = [tuple(row) for row in transaction.execute(select(photos.c.digest, photos.c.media_type))]
            for digest, media in digests:
                path = photo_file(folder, digest, media)
                try:
                    content = photo(record, transaction, digest)
                except RecordDamaged:
                    missing.append(digest)
                    continue
                path.parent.mkdir(exist_ok=True)
                path.write_bytes(content)
                parts[PHOTOS + path.name] = path
    kept = len(digests) - len(missing)
    return BackupTold(written(made_at), NEWEST, count, kept, tuple(missing)), parts


def _copied(record: Record, copy: Path) -> tuple[int, list[tuple[str, str]]]:
    """Copy a SQLite record by the backup interface and look the copy over."""
    with record.reading() as transaction, closing(sqlite3.connect(copy)) as target:
        driver: Any = transaction.connection.driver_connection
        driver.backup(target)
        target.execute("PRAGMA journal_mode=DELETE").close()
        look_over(target, record.place)
        count = int(target.execute("SELECT count(*) FROM entries").fetchone()[0])
        return count, target.execute("SELECT digest, media_type FROM photos ORDER BY digest").fetchall()


def look_over(connection: sqlite3.Connection, place: str) -> None:
    """Check a SQLite database from end to end.

    Raises
    ------
    RecordDamaged
        When anything is not as it must be.
    """
    found = connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
    if found != "ok":
        raise RecordDamaged(place, str(found))
    astray = connection.execute("PRAGMA foreign_key_check").fetchone()
    if astray is not None:
        raise RecordDamaged(place, f"a row of {astray[0]} points nowhere")


def _told(transaction: Transaction, path: Path) -> int:
    """Tell gardens, entries, photos (without their pictures) and people as lines of JSON; return how many entries.

    Whoever was signed in or invited is not: sessions and invitations end with the database they were made in.
    """
    count = 0
    with path.open("w", encoding="utf-8", newline="\n") as stream:
        for row in rows_of(transaction, gardens):
            stream.write(canonical({"garden": row}) + "\n")
        for row in rows_of(transaction, entries):
            row |= {"day": row["day"].isoformat(), "written_at": written(row["written_at"])}
            stream.write(canonical({"entry": row}) + "\n")
            count += 1
        told_of = (photos.c.digest, photos.c.media_type, photos.c.size)
        for kept in transaction.execute(select(*told_of).order_by(photos.c.digest)).mappings():
            stream.write(canonical({"photo": dict(kept)}) + "\n")
        for row in rows_of(transaction, accounts):
            stream.write(canonical({"account": row | {"made_at": written(row["made_at"])}}) + "\n")
        for row in rows_of(transaction, memberships):
            stream.write(canonical({"membership": row}) + "\n")
    return count


def rows_of(transaction: Transaction, table: Table) -> Iterator[dict[str, Any]]:
    """Return all rows of a table by its key, some at a time."""
    keys = tuple(table.primary_key.columns)
    asked = select(table).order_by(*keys).limit(AT_ONCE)
    rows = transaction.execute(asked).mappings().all()
    while rows:
        for row in rows:
            yield dict(row)
        last = [rows[-1][key.name] for key in keys]
        rows = transaction.execute(asked.where(tuple_(*keys) > tuple_(*last))).mappings().all()


def _pack(target: Path, told: BackupTold, parts: dict[str, Path]) -> None:
    """Pack the parts beside the target, then put the whole in its place."""
    contents = {name: {"size": path.stat().st_size, "sha256": _hash(path)} for name, path in parts.items()}
    listed = {"form": FORM, "form_version": FORM_VERSION, **asdict(told), "contents": contents}
    handle, name = mkstemp(prefix=".backup-", dir=target.parent)
    fresh = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            with ZipFile(stream, "w", ZIP_DEFLATED) as archive:
                archive.writestr(LIST, json.dumps(listed, indent=1, sort_keys=True) + "\n")
                for part, path in parts.items():
                    archive.write(path, part, ZIP_STORED if part.startswith(PHOTOS) else ZIP_DEFLATED)
            stream.flush()
            os.fsync(stream.fileno())
        fresh.chmod(0o600)
        fresh.replace(target)
        keep_names(target.parent)
    finally:
        fresh.unlink(missing_ok=True)


def _hash(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


@contextmanager
def unpacking(source: Path) -> Iterator[None]:
    """Tell whatever a harmed archive makes its reader raise as damage.

    Raises
    ------
    RecordDamaged
        When the archive cannot be read.
    """
    try:
        yield
    except (BadZipFile, EOFError, zlib.error, struct.error, NotImplementedError, RuntimeError, UnicodeError) as error:
        raise RecordDamaged(str(source), "the archive cannot be unpacked") from error
    except OSError as error:
        if error.errno != errno.EINVAL:  # a place before the beginning of the file
            raise
        raise RecordDamaged(str(source), "the archive cannot be unpacked") from error


@contextmanager
def opened_backup(source: Path) -> Iterator[tuple[ZipFile, dict[str, Any]]]:
    """Open a backup and return it with its list of contents.

    Raises
    ------
    InputFault
        When it is no backup of ours.
    RecordDamaged
        When the file ends too early or cannot be read.
    """
    allowed, remedy = "a backup that Mullbed wrote", "Name another file."
    if not source.is_file():
        raise InputFault([Fault("backup", f"there is no file {source}", allowed, remedy)])
    with unpacking(source):
        archive = ZipFile(source)
    with archive:
        try:
            with unpacking(source):
                if archive.getinfo(LIST).file_size > LONGEST_LIST:
                    raise RecordDamaged(str(source), "its list is longer than any of ours")
                listed = json.loads(archive.read(LIST))
        except (KeyError, ValueError) as error:
            raise InputFault([Fault("backup", f"{source} has no list of contents", allowed, remedy)]) from error
        if not isinstance(listed, dict) or listed.get("form") != FORM:
            raise InputFault([Fault("backup", f"{source} is something else", allowed, remedy)])
        yield archive, listed
