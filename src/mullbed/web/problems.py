"""What an answer for programs tells when something is wrong: one shape for every fault (RFC 9457, problem details)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from starlette.responses import JSONResponse

from mullbed.errors import Fault

MEDIA_TYPE = "application/problem+json"
MEANINGS = {
    400: "The request cannot be read at all.",
    401: "Nobody is signed in.",
    403: "It is not yours to see or change.",
    404: "There is nothing of that name.",
    413: "More was sent than fits.",
    422: "It can be read, and something in it is at fault; every fault is told.",
    503: "The record cannot be reached now.",
}


@dataclass(frozen=True, slots=True)
class ProblemFault:
    """One thing at fault."""

    place: str
    """Where it is: a field, a parameter, a line of a file."""
    value: str
    """What was found there."""
    allowed: str
    """What may stand there."""
    remedy: str
    """What to do."""


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong."""

    title: str
    status: int
    detail: str
    faults: list[ProblemFault]
    type: str = "about:blank"


def problem(
    status: int, title: str, faults: Sequence[Fault] = (), headers: Mapping[str, str] | None = None
) -> JSONResponse:
    """Return a problem as an answer."""
    told = [ProblemFault(one.place, one.value, one.allowed, one.remedy) for one in faults]
    detail = " ".join(f"{one.place}: {one.value}; {one.allowed}. {one.remedy}".strip() for one in told) or title
    content = asdict(Problem(title, status, detail, told))
    return JSONResponse(content, status, dict(headers or {}), media_type=MEDIA_TYPE)


def problems(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """Return how an address describes the problems it may answer with; every one may answer 401 and 422."""
    reference = {"schema": {"$ref": "#/components/schemas/Problem"}}
    return {
        status: {"description": MEANINGS[status], "content": {MEDIA_TYPE: reference}}
        for status in sorted({401, 422, 503, *statuses})
    }
