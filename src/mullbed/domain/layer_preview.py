"""What a layer would do to a bed, before it is laid."""

from __future__ import annotations

from dataclasses import dataclass

from mullbed.domain.bed import Bed
from mullbed.domain.forecast import BedForecast
from mullbed.domain.garden import UnitSystem
from mullbed.domain.in_hand import InHand
from mullbed.domain.refusal import Refusal
from mullbed.domain.season_plan import PlannedLayer


@dataclass(frozen=True, slots=True)
class LayerPreview:
    """A bed with a layer that is being put together."""

    bed: Bed
    units: UnitSystem
    hand: InHand
    counts: tuple[tuple[str, float], ...]
    """Heaps by name and how many containers of each."""
    cans: float
    """Water chosen. [can]"""
    planned: PlannedLayer | None
    """The layer as it would be; None while nothing is chosen."""
    forecast: BedForecast
    """The bed with the layer, or as it is."""
    refusals: tuple[Refusal, ...]
    """What rules of safety say against it."""
    nitrogen_year: float
    """Nitrogen laid this year with it. [g m-2]"""
    nitrogen_ceiling: float
    """[g m-2]"""
    thickest_soft: float
    """Thickest lift of soft fresh matter that is let pass without a word. [m]"""
    from_plan: bool
    """Whether the counts are those of the plan."""
    heaps: tuple[str, ...] = ()
    """Heap of each lift of the layer, from the soil up."""
