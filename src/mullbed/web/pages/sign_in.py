"""Who is gardening? Sign in, sign out, accept an invitation."""

from __future__ import annotations

from dataclasses import dataclass
from secrets import token_hex

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.language import say
from mullbed.usecases import invite_person as admit_people
from mullbed.usecases.invite_person import Attempt
from mullbed.web.forms import Asked, Sent
from mullbed.web.rendering import page
from mullbed.web.sessions import fresh_token, give_session, session_token, take_session
from mullbed.web.visitor import now, settings_of

router = APIRouter()


@dataclass(frozen=True, slots=True)
class SignInContext:
    """The page that asks who is there."""

    title: str
    here: str
    wrong: str
    invitation: str
    """Token of an invitation; empty on the plain page."""
    asks_code: bool
    """Whether an invitation is asked for."""


@router.get("/sign-in", response_class=HTMLResponse)
def sign_in_page(request: Request, asked: Asked) -> Response:
    """Ask who is gardening."""
    return page(request, "sign_in.html", SignInContext(say("Sign in"), "", "", "", asked.one("invited") == "yes"))


@router.post("/sign-in")
def sign_in(request: Request, sent: Sent) -> Response:
    """Let somebody in, under a new session; whatever session the browser had before is ended."""
    return _enter(request, sent.one("name"), sent.one("phrase"))


@router.post("/sign-out")
def sign_out(request: Request) -> Response:
    """End the session."""
    admit_people.sign_out(settings_of(request).where, session_token(request))
    answer = RedirectResponse("/sign-in", 303)
    take_session(request, answer)
    return answer


@router.get("/accept", response_class=HTMLResponse)
def accept_page(request: Request, asked: Asked) -> Response:
    """Ask for a name and a phrase to set."""
    token = asked.one("code")[:200].rpartition("code=")[2]
    if not admit_people.is_open(settings_of(request).where, token, now()):
        context = SignInContext(say("Invitation"), "", say(admit_people.NO_INVITATION), "", True)
        return page(request, "sign_in.html", context, 404)
    return page(request, "sign_in.html", SignInContext(say("Invitation"), "", "", token, False))


@router.post("/accept")
def accept(request: Request, sent: Sent) -> Response:
    """Make an account and let its owner in."""
    attempt = Attempt(sent.one("name"), sent.one("phrase"), _place(request))
    where = settings_of(request).where
    admit_people.accept_invitation(where, sent.one("code")[:200], attempt, token_hex(16), now())
    return _enter(request, attempt.name, attempt.phrase)


def _enter(request: Request, name: str, phrase: str) -> Response:
    where, token = settings_of(request).where, fresh_token()
    before = session_token(request)
    try:
        right = admit_people.sign_in(where, Attempt(name, phrase, _place(request)), token, now())
    except admit_people.TooOften:
        raise HTTPException(429, headers={"retry-after": "900"}) from None
    if not right:
        return page(
            request, "sign_in.html", SignInContext(say("Sign in"), "", say(admit_people.NO_MATCH), "", False), 403
        )
    if before:
        admit_people.sign_out(where, before)
    answer = RedirectResponse("/", 303)
    give_session(request, answer, token)
    return answer


def _place(request: Request) -> str:
    return request.client.host if request.client else "unknown"
