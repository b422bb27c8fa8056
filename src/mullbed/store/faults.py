"""What a database driver raised, told as an error of the record."""

from __future__ import annotations

import errno
import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError, InterfaceError, OperationalError

from mullbed.errors import RecordBusy, RecordDamaged, RecordError, RecordFull, RecordReadOnly, RecordUnreachable

_SQLITE = (
    ("SQLITE_FULL", RecordFull),
    ("SQLITE_IOERR_WRITE", RecordFull),  # a limit on the size of files ends in this one
    ("SQLITE_IOERR_SHMSIZE", RecordFull),
    ("SQLITE_READONLY", RecordReadOnly),
    ("SQLITE_PERM", RecordReadOnly),
    ("SQLITE_BUSY", RecordBusy),
    ("SQLITE_LOCKED", RecordBusy),
    ("SQLITE_CANTOPEN", RecordUnreachable),
    ("SQLITE_CORRUPT", RecordDamaged),
    ("SQLITE_NOTADB", RecordDamaged),
    ("SQLITE_IOERR", RecordDamaged),
)
_POSTGRES = (
    ("53100", RecordFull),
    ("25006", RecordReadOnly),
    ("42501", RecordReadOnly),
    ("55P03", RecordBusy),
    ("40", RecordBusy),
    ("53", RecordBusy),
    ("57P", RecordUnreachable),
    ("08", RecordUnreachable),
    ("28", RecordUnreachable),
    ("3D", RecordUnreachable),
    ("XX00", RecordDamaged),
)
_DISK = {
    errno.ENOSPC: RecordFull,
    errno.EDQUOT: RecordFull,
    errno.EFBIG: RecordFull,
    errno.EROFS: RecordReadOnly,
    errno.EACCES: RecordReadOnly,
    errno.EPERM: RecordReadOnly,
    errno.EEXIST: RecordUnreachable,
    errno.ENOENT: RecordUnreachable,
    errno.ENOTDIR: RecordUnreachable,
    errno.EISDIR: RecordUnreachable,
}


@contextmanager
def told_as_ours(place: str) -> Iterator[None]:
    """Raise errors of the driver and of the disk as errors of the record; defects of ours stay what they are."""
    try:
        yield
    except OSError as error:
        kind = _DISK.get(error.errno or 0)
        if kind is None:
            raise
        raise kind(str(error.filename or place), error.strerror or str(error)) from error
    except (DBAPIError, sqlite3.Error) as error:
        ours = _ours(error, place)
        if ours is None:
            raise
        raise ours from error


def _ours(error: Exception, place: str) -> RecordError | None:
    cause: BaseException | None = error.orig if isinstance(error, DBAPIError) else error
    detail = " ".join(str(cause).split())
    name = getattr(cause, "sqlite_errorname", None)
    if name == "SQLITE_CANTOPEN" and not os.access(Path(place).parent, os.W_OK):
        return RecordReadOnly(place, detail)
    if name is not None:
        return next((kind(place, detail) for start, kind in _SQLITE if name.startswith(start)), None)
    state = getattr(cause, "sqlstate", None)
    if state is not None:
        return next((kind(place, detail) for start, kind in _POSTGRES if state.startswith(start)), None)
    if isinstance(error, OperationalError | InterfaceError):
        return RecordUnreachable(place, detail)
    return None
