"""One litter at one place: what drives it, what was seen, and what the members of an ensemble say of it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from mullbed.evidence.doubt import Ensemble
from mullbed.evidence.gathering import Points
from mullbed.evidence.litter import Chemistry, Course, courses, nitrogen_at_mass

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class LitterSeries:
    """A litter followed at one place."""

    name: str
    group: str
    """Site, study or source its points are counted under."""
    place: str
    """Name of the place whose factor it shares."""
    litter: str
    chemistry: Chemistry
    drive: Array
    """What drives it by day, repeated without end, from :func:`mullbed.evidence.litter.driving`; shape (days, 4)."""
    start: int
    """Day of the drive on which it was laid."""
    days: NDArray[np.int64]
    """Days after laying, rising."""
    seen: Array
    """Mass left. [fraction]"""
    known: str
    """Row of the table of doubt: what is known of the place."""
    surface: bool = True
    factor: float = 1.0
    """Calibration factor of the set on all rates; 1 but for EURODECO."""
    nitrogen_seen: Array | None = None
    """Nitrogen left, NaN where not told. [fraction]"""
    unsure: tuple[tuple[int, float], ...] = ()
    """Columns of the chemistry that were assumed, and the log-sd of each."""
    drivers: dict[str, float] = field(default_factory=dict)
    land: str = ""
    """What grows there, where that is told."""
    further: tuple[Array, ...] = ()
    """Other draws of its weather, drive and water, over which what is left is averaged."""

    def litters(self, ensemble: Ensemble) -> Array:
        """Return the chemistry of every member, shape (members + 1, columns)."""
        rows = np.tile(self.chemistry.row(), (ensemble.count + 1, 1))
        for column, log_sd in self.unsure:
            drawn = rows[:, column] * ensemble.factors(log_sd, f"chemistry {column}", self.litter)
            rows[:, column] = np.minimum(60.0, drawn)
        return rows

    def left(self, ensemble: Ensemble) -> Course:
        """Return what every member leaves; arrays of shape (members + 1, days)."""
        rates = self.factor * ensemble.rates(self.known, self.place, self.litter)
        return self.left_at(self.litters(ensemble), ensemble.records, rates)

    def left_at(self, litters: Array, records: Array, rates: Array) -> Course:
        """Return what is left with given chemistry, parameters and rates; mean over its draws of weather."""
        found = [
            courses(litters, records, rates, drive, self.start, self.days, surface=self.surface)
            for drive in (self.drive, *self.further)
        ]
        if len(found) == 1:
            return found[0]
        return Course(
            np.mean([one.mass for one in found], axis=0),
            np.mean([one.carbon for one in found], axis=0),
            np.mean([one.nitrogen for one in found], axis=0),
        )

    def mass_points(self, left: Course) -> Points:
        """Return mass left, which carbon left stands for, as points of a comparison."""
        return Points(self.group, self.days.astype(float), self.seen, left.carbon, self.drivers)

    def nitrogen_points(self, nitrogen: Array, told: NDArray[np.bool_]) -> Points:
        """Return nitrogen left as points of a comparison."""
        seen = np.empty(0) if self.nitrogen_seen is None else self.nitrogen_seen[told]
        return Points(self.group, self.days[told].astype(float), seen, nitrogen, self.drivers)

    def told(self, most: float) -> NDArray[np.bool_]:
        """Return where nitrogen was told, above zero and not above a bound."""
        if self.nitrogen_seen is None:
            return np.zeros(self.days.size, dtype=bool)
        return np.isfinite(self.nitrogen_seen) & (self.nitrogen_seen > 0.0) & (self.nitrogen_seen <= most)

    def nitrogen_at_seen_mass(self, records: Array, litters: Array, told: NDArray[np.bool_]) -> Array:
        """Return nitrogen left when as much mass is left as was seen, shape (members, points)."""
        return nitrogen_at_mass(
            litters,
            records,
            np.full(records.shape[0], self.factor),
            self.drive,
            self.start,
            self.seen[told],
            surface=self.surface,
        )
