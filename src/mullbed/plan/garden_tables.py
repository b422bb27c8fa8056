"""What the planner looks up for one garden: crops, residues, its containers, the limits of safety."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from mullbed.domain.crop import Crop
from mullbed.domain.garden import Garden
from mullbed.domain.residue import Residue
from mullbed.domain.safety import SafetyLimits
from mullbed.domain.supply import Container
from mullbed.reference.containers import find_container
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues


@dataclass(frozen=True, slots=True, eq=False)
class Tables:
    """What the planner looks up."""

    crops: Mapping[str, Crop]
    residues: Mapping[str, Residue]
    containers: Mapping[str, Container]
    """Every container a supply names, by that name."""
    can_litres: float
    safety: SafetyLimits
    """Handed over by safety."""


def tables_of(garden: Garden, safety: SafetyLimits) -> Tables:
    """Return the tables of a garden; its own containers stand before the usual ones.

    Raises
    ------
    NotFound
        When a supply names a container nobody knows.
    """
    own = {container.name: container for container in garden.containers}
    names = sorted({supply.container for supply in garden.supplies})
    containers = {name: own[name] if name in own else find_container(name) for name in names}
    can = own.get("can") or find_container("can")
    return Tables(all_crops(), all_residues(), containers, can.litres.mid, safety)
