"""What observations have taught, as particles: deviates that take the place of streams of random numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Learned:
    """Particles of equal weight; each row holds together, so doubts that hang together stay so.

    A stream that is not named here is drawn as before anything was seen.
    """

    streams: Mapping[tuple[str, ...], Array]
    """Standard normal deviates by name of the stream, each of shape (particles,)."""
    particles: int
    variants: int = 1
    """How many times the weather of a case is repeated, each time with another bias of the place."""
    variant_of: NDArray[np.int64] = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    """Which of them each particle holds true, shape (particles,); unused where there is one only."""
    year_of: NDArray[np.int64] | None = None
    """Weather year of each particle where the past differs between years; None where it does not."""

    def picked(self, count: int) -> NDArray[np.int64]:
        """Return which particle stands behind each of so many members: evenly spaced, or all in turn."""
        members = np.arange(count, dtype=np.int64)
        return members * self.particles // count if count <= self.particles else members % self.particles

    def deviates(self, names: tuple[str, ...], count: int) -> Array | None:
        """Return a stream's deviates for so many members; None where nothing was learnt of it."""
        known = self.streams.get(names)
        return None if known is None else known[self.picked(count)]

    def years(self, count: int, usual: NDArray[np.int64], in_all: int, *, varied: bool = True) -> NDArray[np.int64]:
        """Return the weather year of each member; ``usual`` are those of the unbiased weather, ``in_all`` of all.

        Where the weather does not vary, all members have the usual year and the middle bias.
        """
        if not varied:
            return usual + self.variants // 2 * (in_all // self.variants)
        rows = self.picked(count)
        year = usual if self.year_of is None else self.year_of[rows]
        if self.variants <= 1:
            return year
        return self.variant_of[rows] * (in_all // self.variants) + year

    def at_place(self, bed: str, place: str) -> Learned:
        """Return the same with a bed's own factor on all rates known under the name of another place's stream."""
        own = self.streams.get((f"place {bed}",))
        streams = dict(self.streams) if own is None else {**self.streams, (f"place {place}",): own}
        return replace(self, streams=streams)
