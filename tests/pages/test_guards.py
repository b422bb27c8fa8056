"""Every answer carries strict headers; strangers' hosts, origins and floods are refused."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Callable

import pytest
from fastapi.testclient import TestClient
from starlette.types import Message, Receive, Scope, Send

from mullbed.domain.signing import Where
from mullbed.web.guards import LARGEST_BODY, BodyTooLarge, Guards, host_name


def test_every_answer_carries_the_strict_headers(client: TestClient):
    for path in ("/", "/static/style.css", "/nowhere", "/health"):
        headers = client.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy and "unsafe" not in policy and "frame-ancestors 'none'" in policy
        assert headers["x-content-type-options"] == "nosniff"


def test_pages_load_nothing_from_elsewhere_and_hold_no_script_or_style_of_their_own(client: TestClient):
    text = client.get("/").text
    assert not re.search(r"(src|href)=\"(https?:)?//", text)
    assert "<style" not in text and " style=" not in text and not re.search(r"\son\w+=", text)
    assert re.findall(r"<script(?![^>]*\bsrc=)", text) == []


@pytest.mark.parametrize("host", ["evil.test", "evil.test:8437", "127.0.0.1.evil.test", ""])
def test_a_strange_host_name_is_refused(client: TestClient, host: str):
    assert client.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize(("host", "name"), [("[::1]:8437", "[::1]"), ("localhost:1", "localhost"), ("a.b", "a.b")])
def test_a_host_is_read_without_its_port(host: str, name: str):
    assert host_name(host) == name


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "https://evil.test"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"origin": "", "referer": "http://evil.test/x"},
    ],
)
def test_a_change_from_another_page_is_refused(client: TestClient, headers: dict[str, str]):
    answer = client.post("/take-back", data={"id": "0" * 26}, headers=headers)
    assert answer.status_code == 403


def test_a_flood_is_refused_whether_it_tells_its_size_or_not(client: TestClient):
    flood = b"a" * (LARGEST_BODY + 1)
    assert client.post("/take-back", content=flood).status_code == 413


def test_a_flood_that_hides_its_size_is_cut_off_while_it_is_read():
    came: list[int] = []

    async def hungry(_: Scope, receive: Receive, __: Send) -> None:
        while True:
            came.append(len((await receive())["body"]))

    async def flood() -> Message:
        return {"type": "http.request", "body": b"a" * 65536, "more_body": True}

    async def send(_: Message) -> None:
        raise AssertionError("nothing is answered from within")

    scope = {
        "type": "http",
        "method": "POST",
        "path": "/x",
        "headers": [(b"host", b"localhost"), (b"origin", b"http://localhost")],
    }
    with pytest.raises(BodyTooLarge):
        asyncio.run(Guards(hungry, names=("localhost",), secure=False)(scope, flood, send))
    assert sum(came) <= LARGEST_BODY


def test_an_unknown_bed_and_a_path_out_of_the_folder_end_in_kind_words(client: TestClient):
    for path in ("/bed/Nowhere", "/static/../app.py", "/static/%2e%2e/app.py", "/bed/..%2f..%2fetc%2fpasswd"):
        answer = client.get(path)
        assert answer.status_code == 404
        assert "Traceback" not in answer.text and "def build_app" not in answer.text


def test_an_empty_record_leads_to_the_first_garden(open_page: Callable[..., TestClient], tmp_path: object):
    empty = open_page(where=Where(f"{tmp_path}/empty.sqlite"))
    answer = empty.get("/")
    assert answer.status_code == 303 and answer.headers["location"] == "/begin"


def test_the_round_and_a_bed_tell_their_answer_first(client: TestClient):
    answer = client.get("/")
    assert answer.status_code == 200
    assert re.search(r"<h1>[^<]*(need|Nothing)", answer.text)
    bed = client.get("/bed/Garlic%20Bed")
    assert bed.status_code == 200
    assert "What the roots get" in bed.text and "<svg" in bed.text
