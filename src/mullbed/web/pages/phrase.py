"""A new pass phrase: the old one is asked for, every other session ends."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mullbed.errors import Fault, InputFault
from mullbed.language import say
from mullbed.usecases import invite_person as admit_people
from mullbed.usecases.invite_person import Attempt
from mullbed.web.forms import Sent
from mullbed.web.rendering import page
from mullbed.web.sessions import fresh_token, give_session
from mullbed.web.visitor import Asking, now, settings_of

router = APIRouter()


@dataclass(frozen=True, slots=True)
class PhraseContext:
    """The page that asks for it."""

    title: str
    here: str
    name: str
    wrong: str
    faults: tuple[Fault, ...]
    changed: bool


@router.get("/phrase", response_class=HTMLResponse)
def phrase_page(request: Request, asking: Asking) -> Response:
    """Ask for the old phrase and the new one."""
    if not settings_of(request).sign_in:
        return RedirectResponse("/people", 303)
    return _page(request, asking.name, changed="changed" in request.query_params)


@router.post("/phrase", response_class=HTMLResponse)
def change_phrase(request: Request, asking: Asking, sent: Sent) -> Response:
    """Change it where the old one is right."""
    settings = settings_of(request)
    if not settings.sign_in:
        raise HTTPException(403)
    place = request.client.host if request.client else "unknown"
    token = fresh_token()
    try:
        attempt = Attempt(asking.name, sent.one("phrase"), place)
        right = admit_people.change_phrase(settings.where, attempt, sent.one("fresh"), token, now())
    except admit_people.TooOften:
        raise HTTPException(429, headers={"retry-after": "900"}) from None
    except InputFault as error:
        return _page(request, asking.name, faults=tuple(error.faults), status=422)
    if not right:
        return _page(request, asking.name, wrong=say("That is not your phrase as it is now."), status=403)
    answer = RedirectResponse("/phrase?changed=yes", 303)
    give_session(request, answer, token)
    return answer


def _page(
    request: Request,
    name: str,
    *,
    wrong: str = "",
    faults: tuple[Fault, ...] = (),
    changed: bool = False,
    status: int = 200,
) -> Response:
    context = PhraseContext(say("Pass phrase"), "", name, wrong, faults, changed)
    return page(request, "phrase.html", context, status)
