"""From an error to a kind page: what, where, how to mend it, and that nothing is lost."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlsplit

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.exceptions import HTTPException

from mullbed.errors import (
    BalanceError,
    DirectionError,
    EntryConflict,
    Fault,
    InputFault,
    MullbedError,
    NotFound,
    RecordBusy,
    RecordUnreachable,
)
from mullbed.language import say
from mullbed.web.guards import BodyTooLarge
from mullbed.web.problems import problem
from mullbed.web.rendering import page

MOST_FAULTS = 20
"""So many faults of one request are told."""


@dataclass(frozen=True, slots=True)
class ErrorContext:
    """What an error page tells."""

    title: str
    here: str
    heading: str
    faults: tuple[Fault, ...]
    after: str
    back: str = "/"


def status_of(error: Exception) -> int:
    """Return the status of an error of ours."""
    if isinstance(error, NotFound):
        return 404
    if isinstance(error, EntryConflict):
        return 409
    if isinstance(error, InputFault):
        return 422
    return 503 if isinstance(error, RecordBusy | RecordUnreachable) else 500


BEGIN = "mullbed garden new"
"""What a remedy names where no garden is kept; the page begins one itself."""


def told(request: Request, error: Exception) -> Response:
    """Return an error as a page, or as JSON where JSON was asked for."""
    status = status_of(error)
    if isinstance(error, BalanceError | DirectionError) or not isinstance(error, MullbedError):
        heading = say("This is a defect of ours, not of your garden.")
        faults: tuple[Fault, ...] = ()
        after = say("Nothing of yours was changed. Go back and try it another way; your notes are safe.")
    else:
        heading = say("That was not found.") if status == 404 else say("Something needs another look.")
        faults = (
            error.faults
            if isinstance(error, InputFault)
            else (Fault(say("Here"), str(error), say("what is kept"), ""),)
        )
        after = say("What you wrote before is safe.")
    if wants_json(request):
        return problem(status, heading, faults)
    if request.method == "GET" and any(BEGIN in one.remedy for one in faults):
        return RedirectResponse("/begin", 303)
    context = ErrorContext(say("Another look"), "", heading, faults, after, back_from(request))
    return page(request, "error.html", context, status)


def back_from(request: Request) -> str:
    """Return the page of this server that the request came from; the round where it tells none."""
    parts = urlsplit(request.headers.get("referer", ""))
    ours = parts.netloc.casefold() == request.headers.get("host", "").casefold()
    if not ours or not parts.path.startswith("/") or parts.path.startswith(("//", "/\\")):
        return "/"
    back = parts.path + (f"?{parts.query}" if parts.query else "")
    here = request.url.path + (f"?{request.url.query}" if request.url.query else "")
    return back if back != here and back.isprintable() else "/"


def misread_faults(error: RequestValidationError) -> list[Fault]:
    """Return what does not fit of a request, place by place; what was sent is not sent back."""
    faults = []
    for one in error.errors()[:MOST_FAULTS]:
        place = ".".join(str(part) for part in one["loc"][1:]) or str(one["loc"][0])
        faults.append(Fault(_sound(place)[:120], "does not fit", _sound(str(one["msg"]))[:200], "Put it right."))
    return faults


def _sound(words: str) -> str:
    """Return words without halves of signs that no answer can carry."""
    return words.encode("utf-8", "replace").decode()


def wants_json(request: Request) -> bool:
    """Tell whether the one who asks is a program."""
    return request.url.path.startswith("/api/")


def add_handlers(app: FastAPI) -> None:
    """Let every error end as a page with a status, never as a traceback."""

    @app.exception_handler(MullbedError)
    def _ours(request: Request, error: MullbedError) -> Response:
        return told(request, error)

    @app.exception_handler(BodyTooLarge)
    def _too_large(request: Request, __: BodyTooLarge) -> Response:
        words = say("That is more than fits; nothing was kept.")
        return problem(413, words) if wants_json(request) else HTMLResponse(words, 413)

    @app.exception_handler(RequestValidationError)
    def _misread(request: Request, error: RequestValidationError) -> Response:
        return told(request, InputFault(misread_faults(error)))

    @app.exception_handler(HTTPException)
    def _http(request: Request, error: HTTPException) -> Response:
        if error.status_code in (302, 303, 307) and error.headers:
            return Response(status_code=error.status_code, headers=error.headers)
        heading = {
            401: say("Sign in first."),
            403: say("This is not yours to change."),
            404: say("There is nothing at this address."),
            405: say("That can't be done at this address."),
            429: say("That was very often. Wait a minute, then try again."),
        }.get(error.status_code, say("That did not work."))
        if wants_json(request):
            return problem(error.status_code, heading, headers=error.headers)
        context = ErrorContext(say("Another look"), "", heading, (), say("What you wrote before is safe."))
        answer = page(request, "error.html", context, error.status_code)
        answer.headers.update(error.headers or {})
        return answer

    @app.exception_handler(Exception)
    def _defect(request: Request, error: Exception) -> Response:
        return told(request, error)
