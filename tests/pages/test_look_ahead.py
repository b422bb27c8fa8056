"""The round can be made to stand on a fresh look ahead, from the page alone."""

from __future__ import annotations

import time
from collections.abc import Callable

from fastapi.testclient import TestClient


def test_a_look_ahead_is_begun_on_the_round_and_the_round_then_stands_on_it(client: TestClient):
    before = client.get("/").text
    assert "No forecast is kept" in before and "Look ahead anew" in before and "`" not in before
    assert client.post("/ahead").headers["location"] == "/season/making"
    for _ in range(900):
        shown = client.get("/season/making")
        if shown.status_code == 303:
            break
        assert "Every bed is run ahead." in shown.text
        time.sleep(0.1)
    assert shown.headers["location"] == "/"
    after = client.get("/").text
    assert "Forecast of 9 June" in after and "Look ahead anew" not in after


def test_nobody_unsigned_begins_one(open_page: Callable[..., TestClient]):
    assert open_page(sign_in=True).post("/ahead").headers["location"] == "/sign-in"
