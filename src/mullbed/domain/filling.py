"""From containers, depths and masses to a lift: dry matter, thickness, water and their doubt.

Own weighings beat own containers, and those beat the tables; each step narrows the doubt.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log, sqrt

from mullbed.domain.layer import Lift
from mullbed.domain.residue import Group, Residue
from mullbed.domain.spread import Evidence, Spread, weakest
from mullbed.domain.supply import Container

NINETIETH = 1.2815515655446004
#: Doubt that is left after a weighing: heaping and moisture differ from bucket to bucket. [1] Judgement.
WEIGHED_LOG_SD = 0.10
#: Moisture of soft fresh matter after drying in the sun. [fraction] Judgement: hay-dry.
DRIED_MOISTURE = 0.2
#: Dry matter per volume of soft fresh matter once wilted: middle of 100-150. [kg m-3] Derived (materials, section 4).
WILTED_DENSITY = 125.0
#: Moisture of dry matter once wetted through. [fraction] Common practice, no source (few drops when squeezed).
WETTED = 0.6


def log_sd(spread: Spread) -> float:
    """Return the standard deviation of the logarithm that fits the 10th and 90th percentile. [1]"""
    return log(spread.high / max(spread.low, 1e-9)) / (2.0 * NINETIETH)


@dataclass(frozen=True, slots=True)
class Filled:
    """One container of a residue."""

    fresh_kg: float
    """[kg]"""
    litres: float
    """[L]"""
    log_sd: float
    """Doubt of the dry matter in it. [1]"""
    evidence: Evidence


def _dry_share_log_sd(residue: Residue) -> float:
    wet, dry = 1.0 - residue.moisture.high, 1.0 - residue.moisture.low
    return log(dry / max(wet, 1e-3)) / (2.0 * NINETIETH)


def filled(residue: Residue, container: Container, weighed_kg: float | None = None) -> Filled:
    """Return what one container holds: by own weighing, else by another weighing of it, else by the tables."""
    litres = container.litres.mid
    own = weighed_kg if weighed_kg is not None else dict(container.weighed).get(residue.key)
    moisture = 0.5 * _dry_share_log_sd(residue)
    if own is not None:
        return Filled(own, litres, sqrt(WEIGHED_LOG_SD**2 + moisture**2), Evidence.MEASURED)
    doubt = sqrt(log_sd(residue.loose_density) ** 2 + log_sd(container.litres) ** 2 + moisture**2)
    evidence = weakest(residue.loose_density.evidence, container.litres.evidence)
    return Filled(litres / 1000.0 * residue.loose_density.mid, litres, min(doubt, 1.0), evidence)


def lift_of_containers(
    residue: Residue, container: Container, count: float, area: float, *, weighed_kg: float | None = None,
    dried: bool = False,
) -> Lift:
    """Return the lift that so many containers make on an area [m2]."""
    one = filled(residue, container, weighed_kg)
    dry = one.fresh_kg * count * residue.dry_share * 1000.0 / area
    thickness = one.litres * count / 1000.0 / area
    return _lift(residue, container.name, count, dry, one.log_sd, one.evidence, thickness, dried)


def lift_of_depth(residue: Residue, depth: float, *, dried: bool = False) -> Lift:
    """Return the lift of a residue laid loosely so deep [m]."""
    dry = depth * residue.loose_density.mid * residue.dry_share * 1000.0
    doubt = min(1.0, sqrt(log_sd(residue.loose_density) ** 2 + (0.5 * _dry_share_log_sd(residue)) ** 2))
    return _lift(residue, "mm", depth * 1000.0, dry, doubt, residue.loose_density.evidence, depth, dried)


def lift_of_mass(residue: Residue, kilograms: float, area: float, *, dried: bool = False) -> Lift:
    """Return the lift that a fresh mass [kg] makes on an area [m2]."""
    dry = kilograms * residue.dry_share * 1000.0 / area
    thickness = kilograms / residue.loose_density.mid / area
    doubt = sqrt(0.05**2 + (0.5 * _dry_share_log_sd(residue)) ** 2)
    return _lift(residue, "kg", kilograms, dry, doubt, Evidence.MEASURED, thickness, dried)


def lift_of_volume(residue: Residue, litres: float, area: float, *, dried: bool = False) -> Lift:
    """Return the lift that a loose volume [L] makes on an area [m2]."""
    lift = lift_of_depth(residue, litres / 1000.0 / area, dried=dried)
    return Lift(lift.residue, "L", litres, lift.dry_matter, lift.dry_matter_log_sd, lift.dry_matter_evidence,
                lift.thickness, lift.fresh, lift.tissue_water, lift.free_water)


def _lift(
    residue: Residue, container: str, count: float, dry: float, doubt: float, evidence: Evidence, thickness: float,
    dried: bool,
) -> Lift:
    moisture = residue.moisture.mid
    fresh = residue.fresh and not dried
    if dried and residue.fresh:
        moisture = DRIED_MOISTURE
        thickness = dry / 1000.0 / WILTED_DENSITY * 2.0  # dried matter lies loosely, half as dense as wilted
    water = dry / 1000.0 * moisture / (1.0 - moisture)
    return Lift(
        residue=residue.key, container=container, count=count, dry_matter=dry, dry_matter_log_sd=doubt,
        dry_matter_evidence=evidence, thickness=thickness, fresh=fresh, tissue_water=water if fresh else 0.0,
        free_water=0.0 if fresh else water,
    )


def wilted_thickness(residue: Residue, lift: Lift) -> float:
    """Return the thickness once soft fresh matter has wilted, without any decay. [m]"""
    if not lift.fresh:
        return lift.thickness
    return min(lift.thickness, lift.dry_matter / 1000.0 / WILTED_DENSITY)


def water_to_wet(residue: Residue, lift: Lift) -> float:
    """Return the water [mm] that wets a dry lift through on its own dry mass; soft fresh lifts need none."""
    if residue.group is Group.SOFT_FRESH and lift.fresh:
        return 0.0
    return max(0.0, lift.dry_matter / 1000.0 * WETTED / (1.0 - WETTED) - lift.free_water)
