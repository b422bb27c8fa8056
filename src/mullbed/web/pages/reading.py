"""How do you read? Language, units and decimal sign of this browser; the foot of every page leads here."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.language import say
from mullbed.web.errors import back_from
from mullbed.web.forms import Sent
from mullbed.web.reading import COOKIE, LANGUAGES, kept_choice, reading
from mullbed.web.rendering import page
from mullbed.web.sessions import session_token
from mullbed.web.visitor import settings_of

router = APIRouter()
KEPT = 400 * 24 * 3600
"""So long a choice is kept. [s]"""


@dataclass(frozen=True, slots=True)
class ReadingContext:
    """What can be chosen."""

    title: str
    here: str
    languages: tuple[tuple[str, str, bool], ...]
    units: tuple[tuple[str, str, bool], ...]
    decimals: tuple[tuple[str, str, bool], ...]
    back: str
    signs_in: bool
    """Whether people sign in here, so that a phrase can be changed."""


@router.get("/reading", response_class=HTMLResponse)
def reading_page(request: Request) -> Response:
    """Show what can be chosen."""
    language, units, decimal = reading().chosen
    context = ReadingContext(
        title=say("Language and units"),
        here="",
        languages=(
            ("", say("As the browser says"), not language),
            *((code, name, code == language) for code, name in LANGUAGES.items()),
        ),
        units=(
            ("", say("As the garden says"), not units),
            ("metric", say("Metres, litres, kilograms, °C"), units == "metric"),
            ("us", say("Feet and inches, gallons, pounds, °F"), units == "us"),
        ),
        decimals=(
            ("", say("As the language says"), not decimal),
            ("point", "2.5", decimal == "point"),
            ("comma", "2,5", decimal == "comma"),
        ),
        back=back_from(request),
        signs_in=bool(settings_of(request).sign_in and session_token(request)),
    )
    return page(request, "reading.html", context)


@router.post("/reading")
def keep_reading(request: Request, sent: Sent) -> Response:
    """Keep a choice in the browser; what is not sent stays as it was."""
    before = dict(zip(("language", "units", "decimal"), reading().chosen, strict=True))
    language, units, decimal = (sent.one(name, before[name]) for name in ("language", "units", "decimal"))
    back = sent.one("back")
    ours = back.startswith("/") and not back.startswith(("//", "/\\", "/reading")) and back.isprintable()
    answer = RedirectResponse(back if ours else back_from(request), 303)
    answer.set_cookie(
        COOKIE,
        kept_choice(language, units, decimal),
        max_age=KEPT,
        path="/",
        httponly=True,
        samesite="lax",
        secure=settings_of(request).secure,
    )
    return answer
