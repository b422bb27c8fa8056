"""Write the whole record with its photos into one file that can be kept elsewhere.

Reads the record, writes the file. Raises InputFault when the file is there already, RecordError when the record cannot
be read or the file cannot be written.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from mullbed.domain.record_backup import BackupTold
from mullbed.store.backup import back_up
from mullbed.store.database import open_record


def back_up_record(target: Path, made_at: datetime, *, record: str | None = None, replace: bool = False) -> BackupTold:
    """Write a backup and return what is in it.

    Parameters
    ----------
    record : str or None
        Path or address of the record; None for the user's own.
    replace : bool
        Whether a file that is there already may be given up.

    Raises
    ------
    InputFault
        When the file is there already, or the address cannot be read.
    RecordError
        When the record cannot be read, is damaged, or the file cannot be written.
    """
    with open_record(record) as opened:
        return back_up(opened, target, made_at, replace=replace)
