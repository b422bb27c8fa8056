"""What observations taught of a bed, and how each of them fitted what was believed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from mullbed.domain.doings import Weighed
from mullbed.domain.observation import Observation
from mullbed.domain.spread import Spread


class Surprise(StrEnum):
    """How well an entry fits what was believed before it was seen."""

    EXPECTED = "as expected"
    UNUSUAL = "a little out of the ordinary"
    ODD = "odd"
    SLIP = "taken for a slip"


#: Chance of a value so far out, or of a word, below which an entry is unusual and odd.
UNUSUAL_BELOW, ODD_BELOW = 0.2, 0.05
#: From so many weighings of one residue in one container it counts as known.
KNOWN_FROM = 3
#: Chance of being a slip from which an entry is called one.
SLIP_FROM = 0.5


@dataclass(frozen=True, slots=True)
class EntryLook:
    """One entry against what was believed."""

    observation: Observation
    expected: Spread | None
    """10th to 90th percentile of what was expected of a number; None for a word."""
    likely_word: str | None
    """The word that was most likely; None for a number."""
    chance: float
    """Before it was seen: chance of a number at least so far out, or of this word against the likeliest. [1]"""
    slip: float
    """After all was seen: chance that the entry is a slip and says nothing. [1]"""

    @property
    def surprise(self) -> Surprise:
        """How the entry is called."""
        if self.slip >= SLIP_FROM:
            return Surprise.SLIP
        if self.chance < ODD_BELOW:
            return Surprise.ODD
        return Surprise.UNUSUAL if self.chance < UNUSUAL_BELOW else Surprise.EXPECTED


@dataclass(frozen=True, slots=True)
class DoubtRemoved:
    """How wide a band was before and after."""

    what: str
    """Name of the series of a forecast."""
    before: float
    """Width from the 10th to the 90th percentile."""
    after: float

    @property
    def share(self) -> float:
        """Share of the doubt that is gone; below zero where it grew. [1]"""
        return 1.0 - self.after / self.before if self.before > 0.0 else 0.0


@dataclass(frozen=True, slots=True)
class LearntBed:
    """What was learnt of one bed."""

    bed: str
    entries: tuple[EntryLook, ...]
    place_rate: Spread
    """Factor on all rates at this bed, 1 before anything was seen. [1]"""
    removed: tuple[DoubtRemoved, ...] = ()
    runs: int = 0
    """How often the season was run again for it."""


@dataclass(frozen=True, slots=True)
class WeighedLook:
    """One weighing against all else that is known."""

    weighed: Weighed
    expected_kg: float
    """Middle of what was expected without it. [kg]"""
    slip: float
    """Chance that it is a slip. [1]"""


@dataclass(frozen=True, slots=True)
class LearntFilling:
    """One residue in one container."""

    container: str
    residue: str
    fresh_kg: Spread
    """Fresh mass of a usual filling. [kg]"""
    dry_kg: Spread
    """Dry matter of a usual filling. [kg]"""
    fresh_kg_before: Spread
    """The same before anything was weighed. [kg]"""
    weighings: int
    """Those of this residue in this container that are no slips."""

    @property
    def known(self) -> bool:
        """Whether it has been weighed often enough."""
        return self.weighings >= KNOWN_FROM


@dataclass(frozen=True, slots=True)
class LearntContainers:
    """What all weighings taught."""

    fillings: tuple[LearntFilling, ...]
    """Every pair that was weighed, then every other one asked for."""
    litres: Mapping[str, Spread]
    """What each container holds. [L]"""
    looks: tuple[WeighedLook, ...]

    def filling(self, container: str, residue: str) -> LearntFilling | None:
        """Return a pair; None where it was neither weighed nor asked for."""
        return next((one for one in self.fillings if (one.container, one.residue) == (container, residue)), None)


@dataclass(frozen=True, slots=True)
class LearntGarden:
    """What was learnt of a garden."""

    beds: tuple[LearntBed, ...]
    """Those on which something was seen."""
    containers: LearntContainers
    unused: tuple[Observation, ...] = ()
    """Entries that no run covers: other beds, or days outside of those that are run."""

    def bed(self, name: str) -> LearntBed | None:
        """Return what was learnt of a bed; None where nothing was seen there."""
        return next((one for one in self.beds if one.bed == name), None)
