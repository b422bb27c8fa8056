"""A kept page is shown again only while it is true, and only to the one it was made for."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from starlette.types import Message, Receive, Scope, Send

from mullbed.domain.people import Role
from mullbed.domain.signing import Where
from mullbed.usecases import invite_person as admit_people
from mullbed.usecases.invite_person import Attempt
from mullbed.web.page_cache import PageCache
from mullbed.web.settings import Settings

PHRASE = "wet barrow odd lantern"


class Page:
    """An application that counts how often a page is made."""

    def __init__(self) -> None:
        self.made = 0
        self.status = 200
        self.cookie = False

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        self.made += 1
        made = self.made
        await asyncio.sleep(0.01)
        headers = [(b"content-type", b"text/html"), *([(b"set-cookie", b"a=b")] if self.cookie else [])]
        await send({"type": "http.response.start", "status": self.status, "headers": headers})
        await send({"type": "http.response.body", "body": f"{scope['path']} {made}".encode()})


class Tried:
    """A cache over that page, with a record whose newest entry is told by the test."""

    def __init__(self, **given: object) -> None:
        self.page, self.entry, self.at_work = Page(), 1, False
        settings = Settings(Where(None), "Ada", today=date(2027, 6, 9))
        self.cache = PageCache(
            self.page,
            settings=settings,
            newest=lambda: self.entry,
            busy=lambda: self.at_work,
            **given,  # type: ignore[arg-type]
        )

    async def get(self, path: str = "/", method: str = "GET", query: bytes = b"", **headers: str) -> str:
        sent: list[Message] = []

        async def send(message: Message) -> None:
            sent.append(message)

        async def receive() -> Message:
            return {"type": "http.request", "body": b"", "more_body": False}

        told = [(name.replace("_", "-").encode(), value.encode()) for name, value in headers.items()]
        scope = {"type": "http", "method": method, "path": path, "query_string": query, "headers": told}
        await self.cache(scope, receive, send)
        return b"".join(message.get("body", b"") for message in sent).decode()


def run(asked: Callable[[Tried], object], **given: object) -> object:
    return asyncio.run(asked(Tried(**given)))  # type: ignore[arg-type]


def test_a_page_is_made_once_until_something_is_written():
    async def asked(tried: Tried) -> None:
        assert [await tried.get(), await tried.get()] == ["/ 1", "/ 1"]
        tried.entry += 1
        assert await tried.get() == "/ 2"

    run(asked)


@pytest.mark.parametrize(
    "headers", [{"cookie": "x=1"}, {"accept_language": "es"}, {"host": "other"}, {"accept_encoding": "gzip"}]
)
def test_another_reader_language_or_host_gets_a_page_of_their_own(headers: dict[str, str]):
    async def asked(tried: Tried) -> None:
        assert await tried.get() == "/ 1"
        assert await tried.get(**headers) == "/ 2"
        assert await tried.get(**headers) == "/ 2"
        assert await tried.get() == "/ 1"

    run(asked)


def test_another_question_is_another_page():
    async def asked(tried: Tried) -> None:
        assert await tried.get("/bed/A") == "/bed/A 1"
        assert await tried.get("/bed/B") == "/bed/B 2"
        assert await tried.get("/bed/A", query=b"id=1") == "/bed/A 3"

    run(asked)


def test_many_who_come_at_once_have_it_made_once():
    async def asked(tried: Tried) -> None:
        told = await asyncio.gather(*(tried.get() for _ in range(20)))
        assert set(told) == {"/ 1"}

    run(asked)


def test_what_changes_something_fails_or_sets_a_cookie_is_never_kept():
    async def asked(tried: Tried) -> None:
        for method, path in (("POST", "/"), ("HEAD", "/"), ("GET", "/people"), ("GET", "/sign-in"), ("GET", "/field")):
            before = tried.page.made
            await tried.get(path, method)
            await tried.get(path, method)
            assert tried.page.made == before + 2, (method, path)
        tried.page.status = 404
        assert await tried.get("/bed/X") != await tried.get("/bed/X")
        tried.page.status, tried.page.cookie = 200, True
        assert await tried.get("/bed/Y") != await tried.get("/bed/Y")

    run(asked)


def test_while_a_plan_is_at_work_nothing_is_kept():
    async def asked(tried: Tried) -> None:
        tried.at_work = True
        assert [await tried.get(), await tried.get()] == ["/ 1", "/ 2"]

    run(asked)


def test_what_was_not_looked_at_longest_goes_first_when_it_is_full():
    async def asked(tried: Tried) -> None:
        await tried.get("/bed/A")
        await tried.get("/bed/B")
        await tried.get("/bed/A")
        await tried.get("/bed/C")
        assert tried.cache.bytes <= 20 and len(tried.cache.kept) == 2
        assert await tried.get("/bed/A") == "/bed/A 1"
        assert await tried.get("/bed/B") == "/bed/B 4"

    run(asked, most_bytes=20)


def test_an_entry_shows_at_the_next_look(client: TestClient):
    before = client.get("/bed/Garlic%20Bed").text
    assert client.get("/bed/Garlic%20Bed").text == before
    client.post("/did", data={"job": "note", "bed": "Garlic Bed", "text": "Frogs under the board"})
    after = client.get("/bed/Garlic%20Bed").text
    assert "Frogs under the board" in after and "Frogs" not in before


def test_once_a_plan_has_ended_pages_are_kept_again(client: TestClient):
    from mullbed.web.making import Making, Stage, at_work_here, ended_here

    app = client.app
    before = ended_here(app)  # type: ignore[arg-type]
    making = Making()
    app.state.making = {Where(None): making}  # type: ignore[attr-defined]
    assert at_work_here(app)  # type: ignore[arg-type]
    making.stage = Stage.DONE
    assert not at_work_here(app) and ended_here(app) != before  # type: ignore[arg-type]


def test_a_page_that_is_kept_is_not_shown_to_who_was_signed_out_or_lost_the_bed(
    open_page: Callable[..., TestClient], record: Path
):
    where, moment = Where(str(record)), datetime.now(UTC)
    for name, role, beds in (("Ada", Role.LEAD, None), ("Bo", Role.HELPER, frozenset({"Garlic Bed"}))):
        admit_people.invite_person(where, name, role, beds, ("Ada", moment))
        admit_people.accept_invitation(where, name, Attempt(name, PHRASE, "test"), name.lower(), moment)
    client = open_page(sign_in=True)
    client.post("/sign-in", data={"name": "Bo", "phrase": PHRASE})
    assert [client.get("/bed/Garlic%20Bed").status_code for _ in range(2)] == [200, 200]
    admit_people.change_role(where, "bo", Role.HELPER, frozenset({"Gate Bed"}))
    assert client.get("/bed/Garlic%20Bed").status_code == 404
    assert client.get("/bed/Gate%20Bed").status_code == 200
    admit_people.change_role(where, "bo", None, None)
    assert client.get("/bed/Gate%20Bed").status_code == 303
