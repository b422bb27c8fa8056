"""Show: a sheet to print and a link by which anybody can look for a while; nobody's name is on it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from urllib.parse import quote

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.domain.showing import LookLink
from mullbed.errors import Fault, InputFault, NotFound
from mullbed.language import marked, say
from mullbed.reports.names import bed_title
from mullbed.reports.pdf import square_code
from mullbed.reports.words import weekday_words
from mullbed.usecases import share_look as looks
from mullbed.web.forms import Sent
from mullbed.web.rendering import page
from mullbed.web.sessions import fresh_token
from mullbed.web.visitor import Asking, Visitor, now, today

router = APIRouter()
LASTS = (("14", marked("Two weeks")), ("61", marked("Two months")), ("366", marked("A year")))


@dataclass(frozen=True, slots=True)
class OpenLink:
    """A link that still opens."""

    digest: str
    what: str
    told: str


@dataclass(frozen=True, slots=True)
class ShowContext:
    """What can be shown to others."""

    title: str
    here: str
    beds: tuple[tuple[str, str], ...]
    lasts: tuple[tuple[str, str], ...]
    link: str
    code: str
    ends: str
    open: tuple[OpenLink, ...]
    leads: bool
    taken_back: bool


@router.get("/show", response_class=HTMLResponse)
def show_page(request: Request, asking: Asking) -> Response:
    """Show what can be shown, and which links are open."""
    return page(request, "show.html", _context(request, asking, taken_back="ended" in request.query_params))


@router.post("/show/link", response_class=HTMLResponse)
def make_link(request: Request, asking: Asking, sent: Sent) -> Response:
    """Make a link; it is shown once and kept nowhere."""
    _lead(asking)
    if sent.one("lasts") not in dict(LASTS):
        fault = Fault(
            "How long", sent.one("lasts")[:20], ", ".join(words for _, words in LASTS), "Choose one of these."
        )
        raise InputFault([fault])
    token = fresh_token()
    bed = sent.one("bed") or None
    made = looks.share_look(asking.where, token, bed, timedelta(days=int(sent.one("lasts"))), (asking.name, now()))
    return page(request, "show.html", _context(request, asking, (token, made)))


@router.post("/show/end")
def end_link(request: Request, asking: Asking, sent: Sent) -> Response:
    """Take a link back."""
    _lead(asking)
    if not looks.end_look(asking.where, sent.one("digest")[:64], now()):
        raise NotFound("link", "that one", ())
    return RedirectResponse("/show?ended=yes", 303)


def _lead(asking: Visitor) -> None:
    if not asking.leads:
        raise HTTPException(403)


def _context(
    request: Request, asking: Visitor, made: tuple[str, LookLink] | None = None, *, taken_back: bool = False
) -> ShowContext:
    from mullbed.usecases.list_in_hand import list_in_hand

    beds = [one.name for one in list_in_hand(asking.where, today(request)).garden.beds if asking.sees(one.name)]
    link = str(request.url.replace(path=f"/look/{quote(made[0], safe='')}", query="")) if made is not None else ""
    lines = tuple(
        OpenLink(
            one.digest,
            bed_title(one.bed) if one.bed else say("The whole garden"),
            say("made by {name}, ends {day}", name=one.made_by, day=weekday_words(one.expires.date())),
        )
        for one in (looks.open_looks(asking.where, now()) if asking.leads else ())
    )
    return ShowContext(
        say("Show and teach"),
        "show",
        tuple((name, bed_title(name)) for name in beds),
        LASTS,
        link,
        square_code(link) if link else "",
        weekday_words(made[1].expires.date()) if made is not None else "",
        lines,
        asking.leads,
        taken_back,
    )
