"""What a plan is made from: laying days, stocks, beds with their wants and ceilings, weights of the goals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.layer import Lift
from mullbed.domain.safety import HarvestWait, SafetyLimits

Series = NDArray[np.float64]
Index = NDArray[np.int64]
Mask = NDArray[np.bool_]

DAYS_A_WEEK = 7
SATURDAY = 5


@dataclass(frozen=True, slots=True)
class Week:
    """One week of the season and the days in it on which somebody is there to lay."""

    index: int
    monday: date
    days: tuple[date, ...]
    """Days at home, the usual laying day first; empty when nobody is there all week (R18)."""

    @property
    def laying_day(self) -> date | None:
        """Return the usual laying day, or None when nobody is there."""
        return self.days[0] if self.days else None


def weeks_of(first_day: date, last_day: date, away: Sequence[tuple[date, date]] = ()) -> tuple[Week, ...]:
    """Return the weeks from first to last day with their days at home, Saturday first, then backwards, Sunday last.

    An absence counts from its first to its last day, both included.
    """
    weeks: list[Week] = []
    monday = first_day - timedelta(days=first_day.weekday())
    while monday <= last_day:
        days = [monday + timedelta(days=offset) for offset in (5, 4, 3, 2, 1, 0, 6)]
        free = tuple(
            day for day in days if first_day <= day <= last_day and not any(start <= day <= end for start, end in away)
        )
        weeks.append(Week(len(weeks), monday, free))
        monday += timedelta(days=DAYS_A_WEEK)
    return tuple(weeks)


@dataclass(frozen=True, slots=True)
class Arrival:
    """So many containers that come on one day."""

    day: date
    count: float


@dataclass(frozen=True, slots=True)
class Stock:
    """One residue from one supply, counted in one container."""

    name: str
    """What the grower calls it; unique in a plan."""
    unit: Lift
    """One container spread on one square metre; every amount scales from it."""
    soft_fresh: bool
    """True for wet, soft matter that has to be capped; False for dry, structural matter that can cap."""
    nitrogen: float
    """Middle estimate. [g per g dry matter]"""
    phosphorus: float
    """Middle estimate. [g per g dry matter]"""
    carbon: float
    """Middle estimate. [g per g dry matter]"""
    arrivals: tuple[Arrival, ...]
    shelf_life_days: float | None = None
    """Days after arrival within which it must be laid; None if it keeps. [d]"""
    kept_weekly: float = 1.0
    """Share that is still there after a week in store. [fraction]"""
    held: bool = False
    held_until: date | None = None
    """A held stock may be laid from this day; a held stock without a day never."""
    bought_in: bool = False
    cautions: tuple[str, ...] = ()
    minutes: float = 3.0
    """Work to bring one container and spread it. [min]"""
    harvest_wait: HarvestWait | None = None
    """Days that must pass between laying and the next harvest."""
    may_fail: float = 0.0
    """Chance that one arrival does not come. [fraction]"""
    first: bool = False
    """To be used before others, as the grower wishes."""

    @property
    def perishes(self) -> bool:
        """Say whether it costs something when it spoils unused: soft fresh matter that was not bought."""
        return self.shelf_life_days is not None and self.soft_fresh and not self.bought_in

    def usable_on(self, arrival: Arrival, day: date) -> bool:
        """Say whether what came with an arrival may be laid on a day (R3 comes first, R4 still good, R5 not held)."""
        if day < arrival.day:
            return False
        if self.held and (self.held_until is None or day < self.held_until):
            return False
        return self.shelf_life_days is None or (day - arrival.day).days <= self.shelf_life_days

    def kept(self, arrival: Arrival, day: date) -> float:
        """Return the share of an arrival that is still there on a day. [fraction]"""
        return float(self.kept_weekly ** (max(0, (day - arrival.day).days) / DAYS_A_WEEK))

    def most_on(self, day: date) -> float:
        """Return the most containers that could be at hand on a day if none was used before."""
        return sum(a.count * self.kept(a, day) for a in self.arrivals if self.usable_on(a, day))

    def day_in(self, week: Week) -> date | None:
        """Return the day of a week on which it is laid; None when nobody is there.

        Soft fresh matter is laid on the day most of it is there; what would not keep a week on the first such day, the
        rest on the usual one. What is dry is counted on the first day at home, so that it exists on any day it is laid.
        """
        if not week.days:
            return None
        if not self.soft_fresh:
            return min(week.days)
        hasty = self.shelf_life_days is not None and self.shelf_life_days < DAYS_A_WEEK
        return max(sorted(week.days) if hasty else week.days, key=self.most_on)


@dataclass(frozen=True, slots=True)
class Growing:
    """What a crop on the bed forbids: its sowing or planting and its harvest."""

    crop: str
    planted: date
    harvested: date
    share: float
    sown_direct: bool
    fine_seed: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class BedTerms:
    """One bed as the planner sees it; series have one value a week, per square metre."""

    name: str
    area: float
    """[m2]"""
    bed_class: int
    """Which class of beds its outcomes come from."""
    want: Series
    """Crop want. (weeks,) [g N m-2]"""
    soil_given: Series
    """Given by soil and other inputs without new layers. (members, weeks) [g N m-2]"""
    kept: Series
    """Share of the soil's mineral nitrogen that is still there after the week. (weeks,) [fraction]"""
    cover_depth: Series
    """Cover of existing layers and crop, as -ln(bare share). (weeks,) [1]"""
    thickness: Series
    """Settled thickness of existing layers. (weeks,) [m]"""
    nitrogen_ceiling: float
    """Total nitrogen that may still be laid this year. [g m-2]"""
    nitrogen_fed_ceiling: float
    """Nitrogen fed in the season, 90th percentile. [g m-2]"""
    phosphorus_ceiling: float
    """Phosphorus that may still be laid this year. [g m-2]"""
    fed_lowered: float = 0.0
    """By how much less may be promised than the ceiling allows, after a rehearsal past it. [g m-2]"""
    own_only: bool = False
    """True where phosphorus is very high: nothing bought in is laid."""
    growing: tuple[Growing, ...] = ()
    last_laid: date | None = None
    """Day of the last layer already on the bed."""
    left_alone: tuple[tuple[date, date], ...] = ()
    """First and last days between which no layer is wished on it (R25)."""

    @property
    def weeks(self) -> int:
        """Number of weeks."""
        return int(self.want.shape[0])


