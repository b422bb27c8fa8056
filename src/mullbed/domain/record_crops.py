"""What the record keeps of crops: what grows where, sowings, harvests by plot."""

from __future__ import annotations

from dataclasses import dataclass

from mullbed.domain.bed import BedCrop, CropResidues
from mullbed.domain.record_checks import checked, checked_share


@dataclass(frozen=True, slots=True)
class CropTold:
    """A crop that is to grow on the entry's bed."""

    crop: BedCrop
    dropped: bool = False
    """True when it will not be grown after all."""


@dataclass(frozen=True, slots=True)
class Sown:
    """A sowing or planting."""

    crop: str
    """Key of the crop table."""
    direct: bool = True
    """True for seed sown where it grows, False for plants set out."""
    share: float = 1.0
    """Share of the bed. [fraction]"""
    variety: str = ""
    plot: str | None = None
    words: str = ""

    def __post_init__(self) -> None:
        checked_share(share=self.share)


@dataclass(frozen=True, slots=True)
class Harvested:
    """One picking."""

    crop: str
    fresh_kg: float
    """[kg]"""
    plot: str | None = None
    """Plot of a trial; None for the whole bed."""
    area: float | None = None
    """Ground it was picked from; None for all of the crop. [m2]"""
    last: bool = False
    """True when the crop is cleared."""
    residues: CropResidues | None = None
    """What became of its own residues, when it was cleared."""
    said: str = ""
    words: str = ""

    def __post_init__(self) -> None:
        checked(fresh_kg=self.fresh_kg, area=self.area)
