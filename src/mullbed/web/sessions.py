"""Who stands at the door: every request of a shared garden passes here, before any page sees it."""

from __future__ import annotations

from secrets import token_urlsafe

from fastapi import HTTPException, Request
from fastapi.responses import Response

from mullbed.domain.people import Person, Role
from mullbed.usecases import invite_person as admit_people
from mullbed.web.guards import SAFE
from mullbed.web.settings import Settings
from mullbed.web.visitor import Visitor, in_garden, now, settings_of

COOKIE = "mullbed_session"
SECURE_COOKIE = "__Host-mullbed_session"
OPEN = frozenset({"/sign-in", "/accept", "/health", "/field-worker.js", "/reading"})
"""Addresses that need no session."""
OPEN_UNDER = ("/look/",)
"""Below these the address itself is the key."""
LEADS_ALONE = ("/people", "/show", "/begin", "/season/again", "/season/stop", "/ahead", "/trial")
"""Where only a lead may change something."""


def doorkeeper(request: Request) -> None:
    """Put the visitor where the pages find them; refuse whoever may not do this.

    Raises
    ------
    HTTPException
        303 to the sign-in where nobody is signed in; 403 where it is not theirs.
    """
    settings = settings_of(request)
    path = request.url.path
    if not settings.sign_in or path in OPEN or path.startswith(OPEN_UNDER):
        return
    token = session_token(request)
    person = admit_people.who_is(settings.where, token, now()) if token else None
    if person is None:
        if path.startswith("/api/") or path == "/field":
            raise HTTPException(401)
        raise HTTPException(303, headers={"location": "/sign-in"})
    request.state.visitor = visitor_from(settings, person)
    if request.method in SAFE or path in ("/sign-out", "/phrase"):
        return
    if person.role is Role.VIEWER or (person.role is not Role.LEAD and path.startswith(LEADS_ALONE)):
        raise HTTPException(403)


def visitor_from(settings: Settings, person: Person) -> Visitor:
    """Return a person as the pages know them."""
    visitor = Visitor(
        person.name,
        settings.where,
        may_write=person.role is not Role.VIEWER,
        leads=person.role is Role.LEAD,
        beds=None if person.role is Role.LEAD else person.beds,
    )
    return in_garden(visitor, person.garden) if person.garden else visitor


def session_token(request: Request) -> str:
    """Return the token a browser sent; empty where none."""
    secure = settings_of(request).secure
    return request.cookies.get(SECURE_COOKIE if secure else COOKIE, "")[:200]


def fresh_token() -> str:
    """Return a new secret, 256 bits."""
    return token_urlsafe(32)


def give_session(request: Request, answer: Response, token: str) -> None:
    """Hand a session to the browser."""
    secure = settings_of(request).secure
    answer.set_cookie(
        SECURE_COOKIE if secure else COOKIE,
        token,
        max_age=int(admit_people.SESSION.total_seconds()),
        path="/",
        httponly=True,
        samesite="lax",
        secure=secure,
    )


def take_session(request: Request, answer: Response) -> None:
    """Take the session from the browser."""
    secure = settings_of(request).secure
    answer.delete_cookie(SECURE_COOKIE if secure else COOKIE, path="/", secure=secure, httponly=True, samesite="lax")
