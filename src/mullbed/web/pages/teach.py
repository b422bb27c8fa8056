"""Show and teach: claims with what would settle each, lessons of half an hour, before and after."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from mullbed.errors import NotFound
from mullbed.language import ENGLISH, language, say, spoken
from mullbed.reports.before_after import before_after_sheet
from mullbed.reports.names import bed_title
from mullbed.reports.sheet import Sheet, sheets_pdf
from mullbed.reports.teaching_sheets import claims_sheet, lesson_sheet
from mullbed.web.forms import Answers, Asked
from mullbed.web.rendering import page
from mullbed.web.visitor import Asking, Visitor, today

router = APIRouter()


@dataclass(frozen=True, slots=True)
class LessonLine:
    """One lesson in the list."""

    question: str
    address: str
    minutes: int


@dataclass(frozen=True, slots=True)
class TeachContext:
    """What can be taught."""

    title: str
    here: str
    lessons: tuple[LessonLine, ...]
    beds: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class TeachSheetContext:
    """One sheet."""

    title: str
    here: str
    sheet: Sheet
    pdf: str
    english: bool
    """Whether the sheet is in English, whatever the page is in."""


@router.get("/teach", response_class=HTMLResponse)
def teach_page(request: Request, asking: Asking) -> Response:
    """Show what can be taught."""
    from mullbed.usecases.list_in_hand import list_in_hand
    from mullbed.usecases.show_lesson import show_lesson

    garden = list_in_hand(asking.where, today(request)).garden
    context = TeachContext(
        say("Show and teach"),
        "show",
        tuple(LessonLine(one.question, f"/teach/lesson/{quote(one.key)}", one.minutes) for one in show_lesson()),
        tuple(
            (bed_title(one.name), "/teach/before-after?" + urlencode({"bed": one.name}))
            for one in garden.beds
            if asking.sees(one.name)
        ),
    )
    return page(request, "teach.html", context)


@router.get("/teach/claims", response_class=HTMLResponse)
def claims_page(request: Request, asking: Asking) -> Response:
    """Show what people say, and how it stands."""
    return _page(request, _claims(request), "/teach/claims.pdf")


@router.get("/teach/claims.pdf")
def claims_pdf(request: Request, asking: Asking) -> Response:
    """Return the claims as PDF."""
    return _pdf(request, _claims(request), "claims")


@router.get("/teach/lesson/{key}", response_class=HTMLResponse)
def lesson_page(request: Request, key: str, asking: Asking) -> Response:
    """Show one lesson."""
    return _page(request, _lesson(request, key), f"/teach/lesson/{quote(key, safe='')}/sheet.pdf")


@router.get("/teach/lesson/{key}/sheet.pdf")
def lesson_pdf(request: Request, key: str, asking: Asking) -> Response:
    """Return one lesson as PDF."""
    return _pdf(request, _lesson(request, key), "lesson")


@router.get("/teach/before-after", response_class=HTMLResponse)
def before_after_page(request: Request, asking: Asking, asked: Asked) -> Response:
    """Show what was at first and what is now."""
    bed = _bed(asking, asked)
    return _page(
        request,
        _before_after(request, asking, bed),
        "/teach/before-after.pdf?" + urlencode({"bed": bed}),
        english=False,
    )


@router.get("/teach/before-after.pdf")
def before_after_pdf(request: Request, asking: Asking, asked: Asked) -> Response:
    """Return before and after as PDF."""
    return _pdf(request, _before_after(request, asking, _bed(asking, asked)), "before-and-after", english=False)


@router.get("/teach/photo/{digest}")
def photo(request: Request, digest: str, asking: Asking) -> Response:
    """Return a photograph of a bed the visitor sees."""
    from mullbed.usecases.show_before_after import show_photo

    found = show_photo(asking.where, digest[:64])
    if found.bed is not None and not asking.sees(found.bed):
        raise NotFound("photo", digest[:64], ())
    return Response(found.content, media_type=found.media_type, headers={"cache-control": "private, max-age=86400"})


def _claims(request: Request) -> Sheet:
    from mullbed.usecases.list_claims import list_claims

    with spoken(ENGLISH):
        return claims_sheet(list_claims(), today(request))


def _lesson(request: Request, key: str) -> Sheet:
    from mullbed.usecases.show_lesson import show_lesson

    with spoken(ENGLISH):
        return lesson_sheet(show_lesson(key[:80])[0], today(request))


def _before_after(request: Request, asking: Visitor, bed: str) -> Sheet:
    from mullbed.usecases.show_before_after import show_before_after

    return before_after_sheet(show_before_after(asking.where, bed), today(request))


def _bed(asking: Visitor, asked: Answers) -> str:
    bed = asked.one("bed")
    if not bed or not asking.sees(bed):
        raise NotFound("bed", bed or "nothing", ())
    return bed


def _page(request: Request, sheet: Sheet, pdf: str, *, english: bool = True) -> Response:
    context = TeachSheetContext(say(sheet.title), "show", sheet, pdf, english and language().code != "en")
    return page(request, "teach_sheet.html", context)


def _pdf(request: Request, sheet: Sheet, name: str, *, english: bool = True) -> Response:
    headers = {"content-disposition": f'inline; filename="{name}.pdf"'}
    with spoken(ENGLISH if english else language()):
        content = sheets_pdf([sheet], today(request))
    return Response(content, media_type="application/pdf", headers=headers)
