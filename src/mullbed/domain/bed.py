"""A bed: where it is, its soil, its water, its crops and what already lies on it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from mullbed.domain.layer import Layer
from mullbed.domain.spread import Spread


class PhosphorusStatus(StrEnum):
    """What a soil test said of phosphorus."""

    NOT_TESTED = "not tested"
    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"
    VERY_HIGH = "very high"


class Irrigation(StrEnum):
    """How a bed is watered apart from its layers."""

    NONE = "none"
    BY_HAND = "by hand"
    DRIP = "drip"


class CropResidues(StrEnum):
    """What happens to a crop's own residues at harvest."""

    LEFT = "left"
    CUT_IN_PLACE = "cut in place"
    CARRIED_OFF = "carried off"


@dataclass(frozen=True, slots=True)
class Soil:
    """Soil of a bed."""

    sand: float
    """Share of sand in the mineral soil. [fraction]"""
    clay: float
    """Share of clay in the mineral soil. [fraction]"""
    organic_matter: Spread
    """Organic matter of 0-25 cm. [fraction of dry soil]"""
    texture: str
    """Name of the texture class."""
    mineral_nitrogen: float | None = None
    """Measured mineral nitrogen, 0-60 cm, at the start; None if never measured. [g m-2]"""
    phosphorus_status: PhosphorusStatus = PhosphorusStatus.NOT_TESTED
    bulk_density: float | None = None
    """Measured bulk density; None if never measured. [kg m-3]"""
    lead: float | None = None
    """Measured lead; None if never measured. [mg kg-1]"""


@dataclass(frozen=True, slots=True)
class Watering:
    """Water the bed gets apart from rain and from the water poured on a layer."""

    way: Irrigation = Irrigation.NONE
    depth_per_week: float | None = None
    """Given as litres on the bed's area; None when not given. [mm per week]"""
    kept_moist: bool = False
    """True: watered up to need whenever the root zone falls below half of its available water."""


@dataclass(frozen=True, slots=True)
class BedCrop:
    """A crop on a share of a bed, from sowing or planting to harvest."""

    crop: str
    """Key of the crop table."""
    share: float
    """Share of the bed's area. [fraction]"""
    planted: date
    harvested: date
    sown_direct: bool
    residues: CropResidues = CropResidues.CARRIED_OFF
    yield_goal: float | None = None
    """Fresh yield the grower aims at; None for the table's goal. [kg m-2]"""


@dataclass(frozen=True, slots=True)
class DatedInput:
    """Compost, fertiliser or another input given on a day, as nutrients."""

    day: date
    name: str
    nitrogen: float
    """Total nitrogen. [g m-2]"""
    mineral_share: float
    """Share of it that is mineral at once. [fraction]"""
    phosphorus: float
    """[g m-2]"""


@dataclass(frozen=True, slots=True)
class Near:
    """How far from a bed's edge things are that rules of safety ask about; None where nobody told. [m]"""

    building: float | None = None
    drain: float | None = None
    water: float | None = None
    """Ditch, stream or pond."""
    well: float | None = None


@dataclass(frozen=True, slots=True)
class Bed:
    """One bed."""

    name: str
    area: float
    """[m2]"""
    soil: Soil
    watering: Watering = Watering()
    crops: tuple[BedCrop, ...] = ()
    layers: tuple[Layer, ...] = ()
    """Layers already laid, oldest first."""
    inputs: tuple[DatedInput, ...] = ()
    under_cover: bool = False
    """True in a tunnel or glasshouse: no rain, warmer air."""
    shade: float = 0.0
    """Share of the sun that is kept off. [fraction]"""
    outline: tuple[tuple[float, float], ...] | None = None
    """Corners in metres, in order; None where only a size is known."""
    poured: tuple[tuple[date, float], ...] = ()
    """Days and depths of water really given apart from a layer's own, as the record tells. [mm]"""
    taken_off: tuple[tuple[date, float], ...] = ()
    """Days and shares of the cover that was carried off, as the record tells. [fraction]"""
    dug_in: tuple[tuple[date, float], ...] = ()
    """Days and depths to which what lay there was turned in, as the record tells. [m]"""
    near: Near = Near()
