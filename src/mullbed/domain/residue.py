"""A residue: what it is made of, how it lies, and how well each number is known."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from mullbed.domain.spread import Evidence, Spread, weakest


class Group(StrEnum):
    """A handling label; what a residue does to nitrogen follows from its chemistry alone."""

    SOFT_FRESH = "soft fresh"
    DRY = "dry"
    WOODY = "woody"
    OTHER = "other"


class Texture(StrEnum):
    """How pieces look in a drawn cut."""

    CLIPPINGS = "clippings"
    HAY = "hay"
    LEAVES = "leaves"
    STRAW = "straw"
    CARD = "card"
    CHIPS = "chips"
    WEEDS = "weeds"
    SCRAPS = "scraps"
    MULL = "mull"


@dataclass(frozen=True, slots=True)
class Residue:
    """One row of the residue table."""

    key: str
    name: str
    also_called: tuple[str, ...]
    group: Group
    moisture: Spread
    """Water per fresh mass. [fraction]"""
    carbon: Spread
    """[fraction of dry matter]"""
    nitrogen: Spread
    """[fraction of dry matter]"""
    phosphorus: Spread
    """[fraction of dry matter]"""
    potassium: Spread | None
    """[fraction of dry matter]; None where unknown."""
    lignin: Spread
    """[fraction of dry matter]"""
    loose_density: Spread
    """Fresh mass per volume, poured loosely. [kg m-3]"""
    settled_density: Spread | None
    """Fresh mass per volume, settled. [kg m-3]"""
    water_held: float
    """Water a lift can hold. [mm per kg m-2]"""
    interception: float
    """How well it covers. [m2 kg-1]"""
    size_factor: float
    """Factor of coarse pieces on the main pool's rate. [1]"""
    laid_density: float
    """Dry matter per volume as laid. [kg m-3]"""
    palatability: float
    """Liking by worms. [1]"""
    fresh: bool
    """True if its cells are intact as usually laid."""
    shelf_life_days: float | None
    """Days it can wait before it must be laid; None for a season or more. [d]"""
    texture: Texture
    assumed: frozenset[str] = frozenset()
    """Properties that come from the range of the class, not from the residue itself."""
    cautions: tuple[str, ...] = ()
    """Keys of the hazards table."""
    note: str = ""

    @property
    def carbon_to_nitrogen(self) -> Spread:
        """C:N worked out from carbon and nitrogen; low pairs low carbon with high nitrogen. [g g-1]"""
        return Spread(
            self.carbon.low / self.nitrogen.high,
            self.carbon.mid / self.nitrogen.mid,
            self.carbon.high / self.nitrogen.low,
            "g g-1",
            weakest(Evidence.WORKED_OUT, self.carbon.evidence, self.nitrogen.evidence),
            self.nitrogen.source,
            weakest(*(one.range_evidence or one.evidence for one in (self.carbon, self.nitrogen))),
        )

    @property
    def dry_share(self) -> float:
        """Dry matter per fresh mass, middle estimate. [fraction]"""
        return 1.0 - self.moisture.mid
