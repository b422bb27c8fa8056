"""Bring a backup back into a record, after all of it was checked.

Reads the backup, writes the record. Raises InputFault when the file is no backup or the record holds something,
RecordError when the backup is damaged or newer than this program, or the record cannot be written.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from mullbed.domain.record_backup import BackupTold
from mullbed.store.backup import back_up
from mullbed.store.database import open_record
from mullbed.store.journal import count
from mullbed.store.restore import restore


@dataclass(frozen=True, slots=True)
class Restored:
    """What came back, and what was there before."""

    told: BackupTold
    place: str
    """Where the record is."""
    before: BackupTold | None = None
    """What the record held, where it held anything."""
    kept: Path | None = None
    """Backup of what it held."""


def restore_record(
    source: Path, moment: datetime, *, record: str | None = None, replace: bool = False, keep_before: Path | None = None
) -> Restored:
    """Bring a backup back and return what came.

    Parameters
    ----------
    record : str or None
        Path or address of the record; None for the user's own.
    replace : bool
        Whether a record that holds something may be replaced; what it holds is backed up first.
    keep_before : Path or None
        Where what it holds is backed up to; None keeps nothing of it.

    Raises
    ------
    InputFault
        When the file is no backup, or the record holds something and may not be replaced.
    RecordError
        When the backup is damaged or newer than this program, or the record cannot be written.
    """
    with open_record(record) as opened:
        with opened.reading() as transaction:
            held = count(transaction)
        before = back_up(opened, keep_before, moment) if held and replace and keep_before is not None else None
        told = restore(source, opened, replace=replace)
        return Restored(told, opened.place, before, keep_before if before is not None else None)
