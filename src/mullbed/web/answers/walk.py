"""What needs me today, bed by bed."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, replace

from fastapi import APIRouter, Request

from mullbed.reports.round_list import round_document
from mullbed.web.problems import problems
from mullbed.web.visitor import Asking, today

router = APIRouter(prefix="/api", tags=["walk"])


@dataclass(frozen=True, slots=True)
class AnsweredStop:
    """One thing to do."""

    job: str
    do: str
    amount: float
    unit: str
    thing: str | None
    why: str
    because: str
    dont: str
    due: datetime.date
    minutes: float
    """[min]"""


@dataclass(frozen=True, slots=True)
class AnsweredCover:
    """Cover on a bed today by the forecast kept. [mm]"""

    low: int
    mid: int
    high: int


@dataclass(frozen=True, slots=True)
class AnsweredVisit:
    """One bed on the walk."""

    bed: str
    stops: list[AnsweredStop]
    look: list[str]
    beware: list[str]
    next_day: datetime.date | None
    thickness_mm: AnsweredCover | None
    laid_last: datetime.date | None
    looked_last: datetime.date | None


@dataclass(frozen=True, slots=True)
class AnsweredWalk:
    """The walk of today, the most urgent bed first; for a helper, of their beds."""

    garden: str
    date: datetime.date
    answer: str
    minutes: int
    heap: list[AnsweredStop]
    beds: list[AnsweredVisit]
    forecast_made: datetime.date | None
    plan_made: datetime.date | None
    fresh: bool
    written_since: int
    rain_expected: str | None
    away_from: datetime.date | None


@router.get("/round", response_model=AnsweredWalk, responses=problems())
def round_answer(request: Request, asking: Asking) -> Mapping[str, object]:
    """Tell what needs me today."""
    from mullbed.usecases.walk_round import walk_round

    found = walk_round(asking.where, today(request))
    visits = tuple(one for one in found.walk.visits if asking.sees(one.bed))
    due = [stop.minutes for one in (*visits,) for stop in one.stops] + [stop.minutes for stop in found.walk.heap]
    return round_document(replace(found.walk, visits=visits, minutes=sum(due)), found.units)
