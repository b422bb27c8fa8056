"""An empty record begins on the page, with a bed of one's own or the example."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from mullbed.domain.signing import Where
from mullbed.web.forms import answers_of
from mullbed.web.pages.begin import garden_text

Opening = Callable[..., TestClient]


@pytest.mark.parametrize("grows", ["nothing", "tomato", "beans"])
def test_a_first_bed_with_a_decimal_comma_stands_on_the_round(open_page: Opening, tmp_path: Path, grows: str):
    client = open_page(where=Where(f"{tmp_path}/new.sqlite"))
    assert client.get("/begin").status_code == 200
    sent = {"length": "4,5", "width": "1,2", "grows": grows, "latitude": "47"}
    assert client.post("/begin", data=sent).status_code == 303
    answer = client.get("/")
    assert answer.status_code == 200 and "First" in answer.text
    assert client.post("/begin", data=sent).status_code == 422


@pytest.mark.parametrize("wrong", [{"length": "900"}, {"grows": '"\n[weather]'}, {"latitude": "nan"}, {"width": "<b>"}])
def test_what_does_not_fit_is_refused_and_nothing_is_kept(open_page: Opening, tmp_path: Path, wrong: dict[str, str]):
    client = open_page(where=Where(f"{tmp_path}/new.sqlite"))
    assert client.post("/begin", data=wrong).status_code == 422
    assert client.get("/").headers["location"] == "/begin"


def test_south_of_the_equator_july_is_winter():
    text = garden_text(answers_of([("latitude", "-38")]), date(2027, 6, 9))
    assert "monthly_low = [14, 14, 11, 8, 5, 2, 2, 3, 4, 6, 9, 12]" in text
