"""What was really done and read in a garden, as the record tells it: the ground for planning again from today."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from mullbed.domain.bed import DatedInput, PhosphorusStatus
from mullbed.domain.layer import Layer
from mullbed.domain.supply import Supply


@dataclass(frozen=True, slots=True)
class Poured:
    """Water given to a bed apart from a layer's own."""

    bed: str
    day: date
    depth: float
    """[mm]"""


@dataclass(frozen=True, slots=True)
class TakenOff:
    """Cover drawn back from a bed; a share of it was carried off."""

    bed: str
    day: date
    share: float = 0.0
    """Carried off; zero where it was only drawn aside. [fraction]"""


@dataclass(frozen=True, slots=True)
class Sown:
    """A crop sown or planted."""

    bed: str
    day: date
    crop: str
    """Key of the crop table."""
    share: float | None = None
    """Share of the bed; None for that of the garden file, or the whole bed. [fraction]"""
    direct: bool | None = None
    """True for seed sown where it grows; None for as the garden file or the table has it."""


@dataclass(frozen=True, slots=True)
class Picked:
    """A harvest."""

    bed: str
    day: date
    crop: str
    fresh_kg: float | None = None
    """[kg]"""
    last: bool = True
    """True when the crop is over with it."""


@dataclass(frozen=True, slots=True)
class CameIn:
    """A batch that came in and may be laid, or is held."""

    day: date
    supply: Supply
    instead_of: str | None = None
    """Name of the supply of the garden file it was expected as; None for something beyond it."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """A full container weighed."""

    day: date
    container: str
    residue: str
    fresh_kg: float
    """[kg]"""


@dataclass(frozen=True, slots=True)
class SoilTested:
    """A soil test; None where it tells nothing."""

    bed: str
    day: date
    organic_matter: float | None = None
    """[fraction of dry soil]"""
    mineral_nitrogen: float | None = None
    """Of 0-60 cm. [g m-2]"""
    phosphorus_status: PhosphorusStatus | None = None
    bulk_density: float | None = None
    """[kg m-3]"""


@dataclass(frozen=True, slots=True)
class Doings:
    """Everything done and read, in any order."""

    layers: tuple[Layer, ...] = ()
    poured: tuple[Poured, ...] = ()
    taken_off: tuple[TakenOff, ...] = ()
    sown: tuple[Sown, ...] = ()
    picked: tuple[Picked, ...] = ()
    came_in: tuple[CameIn, ...] = ()
    weighed: tuple[Weighed, ...] = ()
    soil_tests: tuple[SoilTested, ...] = ()
    fed: tuple[tuple[str, DatedInput], ...] = ()
    """Beds and what they were fed with."""
    dug_in: tuple[tuple[str, date, float], ...] = ()
    """Beds, days and depths to which what lay there was turned in. [m]"""


@dataclass(frozen=True, slots=True)
class BedAccount:
    """Phosphorus and potassium of one bed over a season. [g m-2]"""

    bed: str
    phosphorus_laid: float
    phosphorus_removed: float
    potassium_laid: float
    """Of the residues whose potassium is known."""
    potassium_removed: float
    """Of the crops whose potassium is known."""
    potassium_unknown: tuple[str, ...] = ()
    """Keys of residues and crops whose potassium nobody told."""
    phosphorus_before: float = 0.0
    """Carried in from the years before."""
    potassium_before: float = 0.0

    @property
    def phosphorus(self) -> float:
        """What stays: carried in and laid, less removed."""
        return self.phosphorus_before + self.phosphorus_laid - self.phosphorus_removed

    @property
    def potassium(self) -> float:
        """What stays, as far as it is known."""
        return self.potassium_before + self.potassium_laid - self.potassium_removed
