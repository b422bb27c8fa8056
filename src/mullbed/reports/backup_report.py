"""What a backup holds and what came back, as sentences and as a document."""

from __future__ import annotations

from pathlib import Path

from mullbed.domain.record_backup import BackupTold
from mullbed.reports.fact_rows import Json
from mullbed.reports.terminal_style import Style, paragraph
from mullbed.reports.words import counted


def backup_text(told: BackupTold, file: Path, style: Style) -> str:
    """Return what was written, and what to do with it."""
    lines = [style.bold(f"{file} holds the whole record.")]
    lines += paragraph(f"{_contents(told)} Keep a copy in another place, and try once to restore it elsewhere.")
    return style.finished([*lines, *_missing(told)])


def restored_text(told: BackupTold, place: str, before: BackupTold | None, kept: Path | None, style: Style) -> str:
    """Return what came back, and where what was there before is kept."""
    lines = [style.bold(f"The record is back: {place}.")]
    lines += paragraph(f"{_contents(told)} The backup was made at {told.made_at[:16].replace('T', ' ')} UTC.")
    if before is not None and kept is not None:
        lines += [*paragraph(f"What was there before, {counted(before.entries, 'entry')}, is kept in"), f"  {kept}"]
    return style.finished([*lines, *_missing(told)])


def backup_document(told: BackupTold, file: Path) -> Json:
    """Return what a backup holds as a document."""
    return {"file": str(file), **_told(told)}


def restored_document(told: BackupTold, place: str, before: BackupTold | None, kept: Path | None) -> Json:
    """Return what came back as a document."""
    return {
        "record": place,
        **_told(told),
        "before_entries": None if before is None else before.entries,
        "before_file": None if kept is None else str(kept),
    }


def _told(told: BackupTold) -> Json:
    return {
        "made_at": told.made_at,
        "schema": told.schema,
        "entries": told.entries,
        "photos": told.photos,
        "missing_photos": list(told.missing_photos),
    }


def _contents(told: BackupTold) -> str:
    entries, photos = counted(told.entries, "entry"), counted(told.photos, "photo")
    return f"It holds {entries} and {photos}; every part was checked."


def _missing(told: BackupTold) -> list[str]:
    if not told.missing_photos:
        return []
    gone = counted(len(told.missing_photos), "photo")
    return paragraph(f"Beware: {gone} could not be found or had been changed when the backup was made.")
