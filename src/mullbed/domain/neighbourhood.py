"""A neighbourhood: who has residues, which gardens want them, what a haul costs, and who brings what to whom."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from mullbed.domain.residue import Group, Residue
from mullbed.domain.safety import IntakeAnswers
from mullbed.domain.spread import Spread
from mullbed.domain.supply import Container

NOBODY_ASKED = IntakeAnswers()
"""Every answer "not known"."""


class Matter(StrEnum):
    """The two kinds gardens ask for, after the water and the C:N of what is laid."""

    SOFT_FRESH = "soft fresh"
    DRY = "dry"


WET = 0.6
"""Matter of no group with more water than this counts as soft. [fraction] Judgement, as the planner's."""


def matter_of(residue: Residue, dried: bool = False) -> Matter:
    """Return the kind a residue is laid as."""
    other = residue.group is Group.OTHER and residue.moisture.mid >= WET
    soft = not dried and (residue.group is Group.SOFT_FRESH or other)
    return Matter.SOFT_FRESH if soft else Matter.DRY


class Unused(StrEnum):
    """Why containers of a giver find no garden."""

    HELD = "held"
    OUT_OF_REACH = "no garden in reach takes it"
    FULL = "gardens in reach are full"
    NOT_WORTH_IT = "not worth the haul"
    SPOILT = "it spoils before a garden wants it"


class Ceiling(StrEnum):
    """What stops a garden from taking more."""

    NITROGEN = "nitrogen"
    PHOSPHORUS = "phosphorus"
    WANT = "want"
    WEEK = "containers a week"
    COVER = "dry matter to cover with"


@dataclass(frozen=True, slots=True)
class Place:
    """Where something is; metres east and north of any point of the neighbourhood."""

    east: float
    """[m]"""
    north: float
    """[m]"""


@dataclass(frozen=True, slots=True)
class Step:
    """So many standard containers, and what one of them is worth to the garden."""

    most: float
    """[standard containers]"""
    worth: float
    """[price unit per standard container]"""


@dataclass(frozen=True, slots=True)
class Giver:
    """A household or a park with one residue: so many whole containers each week."""

    name: str
    residue: str
    """Key of the residue table."""
    container: Container
    weekly: tuple[int, ...]
    """Containers that come in each week. (weeks,)"""
    place: Place
    dried: bool = False
    keeps_weeks: int | None = None
    """How many weeks later it may still be brought; None for as long as the table says."""
    weighed_kg: float | None = None
    """Fresh mass of one filled container. [kg]"""
    held_because: str | None = None
    held_until: date | None = None
    answers: IntakeAnswers = NOBODY_ASKED
    """What the giver answered about sprays, seed and disease; not knowing is an answer."""


@dataclass(frozen=True, slots=True)
class Taker:
    """A garden: what more residue is worth to it, and what it may not pass."""

    name: str
    place: Place
    area: float
    """[m2]"""
    wants: tuple[tuple[Matter, tuple[Step, ...]], ...]
    """Worth by kind, in falling steps over all the weeks."""
    nitrogen_ceiling: float | None = None
    """Over all the weeks. [g m-2]"""
    phosphorus_ceiling: float | None = None
    """Over all the weeks. [g m-2]"""
    most_per_week: float | None = None
    """[standard containers]"""
    dry_per_soft: float | None = None
    """Least dry volume brought by then per soft fresh volume; None for no rule. [1]"""
    refuses: frozenset[str] = frozenset()
    """Residues it does not take."""


@dataclass(frozen=True, slots=True)
class Haul:
    """What bringing costs, in the price unit."""

    per_km: float
    """For one standard container. [price unit km-1]"""
    per_container: float = 0.0
    """Filling and emptying one standard container. [price unit]"""
    per_trip: float = 0.0
    """For setting out at all. [price unit]"""
    per_trip_km: float = 0.0
    """For one trip, full or not. [price unit km-1]"""
    containers_per_trip: float = 1.0
    """[standard containers]"""
    detour: float = 1.3
    """Way by road over the straight line; judgement. [1]"""
    farthest_km: float | None = None


@dataclass(frozen=True, slots=True)
class Neighbourhood:
    """Givers, gardens and hauls of some weeks."""

    name: str
    first_day: date
    weeks: int
    price_unit: str
    container: Container
    """The standard container prices are told in."""
    givers: tuple[Giver, ...]
    takers: tuple[Taker, ...]
    haul: Haul
    roads: tuple[tuple[str, str, float], ...] = ()
    """Giver, garden and the way between them where it is known better than the straight line. [km]"""
    left_cost: float = 0.0
    """What a standard container that nobody takes costs its giver. [price unit]"""

    def monday(self, week: int) -> date:
        """Return the first day of a week, counted from zero."""
        return self.first_day + timedelta(weeks=week)


@dataclass(frozen=True, slots=True)
class Delivery:
    """Containers that one giver brings to one garden in one week."""

    week: int
    day: date
    giver: str
    taker: str
    residue: str
    matter: Matter
    containers: int
    container: str
    standard: float
    """The same in standard containers."""
    trips: int
    km: float
    """One way. [km]"""
    cost: float
    """[price unit]"""
    nitrogen: Spread
    """[g]"""
    next_best: str | None
    """The garden that would be next, None where there is none in reach."""
    next_best_loses: float | None
    """What bringing it there would lose by a longer haul and a lower price, first steps counted. [price unit]"""


@dataclass(frozen=True, slots=True)
class GiverShare:
    """What becomes of one giver's residue."""

    name: str
    residue: str
    container: str
    came: int
    """[containers]"""
    brought: int
    """[containers]"""
    why: Unused | None
    """Why the rest stays; None where nothing stays."""
    because: str = ""
    """The giver's own reason for a hold."""


@dataclass(frozen=True, slots=True)
class TakerShare:
    """What one garden gets."""

    name: str
    area: float
    """[m2]"""
    soft_fresh: float
    """[standard containers]"""
    dry: float
    """[standard containers]"""
    carbon_to_nitrogen: float | None
    """Of all that is brought; None where nothing is. [g g-1]"""
    nitrogen: Spread
    """[g m-2]"""
    phosphorus: Spread
    """[g m-2]"""
    nitrogen_ceiling: float | None
    phosphorus_ceiling: float | None
    worth: float
    """[price unit]"""
    wants: tuple[tuple[Matter, tuple[Step, ...]], ...]
    """What containers were worth to it, by kind."""
    stops: tuple[Ceiling, ...]
    """What keeps it from taking more; none where there was no more, or none worth its haul."""


@dataclass(frozen=True, slots=True)
class Sharing:
    """Who brings what to whom."""

    neighbourhood: str
    first_day: date
    weeks: int
    price_unit: str
    container: str
    deliveries: tuple[Delivery, ...]
    givers: tuple[GiverShare, ...]
    takers: tuple[TakerShare, ...]
    worth: float
    """[price unit]"""
    haul_cost: float
    """[price unit]"""
    left_cost: float
    """[price unit]"""
    gap: float
    """Proven distance of the value from the best, per value. [fraction]"""

    @property
    def value(self) -> float:
        """Worth less hauls and what is left. [price unit]"""
        return self.worth - self.haul_cost - self.left_cost
