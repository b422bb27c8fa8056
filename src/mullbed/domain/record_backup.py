"""What a backup of the record holds."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class BackupTold:
    """What is in a backup."""

    made_at: str
    """Moment in UTC, ISO 8601."""
    schema: str
    entries: int
    photos: int
    missing_photos: tuple[str, ...] = ()
    """Digests of photos that were gone or changed already when the backup was made."""
