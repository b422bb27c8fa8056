"""What comes this season by the kept plan."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import APIRouter, Request

from mullbed.reports.season_words import season_document
from mullbed.web.problems import problems
from mullbed.web.visitor import Asking, today

router = APIRouter(prefix="/api", tags=["season"])


@dataclass(frozen=True, slots=True)
class AnsweredComing:
    """A layer to come."""

    day: datetime.date
    bed: str
    lay: str


@dataclass(frozen=True, slots=True)
class AnsweredGathering:
    """What to gather in a week."""

    week: datetime.date
    what: str


@dataclass(frozen=True, slots=True)
class AnsweredSeason:
    """The kept plan and how far it went; for a helper, the layers of their beds."""

    planned_on: datetime.date | None
    version: int
    answer: str
    gap: float | None
    coming: list[AnsweredComing]
    gather: list[AnsweredGathering]
    short: list[str]


@router.get("/season", response_model=AnsweredSeason, responses=problems())
def season_answer(request: Request, asking: Asking) -> Mapping[str, object]:
    """Tell what is planned."""
    from mullbed.usecases.show_plan import show_plan

    shown, now = show_plan(asking.where), today(request)
    coming = tuple(one for one in shown.coming(now) if asking.sees(one.layer.bed))
    return season_document(shown.plan, coming, shown.gather(now), shown.made_on, shown.version)
