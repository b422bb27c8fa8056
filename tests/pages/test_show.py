"""A link lets anybody look for a while: no names, nothing to change, gone when it is taken back or over."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from mullbed.domain.signing import Where
from mullbed.errors import InputFault, NotFound
from mullbed.store.database import open_record
from mullbed.store.tables import links
from mullbed.usecases import log_line as log
from mullbed.usecases.share_look import MOST_LINKS, end_look, look_by, open_looks, share_look
from mullbed.web.visitor import now
from pages.conftest import signed

Opening = Callable[..., TestClient]


def made(client: TestClient, **sent: str) -> str:
    """Make a link and return its path."""
    text = client.post("/show/link", data={"bed": "", "lasts": "14"} | sent).text
    found = re.search(r'value="http://127.0.0.1:8437(/look/[^"]+)"', text)
    assert found, text
    return found.group(1)


def test_a_link_opens_without_signing_in_and_shows_no_name(client: TestClient, open_page: Opening, record: Path):
    log.log_note(log.Line(Where(str(record)), signed("Ada Secretname")), "words of my own", bed="Gate Bed")
    path = made(client)
    stranger = open_page(sign_in=True)
    text = stranger.get(path).text
    assert "Gate Bed" in text and "/sign-in" not in text
    bed = stranger.get(re.findall(rf'href="({path}/Gate%20Bed)"', text)[0]).text
    for told in (text, bed):
        assert "Secretname" not in told and "words of my own" not in told
        assert "<form" not in told and not re.search(r'href="/(?!look|static|reading")', told)
    assert stranger.get("/").headers["location"] == "/sign-in"


def test_a_link_of_a_bed_shows_that_bed_alone(client: TestClient):
    path = made(client, bed="Gate Bed", lasts="61")
    assert client.get(path).status_code == 200 and client.get(f"{path}/Gate%20Bed").status_code == 200
    assert client.get(f"{path}/Wren%20Bed").status_code == 404


def test_a_link_taken_back_opens_nothing(client: TestClient):
    path, other = made(client), made(client)
    listed = client.get("/show").text
    digest = re.findall(r'name="digest" value="([^"]+)"', listed)
    assert len(digest) == 2 and path.split("/")[2] not in listed
    assert client.post("/show/end", data={"digest": digest[0]}).status_code == 303
    assert sorted((client.get(path).status_code, client.get(other).status_code)) == [200, 404]
    assert client.post("/show/end", data={"digest": digest[0]}).status_code == 404
    told = html.unescape(client.get(other if client.get(other).status_code == 404 else path).text)
    assert "There is nothing at this address." in told


def test_a_link_ends_by_itself_and_its_token_is_kept_nowhere(record: Path):
    where, moment = Where(str(record)), now()
    share_look(where, "a token", "Gate Bed", timedelta(days=14), ("Ada", moment))
    assert look_by(where, "a token", moment + timedelta(days=13)) is not None
    assert look_by(where, "a token", moment + timedelta(days=14)) is None
    assert open_looks(where, moment + timedelta(days=15)) == ()
    with open_record(str(record)) as opened, opened.reading() as transaction:
        rows = [tuple(row) for row in transaction.execute(links.select())]
    assert len(rows) == 1 and "a token" not in str(rows)
    assert not end_look(where, "nothing", moment)


def test_what_can_not_be_shared_is_refused(record: Path):
    where, moment = Where(str(record)), now()
    with pytest.raises(NotFound):
        share_look(where, "t", "Nowhere", timedelta(days=14), ("Ada", moment))
    with pytest.raises(InputFault):
        share_look(where, "t", None, timedelta(days=400), ("Ada", moment))
    for number in range(MOST_LINKS):
        share_look(where, f"t{number}", None, timedelta(days=1), ("Ada", moment))
    with pytest.raises(InputFault):
        share_look(where, "one more", None, timedelta(days=1), ("Ada", moment))


@pytest.mark.parametrize("method", ["post", "put", "delete"])
def test_nothing_can_be_written_by_a_link(client: TestClient, method: str):
    assert getattr(client, method)(made(client)).status_code == 405


def test_guesses_and_odd_words_open_nothing(client: TestClient):
    for guess in ("x", "../etc", "%00", "a" * 5000, "'; drop table links; --"):
        assert client.get(f"/look/{guess}").status_code == 404
    assert client.post("/show/link", data={"lasts": "9999"}).status_code == 422
    assert client.post("/show/link", data={"lasts": "14", "bed": "<b>"}).status_code == 404
