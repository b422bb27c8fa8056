"""From an error to a kind page: what, where, how to mend it, and that nothing is lost."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, JSONResponse, Response
from starlette.exceptions import HTTPException

from mullbed.errors import BalanceError, DirectionError, EntryConflict, Fault, InputFault, MullbedError, NotFound
from mullbed.web.guards import BodyTooLarge
from mullbed.web.rendering import page


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
    return 500


def told(request: Request, error: Exception) -> Response:
    """Return an error as a page, or as JSON where JSON was asked for."""
    status = status_of(error)
    if isinstance(error, BalanceError | DirectionError) or not isinstance(error, MullbedError):
        heading = "This is a defect of ours, not of your garden."
        faults: tuple[Fault, ...] = ()
        after = "Nothing of yours was changed. Go back and try it another way; your notes are safe."
    else:
        heading = "That was not found." if status == 404 else "Something needs another look."
        faults = error.faults if isinstance(error, InputFault) else (Fault("Here", str(error), "what is kept", ""),)
        after = "What you wrote before is safe."
    if wants_json(request):
        return JSONResponse(
            {
                "error": heading,
                "faults": [
                    {"place": one.place, "value": one.value, "allowed": one.allowed, "remedy": one.remedy}
                    for one in faults
                ],
            },
            status,
        )
    return page(request, "error.html", ErrorContext("Another look", "", heading, faults, after), status)


def wants_json(request: Request) -> bool:
    """Tell whether the one who asks is a program."""
    return request.url.path.startswith("/api/")


def add_handlers(app: FastAPI) -> None:
    """Let every error end as a page with a status, never as a traceback."""

    @app.exception_handler(MullbedError)
    def _ours(request: Request, error: MullbedError) -> Response:
        return told(request, error)

    @app.exception_handler(BodyTooLarge)
    def _too_large(_: Request, __: BodyTooLarge) -> Response:
        return HTMLResponse("That is more than fits; nothing was kept.", 413)

    @app.exception_handler(HTTPException)
    def _http(request: Request, error: HTTPException) -> Response:
        if error.status_code in (302, 303, 307) and error.headers:
            return Response(status_code=error.status_code, headers=error.headers)
        heading = {
            403: "This is not yours to change.",
            404: "There is nothing at this address.",
            405: "That can't be done at this address.",
            429: "That was very often. Wait a minute, then try again.",
        }.get(error.status_code, "That did not work.")
        if wants_json(request):
            return JSONResponse({"error": heading}, error.status_code, error.headers)
        context = ErrorContext("Another look", "", heading, (), "What you wrote before is safe.")
        answer = page(request, "error.html", context, error.status_code)
        answer.headers.update(error.headers or {})
        return answer

    @app.exception_handler(Exception)
    def _defect(request: Request, error: Exception) -> Response:
        return told(request, error)
