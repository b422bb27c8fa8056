"""What the record keeps of the place: site, beds with their history, containers and supplies expected."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from mullbed.domain.bed import Bed, BedCrop, DatedInput, Soil, Watering
from mullbed.domain.garden import Limits, Site
from mullbed.domain.layer import Layer
from mullbed.domain.supply import Container, Supply


@dataclass(frozen=True, slots=True)
class SiteTold:
    """The place and its limits, as they are from the entry's day on."""

    site: Site
    limits: Limits = field(default_factory=Limits)


@dataclass(frozen=True, slots=True)
class BedTold:
    """Shape and soil of a bed from the entry's day on; the entry names the bed, earlier entries are its history."""

    area: float
    """[m2]"""
    soil: Soil
    watering: Watering = field(default_factory=Watering)
    under_cover: bool = False
    shade: float = 0.0
    """[fraction]"""
    outline: tuple[tuple[float, float], ...] | None = None
    """Corners in metres, in order; None where only a size is known."""
    in_use: bool = True
    """False from the day the bed is given up."""
    words: str = ""

    @classmethod
    def of(cls, bed: Bed) -> BedTold:
        """Return shape and soil of a bed."""
        return cls(bed.area, bed.soil, bed.watering, bed.under_cover, bed.shade, bed.outline)

    def bed(
        self, name: str, crops: Iterable[BedCrop] = (), layers: Iterable[Layer] = (), inputs: Iterable[DatedInput] = ()
    ) -> Bed:
        """Return the bed with what grows and lies on it."""
        return Bed(
            name, self.area, self.soil, self.watering, tuple(crops), tuple(layers), tuple(inputs),
            self.under_cover, self.shade, self.outline,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class ContainerTold:
    """A container of the garden's own."""

    container: Container


@dataclass(frozen=True, slots=True)
class SupplyTold:
    """A residue in hand or expected."""

    supply: Supply
    ended: bool = False
    """True from the day it comes no more or is used up."""
