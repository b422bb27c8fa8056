"""Brings a backup back: unpacked and checked beside the record first, then put in its place in one transaction."""

from __future__ import annotations

import hashlib
import json
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, date, datetime
from pathlib import Path
from shutil import disk_usage
from tempfile import TemporaryDirectory
from typing import Any
from zipfile import ZipFile

from sqlalchemy import Table, delete, func, insert, select, text

from mullbed.domain.record_backup import BackupTold
from mullbed.errors import Fault, InputFault, RecordDamaged, RecordFull, RecordNewer
from mullbed.store.backup import (
    AT_ONCE,
    COPY,
    FORM_VERSION,
    LIST,
    PHOTOS,
    ROWS,
    look_over,
    opened_backup,
    rows_of,
    unpacking,
)
from mullbed.store.database import Record, Transaction, open_record
from mullbed.store.faults import told_as_ours
from mullbed.store.journal import count
from mullbed.store.photos import media_type, photo_file, write_photo
from mullbed.store.tables import accounts, entries, gardens, invitations, links, memberships, photos, sessions

_PART = re.compile(rf"{re.escape(COPY)}|{re.escape(ROWS)}|{PHOTOS}[0-9a-f]{{64}}\.[a-z]{{3,4}}")
_CHUNK = 1 << 20
_TABLES = {"garden": gardens, "entry": entries, "photo": photos, "account": accounts, "membership": memberships}
#: Forms of a backup that can be read.
_KNOWN_FORMS = tuple(range(1, FORM_VERSION + 1))


def restore(source: Path, record: Record, *, replace: bool = False) -> BackupTold:
    """Bring a backup back into a record; nothing of the record is touched before all of the backup is checked.

    Parameters
    ----------
    replace : bool
        True gives up what the record holds; without it only an empty record is filled.

    Raises
    ------
    InputFault
        When the file is no backup, or the record holds entries and may not be replaced.
    RecordError
        When the backup is damaged or newer than this program, or the record cannot be written.
    """
    if not replace:
        with record.reading() as transaction:
            _must_be_empty(record, transaction)
    near = None if record.file is None else record.file.parent
    with (
        told_as_ours(str(source)),
        opened_backup(source) as (archive, listed),
        TemporaryDirectory(prefix=".restore-", dir=near) as folder,
    ):
        parts = _unpacked(archive, listed, Path(folder), source)
        pictures = {name.removeprefix(PHOTOS)[:64]: path for name, path in parts.items() if name.startswith(PHOTOS)}
        copy = parts.get(COPY) or _from_rows(parts.get(ROWS), Path(folder) / "rows.sqlite", source)
        with closing(sqlite3.connect(copy)) as connection:
            look_over(connection, str(source))
        with open_record(str(copy)) as checked:  # takes the steps from an earlier schema, refuses a newer one
            with checked.reading() as transaction:
                found = count(transaction)
            if found != listed.get("entries"):
                raise RecordDamaged(str(source), f"{found} entries in place of {listed.get('entries')}")
            _put(checked, record, pictures, replace)
    return BackupTold(
        str(listed["made_at"]), str(listed["schema"]), found, len(pictures), tuple(listed.get("missing_photos", ()))
    )


def _unpacked(archive: ZipFile, listed: dict[str, Any], folder: Path, source: Path) -> dict[str, Path]:
    """Unpack every part and compare its size and hash with the list."""
    if listed.get("form_version") not in _KNOWN_FORMS:
        raise RecordNewer(str(source), f"form {listed.get('form_version')} of the backup")
    contents = listed.get("contents")
    names = [name for name in archive.namelist() if name != LIST]
    if not isinstance(contents, dict) or sorted(contents) != sorted(names):
        raise RecordDamaged(str(source), "its list does not fit its contents")
    _must_fit(archive, folder)
    parts = {}
    for name in names:
        if not _PART.fullmatch(name):
            raise RecordDamaged(str(source), f"it holds {name[:80]}")
        parts[name] = folder / name.replace("/", "-")
        size, running = 0, hashlib.sha256()
        with unpacking(source), archive.open(name) as packed, parts[name].open("wb") as stream:
            while piece := packed.read(_CHUNK):
                size += len(piece)
                if size > contents[name]["size"]:
                    break
                running.update(piece)
                stream.write(piece)
        if (size, running.hexdigest()) != (contents[name]["size"], contents[name]["sha256"]):
            raise RecordDamaged(str(source), f"{name} was changed")
    return parts


