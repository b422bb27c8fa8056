"""People: who gardens here, what each may do, and a link for somebody new."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.domain.people import Role
from mullbed.errors import Fault, InputFault
from mullbed.language import marked, say
from mullbed.reports.names import bed_title
from mullbed.reports.words import weekday_words
from mullbed.usecases import invite_person as admit_people
from mullbed.usecases.list_in_hand import list_in_hand
from mullbed.web.forms import Answers, Sent
from mullbed.web.rendering import page
from mullbed.web.sessions import fresh_token
from mullbed.web.undo_mark import mark_of, person_of
from mullbed.web.visitor import Asking, Visitor, now, settings_of, today

router = APIRouter()
ROLE_WORDS = {Role.LEAD: marked("leads"), Role.HELPER: marked("helps"), Role.VIEWER: marked("looks on")}


@dataclass(frozen=True, slots=True)
class PersonLine:
    """Somebody of the garden."""

    account: str
    name: str
    may: str


@dataclass(frozen=True, slots=True)
class PeopleContext:
    """The page of the people."""

    title: str
    here: str
    people: tuple[PersonLine, ...]
    beds: tuple[tuple[str, str], ...]
    link: str
    ends: str
    changed: str
    """What was just changed, in words."""
    undo: str
    """Mark that puts it back; empty where nothing is to be undone."""


@router.get("/people", response_class=HTMLResponse)
def people_page(request: Request, asking: Asking) -> Response:
    """Show who gardens here, to leads."""
    changed, undo = _changed(request, asking)
    return page(request, "people.html", _context(request, asking, changed=changed, undo=undo))


@router.post("/people/invite", response_class=HTMLResponse)
def invite(request: Request, asking: Asking, sent: Sent) -> Response:
    """Make a link for one person; it is shown once and kept nowhere."""
    _lead(asking)
    token = fresh_token()
    made = admit_people.invite_person(
        asking.where, token, _role(sent), _beds(request, asking, sent), (asking.name, now())
    )
    link = str(request.url.replace(path="/accept", query=f"code={token}"))
    return page(request, "people.html", _context(request, asking, link, weekday_words(made.expires.date())))


@router.post("/people/change")
def change(request: Request, asking: Asking, sent: Sent) -> Response:
    """Change what somebody may do, or take them out."""
    _lead(asking)
    role = None if sent.one("role") == "out" else _role(sent)
    account = sent.one("account")[:32]
    before = next((one for one in admit_people.list_people(asking.where) if one.account == account), None)
    admit_people.change_role(asking.where, account, role, _beds(request, asking, sent))
    if before is None:
        return RedirectResponse("/people", 303)
    mark = mark_of(before, asking.name, now(), settings_of(request).secret)
    return RedirectResponse(f"/people?{urlencode({'undo': mark})}", 303)


@router.post("/people/undo")
def undo(request: Request, asking: Asking, sent: Sent) -> Response:
    """Put back what somebody might do before the last change."""
    _lead(asking)
    before = person_of(sent.one("mark"), asking.name, now(), settings_of(request).secret)
    if before is None:
        fault = Fault("Undo", "too late, or changed by somebody else", "within the hour", "Change it by hand.")
        raise InputFault([fault])
    if any(one.account == before.account for one in admit_people.list_people(asking.where)):
        admit_people.change_role(asking.where, before.account, before.role, before.beds)
    else:
        admit_people.take_in_again(asking.where, before)
    return RedirectResponse("/people", 303)


def _changed(request: Request, asking: Visitor) -> tuple[str, str]:
    """Return what was just changed in words, and the mark that undoes it."""
    mark = request.query_params.get("undo", "")[:2000]
    before = person_of(mark, asking.name, now(), settings_of(request).secret) if mark else None
    return (say("Changed: {name}.", name=before.name), mark) if before is not None else ("", "")


def _lead(asking: Visitor) -> None:
    if not asking.leads:
        raise HTTPException(403)


def _role(sent: Answers) -> Role:
    try:
        return Role(sent.one("role"))
    except ValueError:
        fault = Fault("Role", sent.one("role")[:40], "lead, helper or viewer", "Choose one of these.")
        raise InputFault([fault]) from None


def _beds(request: Request, asking: Visitor, sent: Answers) -> frozenset[str] | None:
    """Return the beds that were chosen; None, for all, where none was."""
    chosen = frozenset(sent.all("bed"))
    known = {one.name for one in list_in_hand(asking.where, today(request)).garden.beds} if chosen else set()
    if chosen - known:
        fault = Fault("Bed", sorted(chosen - known)[0][:60], "a bed of this garden", "Choose from the list.")
        raise InputFault([fault])
    return chosen or None


def _context(
    request: Request, asking: Visitor, link: str = "", ends: str = "", changed: str = "", undo: str = ""
) -> PeopleContext:
    _lead(asking)
    beds = list_in_hand(asking.where, today(request)).garden.beds
    lines = []
    for one in admit_people.list_people(asking.where):
        may = say(ROLE_WORDS[one.role])
        if one.beds is not None:
            own = ", ".join(bed_title(bed) for bed in sorted(one.beds))
            may = say("{helps} on {beds}", helps=may, beds=own)
        lines.append(PersonLine(one.account, one.name, may))
    titles = tuple((one.name, bed_title(one.name)) for one in beds)
    return PeopleContext(say("People"), "", tuple(lines), titles, link, ends, changed, undo)
