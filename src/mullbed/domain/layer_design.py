"""The next layer of one bed, designed from what is in hand, and what was traded for what."""

from __future__ import annotations

from dataclasses import dataclass

from mullbed.domain.forecast import BedForecast
from mullbed.domain.refusal import Override, Refusal
from mullbed.domain.season_plan import PlannedLayer
from mullbed.domain.spread import Spread


@dataclass(frozen=True, slots=True)
class Traded:
    """One goal of the layer: what was wanted and what it got."""

    goal: str
    """Such as "carbon to nitrogen", "moisture", "nitrogen fed", "thickness", "cover"."""
    got: float
    lowest: float
    """Least that was wanted."""
    highest: float
    """Most that was wanted."""
    unit: str

    @property
    def missed(self) -> bool:
        """Say whether the layer lies outside of what was wanted."""
        return not self.lowest - 1e-9 <= self.got <= self.highest + 1e-9


@dataclass(frozen=True, slots=True)
class LayerDesign:
    """A designed layer with its goals."""

    planned: PlannedLayer
    carbon_to_nitrogen: Spread
    """Of the whole layer. [g g-1]"""
    goals: tuple[Traded, ...]
    forecast: BedForecast
    tried: int
    """Whole-container layers that were compared."""
    simulated: int
    """Of these, the best that were run through the daily model."""
    refusals: tuple[Refusal, ...] = ()
    """What rules of safety kept out of the design."""
    set_aside: tuple[tuple[Refusal, Override], ...] = ()
    """What they would have kept out, had nobody set them aside with a reason."""

    @property
    def traded(self) -> tuple[Traded, ...]:
        """Return the goals that were missed for the sake of others."""
        return tuple(goal for goal in self.goals if goal.missed)
