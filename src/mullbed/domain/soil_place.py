"""The soil of a place as a table or a map tells it: texture and organic matter with ranges, and how near it is."""

from __future__ import annotations

from dataclasses import dataclass

from mullbed.domain.spread import Spread


@dataclass(frozen=True, slots=True)
class SoilAtPlace:
    """What is told of the soil of a place; never measured in the garden."""

    latitude: float
    longitude: float
    nearest_km: float
    """From the place to the nearest row or the middle of its cell. [km]"""
    places: int
    """Rows or cells it was worked out from."""
    sand: Spread
    """Share of the mineral soil. [fraction]"""
    clay: Spread
    """Share of the mineral soil. [fraction]"""
    organic_matter: Spread | None
    """[fraction of dry soil]; None where neither it nor organic carbon is told."""
    texture: str
    """Class of the middle estimate."""
    depth_cm: tuple[float, float] | None
    """Depths the figures are for; None where the file does not tell."""
    source: str
    remarks: tuple[str, ...]
    """What was assumed on the way."""
