"""What somebody does on a bed on a day, apart from how it was decided: lay a layer, dig it in, spread compost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date

from mullbed.domain.layer import Layer
from mullbed.domain.residue import Residue
from mullbed.domain.season_plan import PlannedLayer
from mullbed.simulate.bed_case import lay_event
from mullbed.simulate.case import BedCase, DigIn, Event, Feed


@dataclass(frozen=True, slots=True)
class Compost:
    """Ripe compost spread on a bed. [g m-2]"""

    mineral_nitrogen: float
    organic_nitrogen: float
    organic_carbon: float
    phosphorus: float
    mass: float
    """As spread. [kg m-2]"""


@dataclass(frozen=True, slots=True)
class Act:
    """One visit to one bed."""

    day: date
    minutes: float
    layer: Layer | None = None
    dug_to: float | None = None
    """Depth to which the layer is dug in the same day; None where it stays on top. [m]"""
    compost: Compost | None = None
    litres: float = 0.0
    """Water for the whole bed. [L]"""
    bought: float = 0.0
    """Containers bought in."""
    taken: tuple[tuple[int, float], ...] = ()
    """Stocks of the garden, and containers taken from each."""

    def events(self, first_day: date, residues: Mapping[str, Residue]) -> tuple[Event, ...]:
        """Return the act as the engine takes it."""
        day = (self.day - first_day).days
        found: list[Event] = []
        if self.layer is not None:
            found.append(lay_event(self.layer, day, residues))
        if self.dug_to is not None:
            found.append(DigIn(day, self.dug_to))
        if self.compost is not None:
            half = 0.5 * self.compost.mineral_nitrogen
            found.append(Feed(day, half, half, self.compost.organic_carbon, self.compost.organic_nitrogen))
        return tuple(found)


def lessened(acts: Sequence[Act], share: float) -> tuple[Act, ...]:
    """Return visits with only a share of their compost, and of the work of bringing it."""
    return tuple(
        act
        if act.compost is None
        else replace(
            act,
            minutes=act.minutes * share,
            compost=Compost(*(share * getattr(act.compost, one.name) for one in fields(Compost))),
        )
        for act in acts
    )


def as_planned(planned: PlannedLayer, taken: Mapping[int, float], bought: float) -> Act:
    """Return a planned layer as an act."""
    return Act(
        planned.layer.day,
        planned.minutes,
        planned.layer,
        litres=planned.litres,
        bought=bought,
        taken=tuple(taken.items()),
    )


def with_acts(case: BedCase, acts: Sequence[Act], residues: Mapping[str, Residue]) -> BedCase:
    """Return a bed's case with what is done on it added."""
    first = case.weather.first_day
    added = [event for act in acts for event in act.events(first, residues)]
    return replace(case, events=(*case.events, *added))
