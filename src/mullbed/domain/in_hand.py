"""What is in hand at the heap today, what is held, and what beds and crops there are to write about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from mullbed.domain.garden import Garden


@dataclass(frozen=True, slots=True)
class Heap:
    """One residue in hand, counted in one container."""

    name: str
    """Name of its supply or batch; counting is by it."""
    residue: str
    """Key of the residue table."""
    container: str
    litres: float
    """What one container holds, middle estimate. [L]"""
    count: float
    since: date
    """Day of its newest arrival or count."""
    dried: bool = False
    keeps_until: date | None = None
    """Last day it can be laid; None where it keeps."""
    held_because: str | None = None
    """Why it must not be laid yet."""
    held_until: date | None = None

    @property
    def volume(self) -> float:
        """All of it. [L]"""
        return self.count * self.litres


@dataclass(frozen=True, slots=True)
class BeanTest:
    """Bean pots that stand and are not read to the end."""

    batch: str
    sown: date
    due: date | None
    """Day of the next reading; None where every day named has been read."""
    last: bool
    """Whether that reading is the last one."""


@dataclass(frozen=True, slots=True)
class InHand:
    """What is in hand, and the garden it is for."""

    garden: Garden
    """With what was done until today."""
    today: date
    heaps: tuple[Heap, ...]
    """May be laid, what spoils first before."""
    held: tuple[Heap, ...]
    tests: tuple[BeanTest, ...]
    untested: tuple[str, ...]
    """Held batches without a bean test."""
    layers_enough: int | None
    """So many coming layers of the plan can be laid from it; None without a plan."""
    short_first: str | None
    """Residue that runs out first for the plan's layers; None where none does."""
    last_water: Mapping[str, str]
    """Water last given, as it was said, by bed."""
    last_harvest: Mapping[tuple[str, str], float]
    """Last weight picked by bed and crop. [kg]"""
    counted_on: date | None
    """Day something was last counted or came in."""
