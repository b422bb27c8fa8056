"""One line of JSON for each answer, and for each defect: enough to run a server by, nothing of anybody.

A line names the pattern of an address ("/bed/{name}"), never the address itself, no query, no name, no network address
and no text that was sent; a defect is told by its kind and the place in the code, without its words.
"""

from __future__ import annotations

import json
import logging
import traceback
from datetime import UTC, datetime
from time import perf_counter
from typing import Any

from starlette.types import ASGIApp, Message, Receive, Scope, Send

LOGGER = "mullbed.served"
FRAMES = 6
"""So many places in the code are told of a defect, the innermost last."""


class JsonLines(logging.Formatter):
    """Writes a message as one line of JSON."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        told: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "process": record.process,
        }
        told |= record.msg if isinstance(record.msg, dict) else {"event": "server", "says": _plain(record)}
        error = record.exc_info[1] if record.exc_info else None
        if error is not None:
            told |= {"event": "defect", "kind": type(error).__name__, "places": _places(error)}
            told.pop("says", None)
        return json.dumps(told, ensure_ascii=False)


def _plain(record: logging.LogRecord) -> str:
    return record.getMessage()[:300]


def _places(error: BaseException) -> list[str]:
    frames = traceback.extract_tb(error.__traceback__)[-FRAMES:]
    return [f"{frame.filename.rpartition('/')[2]}:{frame.lineno} {frame.name}" for frame in frames]


def write_lines(level: int = logging.INFO) -> None:
    """Let this process write its lines to the standard error; the server's own words come the same way."""
    handler = logging.StreamHandler()  # to the standard error
    handler.setFormatter(JsonLines())
    for name, least in ((LOGGER, level), ("uvicorn.error", logging.WARNING)):
        logger = logging.getLogger(name)
        logger.handlers, logger.propagate = [handler], False
        logger.setLevel(least)


class RequestLog:
    """Tells each answer once it is sent."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app
        self.log = logging.getLogger(LOGGER)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Time an answer and tell it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        began, status = perf_counter(), 500

        async def sending(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            await send(message)

        try:
            await self.app(scope, receive, sending)
        finally:
            took = 1000.0 * (perf_counter() - began)
            told = {
                "event": "answer",
                "method": scope["method"] if scope["method"] in METHODS else "other",
                "route": _pattern(scope),
                "status": status,
                "milliseconds": round(took, 1),
            }
            self.log.log(logging.INFO if status < 500 else logging.ERROR, told)


METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})


def _pattern(scope: Scope) -> str:
    """Return the pattern of the address that answered; a file or an unknown address by its kind alone."""
    pattern = getattr(scope.get("route"), "path", None)
    if isinstance(pattern, str):
        return pattern
    return "/static" if scope["path"].startswith("/static/") else "unknown"
