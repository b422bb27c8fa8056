"""A layer is what is laid in one visit; a lift is one residue in it; the cap is its top lift."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from mullbed.domain.spread import Evidence


@dataclass(frozen=True, slots=True)
class Lift:
    """One residue laid in one visit."""

    residue: str
    """Key of the residue table."""
    container: str
    """Container it is counted in."""
    count: float
    """How many containers for the whole bed."""
    dry_matter: float
    """Middle estimate. [g m-2]"""
    dry_matter_log_sd: float
    """Doubt of the dry matter, as the standard deviation of its logarithm. [1]"""
    dry_matter_evidence: Evidence
    thickness: float
    """Thickness as laid. [m]"""
    fresh: bool
    """True for tissue laid fresh, its cells intact; False for tissue that was ever dry."""
    tissue_water: float
    """Water inside fresh tissue. [mm]"""
    free_water: float
    """Water on and between dry pieces. [mm]"""


@dataclass(frozen=True, slots=True)
class Layer:
    """What is laid on one bed in one visit, lifts named from the soil up."""

    bed: str
    day: date
    lifts: tuple[Lift, ...]
    water: float
    """Water poured over it. [mm]"""

    @property
    def cap(self) -> Lift:
        """The top lift."""
        return self.lifts[-1]

    @property
    def thickness(self) -> float:
        """Thickness as laid. [m]"""
        return sum(lift.thickness for lift in self.lifts)

    @property
    def dry_matter(self) -> float:
        """Dry matter laid. [g m-2]"""
        return sum(lift.dry_matter for lift in self.lifts)
