"""What every request passes: known host, own origin, a bounded body; what every answer carries: strict headers."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from mullbed.web.problems import problem

LARGEST_BODY = 256 * 1024
"""A form of ours is far smaller. [bytes]"""
LARGEST_PHOTO = 12 * 1024 * 1024
"""Body of a page that takes a photo or a garden file. [bytes]"""
LARGE_PATHS = ("/photo", "/bring")
SAFE = frozenset({"GET", "HEAD", "OPTIONS"})

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "connect-src 'self'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    )
)

ALWAYS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "geolocation=(), microphone=(), camera=(self)",
    "x-frame-options": "DENY",
}


class Guards:
    """The outermost layer of the application."""

    def __init__(self, app: ASGIApp, *, names: tuple[str, ...], secure: bool) -> None:
        self.app = app
        self.names = frozenset(name.casefold() for name in names)
        self.secure = secure

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse what is not meant for us, dress what goes out."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refusal = self._refusal(scope, headers)
        dressed = self._dressed(send)
        if refusal is not None:
            await refusal(scope, receive, dressed)
            return
        await self.app(scope, _bounded(receive, _room(scope["path"])), dressed)

    def _refusal(self, scope: Scope, headers: Headers) -> Response | None:
        host = host_name(headers.get("host", ""))
        if host not in self.names:
            return _refused(scope, "This garden does not answer to that name.", 421)
        if scope["method"] not in SAFE and not _own_origin(headers):
            return _refused(scope, "This came from another page; nothing was changed.", 403)
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > _room(scope["path"]):
            return _refused(scope, "That is more than fits; nothing was kept.", 413)
        return None

    def _dressed(self, send: Send) -> Send:
        async def sending(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in ALWAYS.items():
                    headers.setdefault(name, value)
                headers.setdefault("cache-control", "no-store")
                if self.secure:
                    headers.setdefault("strict-transport-security", "max-age=31536000")
            await send(message)

        return sending


def _refused(scope: Scope, words: str, status: int) -> Response:
    """Return a refusal, as a problem where a program asks."""
    return problem(status, words) if scope["path"].startswith("/api/") else PlainTextResponse(words, status)


class BodyTooLarge(Exception):
    """More came than fits."""


def _room(path: str) -> int:
    """Return the largest body of a path. [bytes]"""
    return LARGEST_PHOTO if path.endswith(LARGE_PATHS) else LARGEST_BODY


def _bounded(receive: Receive, room: int) -> Callable[[], Awaitable[Message]]:
    """Count what comes in, whatever its header promised."""
    came = 0

    async def receiving() -> Message:
        nonlocal came
        message = await receive()
        if message["type"] == "http.request":
            came += len(message.get("body", b""))
            if came > room:
                raise BodyTooLarge
        return message

    return receiving


def host_name(host: str) -> str:
    """Return the name in a Host header, without its port."""
    text = host.strip().casefold()
    if text.startswith("["):
        return text[: text.find("]") + 1]
    return text.rsplit(":", 1)[0] if ":" in text else text


def _own_origin(headers: Headers) -> bool:
    """Tell whether a request that changes something came from a page of this server."""
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site in ("same-origin", "none")
    origin = headers.get("origin") or headers.get("referer")
    if not origin or origin == "null":
        return False
    return urlsplit(origin).netloc.casefold() == headers.get("host", "").casefold()
