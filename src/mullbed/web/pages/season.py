"""The season: what was planned, what comes, what is short."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from mullbed.reports.names import bed_title
from mullbed.reports.reasons import answer_words, lay_words
from mullbed.reports.season_words import NO_PLAN, gathering_words, made_words, short_sentences
from mullbed.reports.words import short_day
from mullbed.web.making import Stage, making_of
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, today

router = APIRouter()
SHOWN = 24


@dataclass(frozen=True, slots=True)
class Coming:
    """One layer to come."""

    day: str
    bed: str
    address: str
    words: str


@dataclass(frozen=True, slots=True)
class SeasonContext:
    """What the season shows."""

    title: str
    here: str
    garden: str
    heading: str
    planned: bool
    made: str
    coming: tuple[Coming, ...]
    more: int
    gather: tuple[tuple[str, str], ...]
    short: tuple[str, ...]
    id: str
    """Of the plan, to take it back; empty where the visitor may not."""
    leads: bool
    at_work: bool
    """Whether a plan is being made now."""


@router.get("/season", response_class=HTMLResponse)
def season_page(request: Request, asking: Asking) -> Response:
    """Show the kept plan."""
    from mullbed.usecases.show_plan import show_plan

    shown, now = show_plan(asking.where), today(request)
    at_work = making_of(request, asking.where)
    coming = [one for one in shown.coming(now) if asking.sees(one.layer.bed)]
    context = SeasonContext(
        title="Season",
        here="season",
        garden=shown.garden,
        heading=answer_words(shown.plan) if shown.plan is not None else NO_PLAN,
        planned=shown.plan is not None,
        made=made_words(shown.made_on),
        coming=tuple(
            Coming(
                short_day(one.layer.day),
                bed_title(one.layer.bed),
                f"/bed/{quote(one.layer.bed, safe='')}",
                lay_words(one),
            )
            for one in coming[:SHOWN]
        ),
        more=max(0, len(coming) - SHOWN),
        gather=tuple((f"Week of {short_day(one.week)}", gathering_words(one)) for one in shown.gather(now)[:12]),
        short=tuple(short_sentences(shown.plan, shown.units)) if shown.plan is not None else (),
        id=shown.id if asking.leads else "",
        leads=asking.leads,
        at_work=at_work is not None and at_work.stage is Stage.WORKING,
    )
    return page(request, "season.html", context)
