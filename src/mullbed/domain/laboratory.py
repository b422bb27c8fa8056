"""What was kept of a laboratory's table."""

from __future__ import annotations

from dataclasses import dataclass

from mullbed.domain.garden import UnitSystem
from mullbed.domain.record import Entry


@dataclass(frozen=True, slots=True)
class LaboratoryKept:
    """Samples that became entries."""

    fresh: tuple[Entry, ...]
    known: int
    """Samples that had been kept before, word for word."""
    units: UnitSystem
