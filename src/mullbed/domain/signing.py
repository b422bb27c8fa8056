"""Who writes into the record, when, and where; what an answer needs to tell what was kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from mullbed.domain.garden import UnitSystem

if TYPE_CHECKING:
    from mullbed.domain.record import Entry


@dataclass(frozen=True, slots=True)
class Where:
    """Which record, and which garden in it."""

    record: str | None = None
    """Path or address; None for the user's own record."""
    garden: str | None = None
    """Id of the garden; None where the record holds only one."""


@dataclass(frozen=True, slots=True)
class Signature:
    """Who writes, at which moment; ids are made by the one who writes."""

    author: str
    now: datetime
    """With its zone."""
    today: date
    """The day it is where the grower is."""
    chance: Callable[[], bytes]
    """Gives ten random bytes each time."""

    def new_id(self) -> str:
        """Return a new id of an entry."""
        from mullbed.domain.record import entry_id  # read when something is written, not at every start

        return entry_id(self.now, self.chance())


@dataclass(frozen=True, slots=True)
class Kept:
    """What was kept of one line, for the answer."""

    entry: Entry
    area: float | None = None
    """Of its bed. [m2]"""
    units: UnitSystem = UnitSystem.METRIC
    """Those of the garden."""
    replaced: Entry | None = None
    """What it corrects or takes back."""
    remarks: tuple[str, ...] = ()
    """Sentences' keys the report tells, such as "before the carry-over"."""
    usual: tuple[tuple[str, float], ...] = ()
    """What was filled in of a day's weather: rain [mm], low and high [°C]."""
    unread: int = 0
    """Days without weather since the last reading. [d]"""
    planned_day: date | None = None
    """Day the plan had a layer for."""
    is_new: bool = True
    """False where it had been kept before, word for word."""