def _must_fit(archive: ZipFile, folder: Path) -> None:
    """Refuse what would fill the disk, before a byte of it is unpacked.

    Raises
    ------
    RecordFull
        When the parts, as long as the archive itself says, are longer than half of what is free.
    """
    if 2 * sum(one.file_size for one in archive.infolist()) > disk_usage(folder).free:
        raise RecordFull(str(folder))


def _from_rows(rows: Path | None, copy: Path, source: Path) -> Path:
    """Make a SQLite record of rows that PostgreSQL told."""
    if rows is None:
        raise RecordDamaged(str(source), "it holds no record")
    with open_record(str(copy)) as record, record.writing() as transaction:
        for table, some in _chunks(_lines(rows, source)):
            transaction.execute(insert(table), some)
    return copy


def _lines(rows: Path, source: Path) -> Iterator[tuple[Table, dict[str, Any]]]:
    with rows.open(encoding="utf-8") as stream:
        for line in stream:
            ((name, row),) = json.loads(line).items()
            if name not in _TABLES:
                raise RecordDamaged(str(source), f"a row of {name}")
            if name == "entry":
                row["day"] = date.fromisoformat(row["day"])
                row["written_at"] = datetime.fromisoformat(row["written_at"]).astimezone(UTC)
            elif name == "account":
                row["made_at"] = datetime.fromisoformat(row["made_at"]).astimezone(UTC)
            yield _TABLES[name], row


def _chunks(rows: Iterator[tuple[Table, dict[str, Any]]]) -> Iterator[tuple[Table, list[dict[str, Any]]]]:
    """Return rows of one table in a run, so many at once."""
    table, some = entries, list[dict[str, Any]]()
    for its, row in rows:
        if some and (its is not table or len(some) >= AT_ONCE):
            yield table, some
            some = []
        table = its
        some.append(row)
    if some:
        yield table, some


def _must_be_empty(record: Record, transaction: Transaction) -> None:
    held = count(transaction)
    if held:
        remedy = "Restore elsewhere, or say that it may be replaced."
        raise InputFault([Fault("record", f"{record.place} holds {held} entries", "an empty record", remedy)])


def _put(checked: Record, record: Record, pictures: dict[str, Path], replace: bool) -> None:
    """Put a checked record in the place of another: pictures first, then all rows at once."""
    if record.photo_folder is not None:
        for digest, path in pictures.items():
            content = path.read_bytes()
            write_photo(photo_file(record.photo_folder, digest, media_type(content)), content)
    if record.file is not None and replace:
        with told_as_ours(record.place), checked.reading() as from_here, record.engine.connect() as to_here:
            source: Any = from_here.connection.driver_connection
            target: Any = to_here.connection.driver_connection
            source.backup(target)  # one transaction, whole or not at all, whoever else has the record open
        return
    with checked.reading() as from_here, record.writing() as to_here:
        if replace:
            to_here.execute(text("TRUNCATE entries, gardens, photos"))
            if _holds_people(from_here):  # without any in the backup, those who are here can still sign in
                for table in (sessions, invitations, links, memberships, accounts):
                    to_here.execute(delete(table))
        _must_be_empty(record, to_here)  # another program may have written meanwhile
        _put_rows(from_here, to_here, pictures if record.file is None else {})


def _put_rows(from_here: Transaction, to_here: Transaction, pictures: dict[str, Path]) -> None:
    """Copy all rows; pictures are put into theirs where there are any to put."""
    kept = set(to_here.scalars(select(gardens.c.id)))
    for table in (gardens, entries):
        wanted = (row for row in rows_of(from_here, table) if table is entries or row["id"] not in kept)
        for _, some in _chunks((table, row) for row in wanted):
            to_here.execute(insert(table), some)
    if to_here.dialect.name != "sqlite":
        to_here.execute(
            text("SELECT setval(pg_get_serial_sequence('entries', 'number'), (SELECT max(number) FROM entries))")
        )
    _put_people(from_here, to_here)
    known = set(to_here.scalars(select(photos.c.digest)))
    for row in rows_of(from_here, photos):
        path = pictures.get(row["digest"])
        if row["digest"] not in known:
            to_here.execute(insert(photos), [row | {"content": None if path is None else path.read_bytes()}])


def _holds_people(transaction: Transaction) -> bool:
    return bool(transaction.scalar(select(func.count()).select_from(accounts)))


def _put_people(from_here: Transaction, to_here: Transaction) -> None:
    """Copy accounts and what they may do, where nobody has an account yet."""
    if _holds_people(to_here):
        return
    for table in (accounts, memberships):
        for _, some in _chunks((table, row) for row in rows_of(from_here, table)):
            to_here.execute(insert(table), some)
