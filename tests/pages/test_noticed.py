"""I noticed something: chosen by taps, written down, asked on, answered; the table for no signal is whole."""

from __future__ import annotations

import html
import re

from fastapi.testclient import TestClient

from mullbed.reports.finding_marks import MARKED, SENSES, SHORT_WORDS, finding_mark
from mullbed.usecases.list_signs import list_signs

SCRIPT = "<script>alert(1)</script>"


def test_every_sign_can_be_chosen_and_fourteen_have_a_mark_beside_their_word(client: TestClient):
    text = client.get("/noticed?bed=Garlic+Bed").text
    offered = set(re.findall(r'name="sign" value="(\w+)"', text))
    assert offered == {one.sign for one in list_signs()}
    assert len(MARKED) == 14 and set(MARKED) == set(SHORT_WORDS) == {key for one in SENSES for key in one.signs}
    assert all(finding_mark(key, size=36) in text for key in MARKED)
    assert finding_mark("ants") == ""


def test_signs_are_written_down_and_lead_on_within_six_taps_to_an_answer(client: TestClient):
    answer = client.post("/noticed", data={"job": "noticed", "bed": "Garlic Bed", "sign": ["sour", "no_change"]})
    assert answer.status_code == 303
    address = answer.headers["location"]
    for tap in range(2, 9):
        page = client.get(address)
        assert page.status_code == 200
        text = html.unescape(page.text)
        if "How sure:" in text:
            break
        assert f"Tap {tap} of 6 at most" in text and "I can't tell" in text
        stones = re.findall(r'<a class="pick whole" href="([^"]+)"', page.text)
        address = html.unescape(stones[-1])
    assert "How sure:" in text and tap <= 7
    for word in ("Why", "Don't", "What would change this:", "Wait"):
        assert word in text
    bed = html.unescape(client.get("/bed/Garlic%20Bed").text)
    assert "smell on Garlic Bed: sour" in bed and "note on Garlic Bed: No change for weeks" in bed


def test_undo_takes_back_every_sign_of_one_look(client: TestClient):
    answer = client.post("/noticed", data={"job": "noticed", "bed": "Garlic Bed", "sign": ["sour", "ants", "hot"]})
    text = client.get(answer.headers["location"]).text
    ids = re.findall(r'name="id" value="([0-9A-Z]{26})"', text)
    assert len(ids) == 2  # sour is an observation, ants and hot one note together
    client.post("/take-back", data={"id": ids, "back": "/noticed?bed=Garlic+Bed"})
    assert "sour" not in client.get("/bed/Garlic%20Bed").text


def test_a_closer_look_that_is_an_observation_is_kept_and_leads_on(client: TestClient):
    sent = {"job": "looked", "bed": "Garlic Bed", "what": "squeeze", "word": "drips freely"}
    on = "/noticed/look?bed=Garlic+Bed&sign=sour&know=moisture%3Dwet"
    answer = client.post("/noticed", data=sent | {"then": on})
    assert answer.headers["location"].startswith(f"{on}&id=")
    away = client.post("/noticed", data=sent | {"then": "https://evil.test/noticed/look?"})
    assert away.headers["location"].startswith("/noticed?")


def test_all_is_well_is_one_tap_and_kept(client: TestClient):
    answer = client.post("/noticed", data={"job": "note", "bed": "Garlic Bed", "text": "All is well."})
    assert "All is well." in client.get(answer.headers["location"]).text


def test_the_table_for_no_signal_tells_of_every_sign_what_to_do_first(client: TestClient):
    text = html.unescape(client.get("/noticed/first").text)
    for one in list_signs():
        assert f'id="{one.sign}"' in text and one.heading in text and one.name in text


def test_nothing_chosen_and_unknown_signs_are_told_kindly(client: TestClient):
    for signs in ([], ["dragons"], [SCRIPT]):
        answer = client.post("/noticed", data={"job": "noticed", "bed": "Garlic Bed", "sign": signs})
        assert answer.status_code == 422 and SCRIPT not in answer.text
    assert client.get("/noticed?bed=Nowhere").status_code == 404
