"""From filled containers, a depth or a mass to a lift: dry matter, thickness, water, and how well they are known.

Everything here is arithmetic on facts that are handed in. One weighing of a filled container removes most of
the doubt, so the order of preference is fixed: the supply's own weighing, a weighing of the same residue in
the same container, a weighing of it in another container scaled by litres, and last the table's density.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mullbed.domain.layer import Lift
from mullbed.domain.spread import Evidence, Spread, weakest
from mullbed.domain.supply import Container

if TYPE_CHECKING:
    from mullbed.domain.residue import Residue

WEIGHING_LOG_SD = 0.08
"""How much the fresh mass of one filling differs from another of the same container. Judgement. [1]"""
OTHER_CONTAINER_LOG_SD = 0.12
"""The same where the weighing was done in another container. Judgement. [1]"""
MOST_DENSITY_LOG_SD = 0.5
"""Doubt of a table's density. Its extremes are other states of the residue, dried or pressed; judgement. [1]"""
DECILES_APART = 2.0 * 1.2815515655446004
"""Standard deviations between the 10th and the 90th percentile."""
WILTED_DENSITY = 2.0
"""Dry matter per volume once wilted and settled, against loose; judgement, as the model's eq. 27. [1]"""
WILTED_DRY_DENSITY = 125.0
"""Dry matter per volume of soft tissue once wilted, middle of 100-150; derived from clippings. [kg m-3]"""
AIR_DRY_WATER = 0.18
"""Water of wilted and dried tissue per dry matter, as hay of 15 % moisture; judgement. [kg kg-1]"""


@dataclass(frozen=True, slots=True)
class ContainerMass:
    """Fresh mass of one filled container."""

    fresh_kg: float
    """Middle estimate. [kg]"""
    log_sd: float
    """Standard deviation of its logarithm. [1]"""
    evidence: Evidence
    weighed: bool
    """True where a weighing of the grower stands behind it."""


def log_sd(spread: Spread) -> float:
    """Return the standard deviation of the logarithm that a 10-90 % range of positive values implies. [1]"""
    if spread.low <= 0.0 or spread.high <= spread.low:
        return 0.0
    return math.log(spread.high / spread.low) / DECILES_APART


def container_mass(
    residue: Residue, container: Container, *, weighed_kg: float | None = None, others: Iterable[Container] = ()
) -> ContainerMass:
    """Return the fresh mass of one container filled with a residue.

    ``others`` are the grower's other containers, whose weighings are scaled by litres.
    """
    own = weighed_kg if weighed_kg is not None else dict(container.weighed).get(residue.key)
    if own is not None:
        return ContainerMass(own, WEIGHING_LOG_SD, Evidence.MEASURED, weighed=True)
    for other in others:
        mass = dict(other.weighed).get(residue.key)
        if mass is not None and other.litres.mid > 0.0:
            doubt = math.hypot(OTHER_CONTAINER_LOG_SD, log_sd(container.litres), log_sd(other.litres))
            scaled = mass * container.litres.mid / other.litres.mid
            return ContainerMass(scaled, doubt, Evidence.WORKED_OUT, weighed=True)
    density = residue.loose_density
    if container.pressed:
        density = residue.settled_density or density.scaled(WILTED_DENSITY)
    return ContainerMass(
        container.litres.mid / 1000.0 * density.mid,
        math.hypot(min(MOST_DENSITY_LOG_SD, log_sd(density)), log_sd(container.litres)),
        weakest(density.evidence, container.litres.evidence),
        weighed=False,
    )


def dry_matter_share(residue: Residue) -> Spread:
    """Return the dry matter per fresh mass. [fraction]"""
    water = residue.moisture
    return Spread(1.0 - water.high, 1.0 - water.mid, 1.0 - water.low, "1", water.evidence, water.source)


