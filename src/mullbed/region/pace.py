"""How long it takes: an estimate before it starts, and how far it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from time import perf_counter
from typing import TypeVar

Piece = TypeVar("Piece")

TOLD_EVERY = 0.05
"""Progress is told after so much more of the work."""


def seconds_of(work: Callable[[Piece], object], piece: Piece) -> float:
    """Return how long a small piece of work takes, run once before so that nothing is loaded meanwhile. [s]"""
    work(piece)
    began = perf_counter()
    work(piece)
    return perf_counter() - began


@dataclass(slots=True)
class Pace:
    """Counts pieces as they are kept."""

    pieces: int
    tell: Callable[[str], None]
    kept: int = 0
    began: float = field(default_factory=perf_counter)
    _told: float = 0.0

    @property
    def seconds(self) -> float:
        """Since the first piece was begun. [s]"""
        return perf_counter() - self.began

    def count(self) -> None:
        """Count one more piece, and tell how far it is now and then."""
        self.kept += 1
        share = self.kept / self.pieces
        if share >= self._told + TOLD_EVERY and self.kept < self.pieces:
            self._told = share
            left = self.seconds * (1.0 - share) / share
            self.tell(f"{100.0 * share:.0f} % done; about {time_words(left)} to go.")


def time_words(seconds: float) -> str:
    """Return "40 seconds", "12 minutes", "3 hours"."""
    for size, name in ((3600.0, "hours"), (60.0, "minutes")):
        if seconds >= 1.5 * size:
            return f"{seconds / size:.0f} {name}"
    return f"{max(1.0, seconds):.0f} seconds"
