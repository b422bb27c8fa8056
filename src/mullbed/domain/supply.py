"""Residues in hand and expected, in the grower's own containers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from mullbed.domain.spread import Spread


@dataclass(frozen=True, slots=True)
class Container:
    """A container of the grower or of the table."""

    name: str
    litres: Spread
    """What it holds, heaped as usual. [L]"""
    weighed: tuple[tuple[str, float], ...] = ()
    """Own weighings of one full container: residue key and fresh mass. [kg]"""
    pressed: bool = False
    """True for a bale: it holds settled matter, which springs open when it is spread."""


@dataclass(frozen=True, slots=True)
class Supply:
    """One residue from one source: so many containers on a day, perhaps again every so many days."""

    residue: str
    """Key of the residue table."""
    container: str
    count: float
    """Containers each time."""
    first_day: date
    """In hand from this day."""
    every_days: int | None = None
    """Comes again after so many days; None for once only. [d]"""
    last_day: date | None = None
    """Last day it can come; None for the end of the season."""
    dried: bool = False
    """True if it is wilted or dried before it is laid."""
    shelf_life_days: float | None = None
    """Own shelf life; None for the table's. [d]"""
    weighed_kg: float | None = None
    """Own weighing of one filled container of this residue; None if never weighed. [kg fresh]"""
    held_because: str | None = None
    """Why it must not be laid yet; None when it may."""
    held_until: date | None = None
    """Day the hold may end, such as the reading of a bean test; None for not at all."""
    bought_in: bool = False
    minutes_to_fetch: float | None = None
    """Work to bring one container to the beds. [min]"""
    name: str | None = None
    """What the grower calls it."""
    heated: bool = False
    """True for what was composted as hot and as long as the rules of safety ask."""
    may_fail: float = 0.0
    """Chance that what is expected on a day does not come. [fraction]"""


def supply_names(supplies: Sequence[Supply]) -> tuple[str, ...]:
    """Return a unique name for each supply: the grower's own, else the residue's."""
    names: list[str] = []
    for supply in supplies:
        name = supply.name or supply.residue
        number, unique = 2, name
        while unique in names:
            unique, number = f"{name} {number}", number + 1
        names.append(unique)
    return tuple(names)
