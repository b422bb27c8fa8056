"""One bed as its page shows it: what lies there, what it will do, what is planned, what was written."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from mullbed.domain.bed import Bed
from mullbed.domain.forecast import BedForecast
from mullbed.domain.garden import UnitSystem
from mullbed.domain.record import Entry
from mullbed.domain.season_plan import PlannedLayer


@dataclass(frozen=True, slots=True)
class ShownBed:
    """What is known of one bed today."""

    bed: Bed
    units: UnitSystem
    today: date
    forecast: BedForecast
    planned: tuple[PlannedLayer, ...]
    """Layers of the plan still to come, the next one first."""
    late: PlannedLayer | None
    """A layer that was due and is not laid."""
    earliest_seed: date
    """First day robust seed may go in, after the youngest soft fresh layer."""
    earliest_fine_seed: date
    notes: tuple[Entry, ...]
    """What was written here, newest first."""
    members: int
    """Seasons the bands were taken from."""
