"""Pages that only read are kept as they were rendered, until anything is written, the day turns, or another reads.

A page is kept for one reader alone: the key holds who reads and what they may, the language and every cookie of theirs,
the day, and the newest entry of the record. Whoever reads is asked for at each look, so that a session that ended shows
nothing. Looks that come while the record is being asked share the next question, which is put after they came.
"""

from __future__ import annotations

import asyncio
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from datetime import date, datetime
from http.cookies import CookieError, SimpleCookie
from weakref import WeakValueDictionary

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from mullbed.domain.people import Person
from mullbed.errors import RecordError
from mullbed.usecases import invite_person as admit_people
from mullbed.web.sessions import COOKIE, SECURE_COOKIE
from mullbed.web.settings import Settings
from mullbed.web.visitor import now

MOST_BYTES = 48 * 1024 * 1024
"""All that is kept. [bytes]"""
LONGEST_QUERY = 1000
READ_ALONE = ("/bed/", "/api/beds/")
"""Addresses below these only read when they are got."""
READ_ALONE_WHOLE = frozenset(
    {
        "/",
        "/map",
        "/in-hand",
        "/season",
        "/did",
        "/noticed",
        "/noticed/first",
        "/api/beds",
        "/api/cautions",
        "/api/in-hand",
        "/api/round",
        "/api/season",
        "/api/signs",
    }
)


@dataclass(frozen=True, slots=True)
class KeptPage:
    """A page as it went out, and the route that made it."""

    headers: list[tuple[bytes, bytes]]
    body: bytes
    route: object


class PageCache:
    """Stands before the pages."""

    def __init__(
        self,
        app: ASGIApp,
        *,
        settings: Settings,
        newest: Callable[[], Hashable],
        busy: Callable[[], bool] = lambda: False,
        most_bytes: int = MOST_BYTES,
    ) -> None:
        """Keep pages.

        Parameters
        ----------
        app : ASGIApp
        settings : Settings
        newest : callable
            Tells the newest entry of the record; changes with whatever is written.
        busy : callable
            True while something is at work that pages tell of and the record does not hold.
        most_bytes : int
            All that is kept. [bytes]
        """
        self.app = app
        self.settings = settings
        self.newest = newest
        self.busy = busy
        self.most_bytes = most_bytes
        self.bytes = 0
        self.kept: OrderedDict[Hashable, KeptPage] = OrderedDict()
        self.making: dict[Hashable, asyncio.Lock] = {}
        self.next: dict[str, asyncio.Future[Hashable | None]] = {}
        self.turns: WeakValueDictionary[str, asyncio.Lock] = WeakValueDictionary()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Send the page that is kept, or have it made and keep it."""
        if not self._reads_alone(scope) or self.busy():
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        try:
            known = await self._asked(_token(headers.get("cookie", ""), secure=self.settings.secure))
        except RecordError:
            known = None  # the page itself tells of it
        if known is None:
            await self.app(scope, receive, send)
            return
        asked = (scope["path"], scope["query_string"], headers.get("accept-language"), headers.get("cookie"))
        key = (asked, known, headers.get("host"), "gzip" in headers.get("accept-encoding", ""))
        if await self._sent(key, scope, send):
            return
        lock = self.making.setdefault(key, asyncio.Lock())
        try:
            async with lock:  # who comes meanwhile waits for the page rather than have it made again
                if not await self._sent(key, scope, send):
                    await self._made(key, scope, receive, send)
        finally:
            self.making.pop(key, None)

    @staticmethod
    def _reads_alone(scope: Scope) -> bool:
        if scope["type"] != "http" or scope["method"] != "GET" or len(scope["query_string"]) > LONGEST_QUERY:
            return False
        path = scope["path"]
        return path in READ_ALONE_WHOLE or path.startswith(READ_ALONE)

    async def _asked(self, token: str) -> Hashable | None:
        """Return what a page depends on, as it is after this moment."""
        asked = self.next.get(token)
        if asked is None:
            asked = self.next[token] = asyncio.ensure_future(self._asked_for_all(token))
        return await asyncio.shield(asked)

    async def _asked_for_all(self, token: str) -> Hashable | None:
        turn = self.turns.get(token)
        if turn is None:
            turn = self.turns[token] = asyncio.Lock()
        async with turn:
            self.next.pop(token, None)  # who comes from here on is answered by the next question
            return await run_in_threadpool(self._known, token)

    def _known(self, token: str) -> Hashable | None:
        """Return what a page depends on beside its address; None where nobody is signed in who must be."""
        person: Person | None = None
        if self.settings.sign_in:
            person = admit_people.who_is(self.settings.where, token, now()) if token else None
            if person is None:
                return None
        return person, self._today(), self.newest()

    def _today(self) -> date:
        return self.settings.today or datetime.now().astimezone().date()

    async def _sent(self, key: Hashable, scope: Scope, send: Send) -> bool:
        page = self.kept.get(key)
        if page is None:
            return False
        self.kept.move_to_end(key)
        scope["route"] = page.route
        await send({"type": "http.response.start", "status": 200, "headers": list(page.headers)})
        await send({"type": "http.response.body", "body": page.body})
        return True

    async def _made(self, key: Hashable, scope: Scope, receive: Receive, send: Send) -> None:
        start: Message = {}
        parts: list[bytes] = []

        async def sending(message: Message) -> None:
            nonlocal start
            if message["type"] == "http.response.start":
                start = {**message, "headers": list(message.get("headers", []))}
            elif message["type"] == "http.response.body":
                parts.append(message.get("body", b""))
            await send(message)

        await self.app(scope, receive, sending)
        names = {name.lower() for name, _ in start.get("headers", [])}
        if start.get("status") == 200 and b"set-cookie" not in names:
            self._keep(key, KeptPage(start["headers"], b"".join(parts), scope.get("route")))

    def _keep(self, key: Hashable, page: KeptPage) -> None:
        if len(page.body) > self.most_bytes or key in self.kept:
            return
        self.kept[key] = page
        self.bytes += len(page.body)
        while self.bytes > self.most_bytes:
            _, gone = self.kept.popitem(last=False)
            self.bytes -= len(gone.body)


def _token(cookies: str, *, secure: bool) -> str:
    """Return the token of a session as the browser sent it."""
    try:
        found = SimpleCookie(cookies).get(SECURE_COOKIE if secure else COOKIE)
    except CookieError:
        return ""
    return found.value[:200] if found is not None else ""