@dataclass(frozen=True, slots=True)
class Weights:
    """What each goal costs, in grams of nitrogen missed by a crop; judgement, editable."""

    short: float = 1.0
    """A gram a crop wanted and did not get. [1]"""
    over: float = 0.25
    """A gram in the soil that no crop took. [1]"""
    lost: float = 0.3
    """A gram of a layer's nitrogen lost to the air or washed down. [1]"""
    bare: float = 0.2
    """A week of bare soil. [g m-2 week-1]"""
    minute: float = 0.02
    """A minute of work. [g min-1]"""
    bought: float = 1.0
    """A container bought in. [g]"""
    spoilt: float = 0.02
    """A gram of nitrogen in soft fresh matter that spoils unused. [1]"""
    changed: float = 1.0
    """A layer of the plan so far that is not in the next. [g]"""
    later: float = 0.2
    """A kilogram of dry matter that is to be used first and is used a whole season later. [g kg-1]"""
    disturbed: float = 0.1
    """A layer close to sowing, planting or harvest, where the whole bed is sown, planted or picked. [g m-2]"""


@dataclass(frozen=True, slots=True)
class DayLimits:
    """What one laying day can take, and the rules of layers; the numbers of the garden file."""

    minutes_per_day: float | None = None
    litres_per_day: float | None = None
    days_between_layers: int = 21
    thickest_soft_fresh: float = 0.03
    thickest_cover: float = 0.12
    thinnest_cap: float = 0.01
    """A cap must hide the green. [m]"""
    moisture: tuple[float, float] = (0.50, 0.65)
    """Lowest and highest moisture as laid. [fraction, wet basis]"""
    moisture_of_dry: float = 0.55
    """Dry lifts are wetted to this on their own mass. [fraction, wet basis]"""
    days_before_direct_sowing: int = 0
    """Handed over by safety, as is the next. [d]"""
    days_before_fine_seed: int = 0
    days_disturbing: int = 7
    """So close to sowing, planting or harvest a layer is in the way (R24). [d]"""
    days_after_direct_sowing: int = 28
    """No layer over seedlings. [d]"""
    reserve_share: float = 0.15
    """Share of dry matter of browns kept back until the reserve day. [fraction]"""
    reserve_until: date | None = None
    """Day up to which the reserve is kept: the end of summer. None for no reserve."""
    minutes_per_visit: float = 5.0
    minutes_per_area: float = 1.0
    """Spreading and raking. [min m-2]"""
    litres_per_minute: float = 10.0


@dataclass(frozen=True, slots=True, eq=False)
class PlanTerms:
    """The whole planning problem apart from what the simulation says of each candidate."""

    weeks: tuple[Week, ...]
    stocks: tuple[Stock, ...]
    beds: tuple[BedTerms, ...]
    limits: DayLimits = field(default_factory=DayLimits)
    weights: Weights = field(default_factory=Weights)
    safety: SafetyLimits = field(default_factory=SafetyLimits)
    """Handed over by safety."""
    stock_days: tuple[tuple[date | None, ...], ...] = field(default=(), init=False)
    """By stock and week, the day it is laid on."""

    def __post_init__(self) -> None:
        days = tuple(tuple(stock.day_in(week) for week in self.weeks) for stock in self.stocks)
        object.__setattr__(self, "stock_days", days)
