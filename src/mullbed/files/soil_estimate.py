"""From what a table or a grid tells around a place to its soil: middle of the nearest, ranges told or found near."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.soil_place import SoilAtPlace
from mullbed.domain.spread import Evidence, Spread
from mullbed.errors import Fault, InputFault
from mullbed.files.soil_columns import CARBON_TO_MATTER, MATTER_DOUBT, TEXTURE_DOUBT, Values
from mullbed.files.texture_triangle import texture_of

Index = NDArray[np.int64]

KM_PER_DEGREE = 111.195
"""Along a meridian of a sphere of the earth's mean radius. [km]"""
FEWEST_NEAR = 4
"""So many places around tell a range."""


@dataclass(frozen=True, slots=True, eq=False)
class Around:
    """What is told at some places, as shares; NaN where it is not told. Arrays of shape (places,)."""

    latitude: Values
    longitude: Values
    values: dict[str, Values]
    """By thing, "_low" and "_high" included."""


def kilometres(latitude: float, longitude: float, latitudes: Values, longitudes: Values) -> Values:
    """Return distances on a flat map around a place. [km]"""
    east = (longitudes - longitude + 180.0) % 360.0 - 180.0
    return np.hypot(latitudes - latitude, east * cos(radians(latitude))) * KM_PER_DEGREE


def soil_estimate(
    around: Around,
    latitude: float,
    longitude: float,
    *,
    place: str,
    source: str,
    reach_km: float,
    depth_cm: tuple[float, float] | None,
    remarks: Sequence[str] = (),
) -> SoilAtPlace:
    """Return the soil of a place.

    Raises
    ------
    InputFault
        When nothing is told within reach, or it is no soil.
    """
    far = kilometres(latitude, longitude, around.latitude, around.longitude)
    there = ~(np.isnan(around.values["sand"]) | np.isnan(around.values["clay"]))
    near = np.flatnonzero(there & (far <= reach_km))
    if near.size == 0:
        nearest = float(far[there].min()) if there.any() else float("inf")
        found = f"nothing within {reach_km:g} km" + (f"; the nearest is {nearest:.0f} km off" if there.any() else "")
        raise InputFault([Fault(place, found, "a place near", "Take another table, or reach farther: --reach KM.")])
    near = near[np.argsort(far[near], kind="stable")]
    told = list(remarks)
    sand, clay = (_texture_spread(around, thing, near, told) for thing in ("sand", "clay"))
    if sand.mid + clay.mid > 1.02:
        found = f"sand {sand.mid:.0%} and clay {clay.mid:.0%} together above all of it"
        raise InputFault([Fault(place, found, "shares of the mineral soil", "Check columns and units.")])
    total = max(1.0, sand.mid + clay.mid)
    sand, clay = sand.scaled(1.0 / total), clay.scaled(1.0 / total)
    return SoilAtPlace(
        latitude,
        longitude,
        float(far[near[0]]),
        int(near.size),
        sand,
        clay,
        _matter(around, near, told),
        texture_of(sand.mid, clay.mid),
        depth_cm,
        source,
        tuple(told),
    )


def _texture_spread(around: Around, thing: str, near: Index, told: list[str]) -> Spread:
    mid = float(around.values[thing][near[0]])
    low, high, known = _range(around, thing, near)
    if known is None:
        low, high, known = mid - TEXTURE_DOUBT, mid + TEXTURE_DOUBT, Evidence.GUESS
        told.append(f"The range of {thing} is assumed: 10 points either way (judgement).")
    low, high = max(0.0, min(low, mid)), min(1.0, max(high, mid))
    return Spread(low, mid, high, "fraction", Evidence.PUBLISHED, "", known)


def _range(around: Around, thing: str, near: Index) -> tuple[float, float, Evidence | None]:
    """Return low and high of the nearest place, or of those around it; no evidence where neither tells."""
    at = near[0]
    low, high = around.values.get(f"{thing}_low"), around.values.get(f"{thing}_high")
    if low is not None and high is not None and not np.isnan(low[at] + high[at]):
        return float(low[at]), float(high[at]), Evidence.PUBLISHED
    values = around.values[thing][near]
    values = values[~np.isnan(values)]
    if values.size >= FEWEST_NEAR:
        return float(np.quantile(values, 0.1)), float(np.quantile(values, 0.9)), Evidence.WORKED_OUT
    return 0.0, 0.0, None


def _matter(around: Around, near: Index, told: list[str]) -> Spread | None:
    """Return organic matter, from organic carbon where only that is told."""
    for thing in ("organic_matter", "organic_carbon"):
        values = around.values.get(thing)
        if values is None or np.isnan(values[near[0]]):
            continue
        mid = float(values[near[0]])
        low, high, known = _range(around, thing, near)
        if known is None:
            low, high, known = mid * MATTER_DOUBT[0], mid * MATTER_DOUBT[1], Evidence.GUESS
            told.append("The range of organic matter is assumed: 0.6 to 1.6 times the middle (judgement).")
        factors = (1.0, 1.0, 1.0)
        if thing == "organic_carbon":
            factors = CARBON_TO_MATTER
            told.append(
                f"Organic matter is organic carbon times {factors[1]:g}, the usual convention; up to {factors[2]:g} is "
                "found (Pribyl 2010, from memory), which widens the range."
            )
        low, mid, high = low * factors[0], mid * factors[1], high * factors[2]
        low, high = max(0.0, min(low, mid)), min(1.0, max(high, mid))
        return Spread(low, mid, high, "fraction of dry soil", Evidence.PUBLISHED, "", known)
    return None
