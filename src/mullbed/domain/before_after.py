"""A bed at first and now: photographs from one place, checks and tests read twice, what was laid between."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from mullbed.domain.garden import UnitSystem


@dataclass(frozen=True, slots=True)
class KeptPhoto:
    """A photograph with its content."""

    day: date
    digest: str
    media_type: str
    content: bytes
    place: str
    words: str


@dataclass(frozen=True, slots=True)
class ReadTwice:
    """One check or laboratory value, at first and last."""

    name: str
    unit: str
    first_day: date
    first: float
    last_day: date
    last: float
    repeats: tuple[int, int]
    unlike: tuple[str, ...]
    """What differed beside the soil: "another operator", "another depth", "another laboratory", "another month"."""


@dataclass(frozen=True, slots=True)
class BeforeAfter:
    """All that can be shown of a bed."""

    garden: str
    bed: str
    area: float | None
    """[m2]"""
    units: UnitSystem
    photos: tuple[KeptPhoto, ...]
    """The first and the last from the same place; fewer where there are fewer."""
    read: tuple[ReadTwice, ...]
    layers: int
    dry_matter: float
    """Laid in all. [g m-2]"""
    first_layer: date | None
    last_layer: date | None
    hours: float
    harvested: float
    """[kg]"""
