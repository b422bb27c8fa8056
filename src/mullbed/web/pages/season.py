"""The season: what was planned, what comes, what is short."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from mullbed.domain.forecast import BedForecast
from mullbed.domain.garden import UnitSystem
from mullbed.domain.season_plan import PlannedLayer
from mullbed.language import say
from mullbed.reports.garden_map_patterns import ribbon_patterns
from mullbed.reports.names import bed_title
from mullbed.reports.reasons import answer_words, lay_words
from mullbed.reports.season_axis import Axis, months_axis
from mullbed.reports.season_ribbons import Ribbon, ribbon_svg, scale_bar
from mullbed.reports.season_words import NO_PLAN, gathering_words, made_words, short_sentences
from mullbed.reports.words import capital, counted, short_day
from mullbed.web.making import Stage, making_of
from mullbed.web.reading import units_read
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, today

router = APIRouter()
SHOWN = 24
RIBBON_WIDTH = 350.0
RIBBON_SCALE = 4.0
"""[px per cm]"""


@dataclass(frozen=True, slots=True)
class Coming:
    """One layer to come."""

    day: str
    bed: str
    address: str
    words: str


@dataclass(frozen=True, slots=True)
class RibbonLine:
    """One bed through the season."""

    bed: str
    address: str
    next: str
    picture: str


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
    ribbons: tuple[RibbonLine, ...]
    defs: str
    """Patterns the ribbons fill with."""
    months: str
    bar: str
    laid: str
    """How much of the plan is done."""
    id: str
    """Of the plan, to take it back; empty where the visitor may not."""
    came: tuple[str, ...]
    """What was planned and laid, newest first."""
    begun: bool
    """Whether the garden can be begun anew."""
    leads: bool
    at_work: bool
    """Whether a plan is being made now."""


@router.get("/season", response_class=HTMLResponse)
def season_page(request: Request, asking: Asking) -> Response:
    """Show the kept plan."""
    from mullbed.usecases.show_plan import season_ahead, show_plan

    shown, now = show_plan(asking.where), today(request)
    units = units_read(shown.units)
    at_work = making_of(request, asking.where)
    coming = [one for one in shown.coming(now) if asking.sees(one.layer.bed)]
    seen = [name for name in shown.beds if asking.sees(name)]
    ahead = season_ahead(asking.where, now, seen) if shown.plan is not None else {}
    laid = len(shown.laid)
    context = SeasonContext(
        title=say("Season"),
        here="season",
        garden=shown.garden,
        heading=answer_words(shown.plan) if shown.plan is not None else say(NO_PLAN),
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
        gather=tuple(
            (say("Week of {day}", day=short_day(one.week)), gathering_words(one)) for one in shown.gather(now)[:12]
        ),
        short=tuple(short_sentences(shown.plan, units)) if shown.plan is not None else (),
        ribbons=tuple(_ribbon(name, ahead[name], coming, now, units) for name in seen if name in ahead),
        defs=ribbon_patterns(ahead.values()),
        months=_months(next(iter(ahead.values()))) if ahead else "",
        bar=scale_bar(RIBBON_SCALE, units) if ahead else "",
        laid=say("{layers} laid so far.", layers=capital(counted(laid, "planned layer"))) if laid else "",
        id=shown.id if asking.leads else "",
        came=_came(shown.laid, seen),
        begun=asking.leads and shown.only_begun,
        leads=asking.leads,
        at_work=at_work is not None and at_work.stage is Stage.WORKING,
    )
    return page(request, "season.html", context)


def _ribbon(name: str, forecast: BedForecast, coming: list[PlannedLayer], now: date, units: UnitSystem) -> RibbonLine:
    """Return one bed through the season, with its next date."""
    mine = [one for one in coming if one.layer.bed == name]
    told = f"{short_day(mine[0].layer.day)}: {lay_words(mine[0])}" if mine else say("nothing planned")
    ribbon = Ribbon(RIBBON_WIDTH, scale=RIBBON_SCALE)
    picture = ribbon_svg(
        forecast, now, say("{bed} through the season", bed=bed_title(name)), ribbon, units=units, today=now
    )
    return RibbonLine(bed_title(name), f"/bed/{quote(name, safe='')}", told, picture)


def _came(laid: dict[tuple[str, date], date], seen: list[str]) -> tuple[str, ...]:
    """Return planned layers beside the day they were laid, newest first."""
    mine = sorted(((day, bed, planned) for (bed, planned), day in laid.items() if bed in seen), reverse=True)
    return tuple(
        say(
            "{bed}: planned for {planned}, laid on {day}.",
            bed=bed_title(bed),
            planned=short_day(planned),
            day=short_day(day),
        )
        if day != planned
        else say("{bed}: laid on {day}, as planned.", bed=bed_title(bed), day=short_day(day))
        for day, bed, planned in mine[:SHOWN]
    )


def _months(forecast: BedForecast) -> str:
    """Return the names of the months over the ribbons."""
    axis = Axis(forecast.first_day, forecast.series["thickness"].p50.size, RIBBON_WIDTH)
    names = months_axis(axis, 19, narrow=True)
    return f'<svg class="ribbon" viewBox="0 0 {RIBBON_WIDTH:.0f} 26" aria-hidden="true">{names}</svg>'
