"""The soil over the years: where a bed goes if this year's layers are laid again, with ranges and soil tests."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from mullbed.errors import NotFound
from mullbed.language import ENGLISH, language, say, say_many, spoken
from mullbed.reports.names import bed_title
from mullbed.reports.outlook_sheet import outlook_csv, outlook_sheet
from mullbed.reports.sheet import Sheet, sheets_pdf
from mullbed.web.forms import Answers, Asked
from mullbed.web.reading import units_read
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, Visitor, today

router = APIRouter()
YEARS = ("1", "3", "5", "10", "20")
MEMBERS = 48
"""Possible courses run for a page; the command line runs more. Judgement."""
PHONE = 370.0
"""Width of a chart whose words can be read on a phone. [px]"""


@dataclass(frozen=True, slots=True)
class SoilContext:
    """The outlook of a bed, or the beds to choose from."""

    title: str
    here: str
    bed: str
    bed_title: str
    beds: tuple[tuple[str, str], ...]
    years: str
    spans: tuple[tuple[str, str], ...]
    sheet: Sheet | None
    query: str
    english: bool
    """Whether the sheet is in English, whatever the page is in."""


@router.get("/soil", response_class=HTMLResponse)
def soil_page(request: Request, asking: Asking, asked: Asked) -> Response:
    """Show the outlook of one bed; which one first, where none is named."""
    from mullbed.usecases.list_in_hand import list_in_hand

    garden = list_in_hand(asking.where, today(request)).garden
    bed, years = asked.one("bed"), _years(asked)
    if bed and (garden.bed(bed) is None or not asking.sees(bed)):
        raise NotFound("bed", bed, ())
    sheet = _sheet(request, asking, bed, years, PHONE)[0] if bed else None
    context = SoilContext(
        title=say("The soil over the years"),
        here="",
        bed=bed,
        bed_title=bed_title(bed) if bed else "",
        beds=tuple(
            (bed_title(one.name), "/soil?" + urlencode({"bed": one.name}))
            for one in garden.beds
            if asking.sees(one.name)
        ),
        years=years,
        spans=tuple(
            (say_many("{count} year", "{count} years", int(one)), "/soil?" + urlencode({"bed": bed, "years": one}))
            for one in YEARS
            if one != years
        ),
        sheet=sheet,
        query=urlencode({"bed": bed, "years": years}),
        english=language().code != "en",
    )
    return page(request, "soil.html", context)


@router.get("/soil/outlook.pdf")
def soil_pdf(request: Request, asking: Asking, asked: Asked) -> Response:
    """Return the outlook of one bed as PDF."""
    sheet, _ = _sheet(request, asking, _bed(asking, asked), _years(asked))
    headers = {"content-disposition": 'inline; filename="soil-outlook.pdf"'}
    with spoken(ENGLISH):
        content = sheets_pdf([sheet], today(request))
    return Response(content, media_type="application/pdf", headers=headers)


@router.get("/soil/outlook.csv")
def soil_csv(request: Request, asking: Asking, asked: Asked) -> Response:
    """Return the numbers behind the outlook of one bed."""
    _, table = _sheet(request, asking, _bed(asking, asked), _years(asked))
    headers = {"content-disposition": 'attachment; filename="soil-outlook.csv"'}
    return Response(table, media_type="text/csv; charset=utf-8", headers=headers)


def _years(asked: Answers) -> str:
    return asked.one("years") if asked.one("years") in YEARS else "5"


def _bed(asking: Visitor, asked: Answers) -> str:
    bed = asked.one("bed")
    if not bed or not asking.sees(bed):
        raise NotFound("bed", bed or "nothing", ())
    return bed


def _sheet(request: Request, asking: Visitor, bed: str, years: str, wide: float = 640.0) -> tuple[Sheet, str]:
    """Return the sheet of one bed, its charts so wide [px], and its numbers."""
    from mullbed.usecases.look_at_soil_ahead import look_at_soil_ahead

    seen = look_at_soil_ahead(None, where=asking.where, bed=bed, years=int(years), members=MEMBERS)
    units = units_read(seen.garden.site.units)
    place, day = seen.garden.site.name, today(request)
    with spoken(ENGLISH):
        sheet = outlook_sheet(seen.outlooks[0], units, garden=place, from_plan=seen.from_plan, made_on=day, wide=wide)
    return sheet, outlook_csv(seen.outlooks)