def fill(
    residue: Residue,
    container: Container,
    count: float,
    area: float,
    *,
    weighed_kg: float | None = None,
    dried: bool = False,
    others: Iterable[Container] = (),
) -> Lift:
    """Return the lift that so many filled containers make on a bed.

    Parameters
    ----------
    residue : Residue
    container : Container
    count : float
        Containers for the whole bed, filled with the residue as it was gathered, before any drying.
    area : float
        [m2]
    weighed_kg : float, optional
        Own weighing of one filled container of exactly this supply. [kg fresh]
    dried : bool
        True when it is wilted or dried before it is laid: its cells are broken, and it lies denser.
    others : iterable of Container
        The grower's other containers, whose weighings of this residue are scaled by litres.

    Raises
    ------
    ValueError
        When the area is not above zero or the count is negative.
    """
    mass = container_mass(residue, container, weighed_kg=weighed_kg, others=others)
    volume = container.litres.mid * count / 1000.0
    spread_out = mass.fresh_kg * count / residue.loose_density.mid
    # A bale or a trodden sack is heavier than loose matter can be, and springs open when it is spread.
    pressed = container.pressed or mass.fresh_kg * count > residue.loose_density.high * volume
    return _lift(residue, container.name, count, area, mass, spread_out if pressed else volume, dried)


def lift_from_volume(residue: Residue, litres: float, area: float, *, dried: bool = False) -> Lift:
    """Return the lift that a loose volume makes on a bed; the count is in litres.

    Raises
    ------
    ValueError
        When the area is not above zero or the volume is negative.
    """
    exact = Spread(1.0, 1.0, 1.0, "L", Evidence.MEASURED)
    return fill(residue, Container("L", exact), litres, area, dried=dried)


def lift_from_depth(residue: Residue, depth: float, area: float = 1.0, *, dried: bool = False) -> Lift:
    """Return the lift of so many metres loose depth, counted in litres for the bed. [m]

    Raises
    ------
    ValueError
        When the area is not above zero or the depth is negative.
    """
    return lift_from_volume(residue, depth * area * 1000.0, area, dried=dried)


def lift_from_mass(residue: Residue, kilograms: float, area: float, *, dried: bool = False) -> Lift:
    """Return the lift that a weighed fresh mass makes on a bed; the count is in kilograms.

    Raises
    ------
    ValueError
        When the area is not above zero or the mass is negative.
    """
    mass = ContainerMass(1.0, 0.0, Evidence.MEASURED, weighed=True)
    return _lift(residue, "kg", kilograms, area, mass, kilograms / residue.loose_density.mid, dried)


def wilted_thickness(residue: Residue, lift: Lift) -> float:
    """Return the thickness once soft tissue has wilted and settled, before it decays. [m]

    Dry residues keep the thickness they were laid with.
    """
    if not lift.fresh:
        return lift.thickness
    return lift.dry_matter / 1000.0 / max(WILTED_DRY_DENSITY, settled_dry_density(residue))


def settled_dry_density(residue: Residue) -> float:
    """Return the dry matter per volume of the settled residue. [kg m-3]"""
    loose = residue.loose_density.mid * dry_matter_share(residue).mid
    if residue.settled_density is None:
        return loose * WILTED_DENSITY
    return max(loose, residue.settled_density.mid * dry_matter_share(residue).mid)


def _lift(
    residue: Residue, container: str, count: float, area: float, mass: ContainerMass, volume: float, dried: bool
) -> Lift:
    """Return the lift of a fresh mass of so many containers that take a volume. [m3]"""
    if not area > 0.0:
        raise ValueError(f"area {area} m2 is not above zero")
    if not count >= 0.0:
        raise ValueError(f"{count} containers of {residue.key} is below zero")
    share = dry_matter_share(residue)
    dry_matter = 1000.0 * mass.fresh_kg * count * share.mid / area
    fresh = residue.fresh and not dried
    thickness = volume / area
    if dried and residue.fresh:
        thickness = min(thickness, dry_matter / 1000.0 / settled_dry_density(residue))
        water = dry_matter / 1000.0 * AIR_DRY_WATER
    else:
        water = dry_matter / 1000.0 * (1.0 - share.mid) / share.mid
    return Lift(
        residue=residue.key,
        container=container,
        count=count,
        dry_matter=dry_matter,
        dry_matter_log_sd=math.hypot(mass.log_sd, log_sd(share)),
        dry_matter_evidence=weakest(mass.evidence, share.evidence),
        thickness=thickness,
        fresh=fresh,
        tissue_water=water if fresh else 0.0,
        free_water=0.0 if fresh else water,
    )
