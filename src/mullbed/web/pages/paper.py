"""Paper for the shed: cards and labels with codes, a sheet for weeks away, task cards for a day with many hands."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from mullbed.domain.garden import Garden
from mullbed.domain.season_plan import PlannedLayer, SeasonPlan
from mullbed.errors import Fault, InputFault
from mullbed.language import say
from mullbed.reports.names import bed_title
from mullbed.reports.paper_sheets import away_sheet, task_sheets
from mullbed.reports.sheet import Sheet, sheets_pdf
from mullbed.reports.words import day_words, weekday_words
from mullbed.web.forms import Answers, Asked
from mullbed.web.reading import units_read
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, Visitor, today

router = APIRouter()
LONGEST_AWAY = 120
"""[d]"""
DAYS_OFFERED = 6


@dataclass(frozen=True, slots=True)
class PaperContext:
    """What can be printed."""

    title: str
    here: str
    planned: bool
    beds: tuple[tuple[str, str], ...]
    only_here: bool
    """Whether the address in the codes works on this machine alone."""
    host: str
    away_from: str
    away_to: str
    days: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class SheetContext:
    """Sheets as a page, to be printed from the browser or fetched as PDF."""

    title: str
    here: str
    sheets: tuple[Sheet, ...]
    pdf: str
    empty: str


@router.get("/print", response_class=HTMLResponse)
def paper_page(request: Request, asking: Asking) -> Response:
    """Show what can be printed."""
    garden, plan = _told(request, asking)
    day = today(request)
    first, last = _usual_away(garden, day)
    coming = plan.layers if plan is not None else ()
    days = sorted({day, *(one.layer.day for one in coming if one.layer.day >= day)})[:DAYS_OFFERED]
    host = request.url.hostname or ""
    context = PaperContext(
        title=say("Print"),
        here="",
        planned=plan is not None,
        beds=tuple((bed.name, bed_title(bed.name)) for bed in garden.beds),
        only_here=host in ("127.0.0.1", "localhost", "::1"),
        host=host,
        away_from=first.isoformat(),
        away_to=last.isoformat(),
        days=tuple((one.isoformat(), weekday_words(one)) for one in days),
    )
    return page(request, "paper.html", context)


@router.get("/print/cards.pdf")
def cards(request: Request, asking: Asking, asked: Asked) -> Response:
    """Return a card for every bed, or for one."""
    from mullbed.reports.pdf import cards_pdf
    from mullbed.usecases.show_bed import show_bed

    garden, plan = _told(request, asking, asked.one("bed"))
    if plan is None:
        remedy = "Make a plan on the page of the season, then print."
        raise InputFault([Fault("Cards", "no plan yet", "a plan", remedy)])
    day = today(request)
    forecasts = {bed.name: show_bed(asking.where, bed.name, day).forecast for bed in garden.beds}
    plan = replace(plan, forecasts=forecasts)
    content = cards_pdf(plan, garden, units=garden.site.units, made_on=day, address=_address(request))
    return _pdf(content, "bed-cards")


@router.get("/print/labels.pdf")
def labels(request: Request, asking: Asking, asked: Asked) -> Response:
    """Return a label for every bed, or for one."""
    from mullbed.reports.bed_labels import labels_pdf

    garden, _ = _told(request, asking, asked.one("bed"))
    content = labels_pdf(
        garden.beds, garden.site.name, garden.site.units, address=_address(request), made_on=today(request)
    )
    return _pdf(content, "bed-labels")


@router.get("/print/away", response_class=HTMLResponse)
def away(request: Request, asking: Asking, asked: Asked) -> Response:
    """Show the sheet for weeks away."""
    sheet, query = _away(request, asking, asked)
    return page(request, "sheet.html", SheetContext(sheet.title, "", (sheet,), f"/print/away.pdf?{query}", ""))


@router.get("/print/away.pdf")
def away_pdf(request: Request, asking: Asking, asked: Asked) -> Response:
    """Return the sheet for weeks away as PDF."""
    sheet, _ = _away(request, asking, asked)
    return _pdf(sheets_pdf((sheet,), today(request)), "while-away")


def _away(request: Request, asking: Visitor, asked: Answers) -> tuple[Sheet, str]:
    garden, plan = _told(request, asking)
    usual = _usual_away(garden, today(request))
    first, last = _day(asked, "from", usual[0]), _day(asked, "to", usual[1])
    if not 0 <= (last - first).days <= LONGEST_AWAY:
        found = f"{first.isoformat()} to {last.isoformat()}"
        raise InputFault([Fault("Days away", found, f"up to {LONGEST_AWAY} days", "Put the last day after the first.")])
    coming: tuple[PlannedLayer, ...] = tuple(plan.layers) if plan is not None else ()
    return away_sheet(garden, coming, first, last), f"from={first.isoformat()}&to={last.isoformat()}"


@router.get("/print/day", response_class=HTMLResponse)
def day_page(request: Request, asking: Asking, asked: Asked) -> Response:
    """Show the task cards of a day."""
    sheets, day = _tasks(request, asking, asked)
    empty = "" if sheets else say("Nothing to do on {day}.", day=day_words(day))
    title = say("Task cards, {day}", day=weekday_words(day))
    return page(request, "sheet.html", SheetContext(title, "", sheets, f"/print/day.pdf?day={day.isoformat()}", empty))


@router.get("/print/day.pdf")
def day_pdf(request: Request, asking: Asking, asked: Asked) -> Response:
    """Return the task cards of a day as PDF."""
    sheets, day = _tasks(request, asking, asked)
    if not sheets:
        raise InputFault(
            [Fault("Task cards", f"nothing to do on {day_words(day)}", "a day with work", "Choose another.")]
        )
    return _pdf(
        sheets_pdf(sheets, today(request), title=say("Task cards, {day}", day=weekday_words(day))), "task-cards"
    )


def _tasks(request: Request, asking: Visitor, asked: Answers) -> tuple[tuple[Sheet, ...], date]:
    from mullbed.usecases.walk_round import walk_round

    garden, plan = _told(request, asking)
    now = today(request)
    day = _day(asked, "day", now)
    coming = tuple(plan.layers) if plan is not None else ()
    if day == now:
        visits = tuple(one for one in walk_round(asking.where, now).walk.visits if asking.sees(one.bed))
    else:
        visits, coming = (), tuple(one for one in coming if one.layer.day == day)
    return task_sheets(garden, day, coming, visits, ""), day


def _told(request: Request, asking: Visitor, only: str = "") -> tuple[Garden, SeasonPlan | None]:
    """Return garden and plan with the beds the visitor sees, or one of them."""
    from mullbed.errors import NotFound
    from mullbed.usecases.show_plan import plan_on_paper

    told = plan_on_paper(asking.where, today(request))
    beds = tuple(bed for bed in told.garden.beds if asking.sees(bed.name) and (not only or bed.name == only))
    if only and not beds:
        raise NotFound("bed", only, ())
    names = {bed.name for bed in beds}
    plan = told.plan
    if plan is not None:
        plan = replace(plan, layers=tuple(one for one in plan.layers if one.layer.bed in names))
    site = replace(told.garden.site, units=units_read(told.garden.site.units))
    return replace(told.garden, beds=beds, site=site), plan


def _usual_away(garden: Garden, day: date) -> tuple[date, date]:
    """Return the next absence the garden tells, or the fortnight from today."""
    told = [one for one in garden.site.weeks_away if one[1] >= day]
    return told[0] if told else (day, day + timedelta(days=13))


def _day(asked: Answers, name: str, usual: date) -> date:
    text = asked.one(name)
    if not text:
        return usual
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise InputFault([Fault(name, text[:20], "a day such as 2027-08-09", "Choose a day.")]) from error


def _address(request: Request) -> str:
    """Return what a square code holds: the bed's page on this server."""
    return f"{request.url.scheme}://{request.url.netloc}/bed/{{bed}}"


def _pdf(content: bytes, name: str) -> Response:
    return Response(
        content, media_type="application/pdf", headers={"content-disposition": f'inline; filename="{name}.pdf"'}
    )
