"""An error page leads back to where one came from, within this server alone; an empty record leads to the beginning."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from mullbed.domain.signing import Where

OURS = "http://127.0.0.1:8437"


def test_an_error_leads_back_to_the_page_it_came_from(client: TestClient):
    sent = {"job": "picked", "bed": "Gate Bed", "crop": "nonsense", "mass": "1"}
    answer = client.post("/did", data=sent, headers={"referer": f"{OURS}/did?bed=Gate+Bed"})
    assert answer.status_code in (404, 422) and 'href="/did?bed=Gate+Bed"' in answer.text


@pytest.mark.parametrize(
    "strange", ["http://elsewhere.test/x", f"{OURS}//elsewhere.test", "javascript:alert(1)", "", f"{OURS}/\\elsewhere"]
)
def test_nothing_leads_elsewhere(client: TestClient, strange: str):
    answer = client.post("/did", data={"job": "nonsense"}, headers={"referer": strange})
    assert answer.status_code == 422 and 'class="stone main" href="/"' in answer.text


def test_every_page_of_an_empty_record_leads_to_the_beginning(open_page: Callable[..., TestClient], tmp_path: Path):
    empty = open_page(where=Where(f"{tmp_path}/new.sqlite"))
    for path in ("/map", "/print", "/show", "/season", "/in-hand", "/did", "/noticed", "/bed/x", "/bed/x/lay"):
        answer = empty.get(path)
        assert (answer.status_code, answer.headers.get("location")) == (303, "/begin"), path
    assert empty.post("/did", data={"job": "note", "text": "x"}).status_code == 422
