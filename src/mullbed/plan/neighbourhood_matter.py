"""What one container of each giver is: wet and soft or dry, how many standard containers, its N, P and carbon."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from math import exp, hypot

from mullbed.domain.filling import DECILES_APART, fill, log_sd
from mullbed.domain.neighbourhood import Giver, Matter, Neighbourhood, matter_of
from mullbed.domain.residue import Residue
from mullbed.domain.spread import Evidence, Spread, weakest


@dataclass(frozen=True, slots=True)
class Load:
    """One container of one giver."""

    matter: Matter
    standard: float
    """Standard containers it makes, by volume. [1]"""
    nitrogen: Spread
    """[g]"""
    phosphorus: Spread
    """[g]"""
    carbon: float
    """[g]"""
    weekly: tuple[int, ...]
    """Containers that come in each week. (weeks,)"""
    keeps: int | None
    """Weeks it may wait; None for all of them."""
    first_week: int
    """First week in which it may be brought; the number of weeks where it is held throughout."""


def load_of(giver: Giver, residue: Residue, neighbourhood: Neighbourhood) -> Load:
    """Return what one container of a giver is, and when it can be brought."""
    unit = fill(residue, giver.container, 1.0, 1.0, weighed_kg=giver.weighed_kg, dried=giver.dried)

    def grams(share: Spread) -> Spread:
        mid = unit.dry_matter * share.mid
        wide = exp(hypot(unit.dry_matter_log_sd, log_sd(share)) * DECILES_APART / 2.0)
        known = weakest(Evidence.WORKED_OUT, unit.dry_matter_evidence, share.range_evidence or share.evidence)
        return Spread(mid / wide, mid, mid * wide, "g", known, share.source)

    keeps = giver.keeps_weeks
    if keeps is None and not giver.dried and residue.shelf_life_days is not None:
        keeps = int(residue.shelf_life_days // 7)
    return Load(
        matter_of(residue, giver.dried),
        giver.container.litres.mid / neighbourhood.container.litres.mid,
        grams(residue.nitrogen),
        grams(residue.phosphorus),
        unit.dry_matter * residue.carbon.mid,
        giver.weekly,
        keeps,
        _first_week(giver, neighbourhood),
    )


def _first_week(giver: Giver, neighbourhood: Neighbourhood) -> int:
    """Return the first week that begins when no hold is left."""
    if giver.held_because is None:
        return 0
    if giver.held_until is None:
        return neighbourhood.weeks
    free = giver.held_until + timedelta(days=1)
    return next(
        (week for week in range(neighbourhood.weeks) if neighbourhood.monday(week) >= free), neighbourhood.weeks
    )


def loads_of(neighbourhood: Neighbourhood, residues: Mapping[str, Residue]) -> tuple[Load, ...]:
    """Return what one container of each giver is."""
    return tuple(load_of(giver, residues[giver.residue], neighbourhood) for giver in neighbourhood.givers)
