"""I did something: two taps keep a line; it is told back, can be undone once, and is kept with its bed."""

from __future__ import annotations

import html
import re

import pytest
from fastapi.testclient import TestClient

SCRIPT = '"><script>alert(1)</script>'
BED = "Garlic Bed"


def kept(answer_location: str, client: TestClient) -> str:
    page = client.get(answer_location)
    assert page.status_code == 200
    return html.unescape(page.text)


def ids(text: str) -> list[str]:
    return re.findall(r'name="id" value="([0-9A-Z]{26})"', text)


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"job": "water", "amount": "2 cans"}, "2 cans of water on Garlic Bed"),
        ({"job": "drawn back", "put_back": "no"}, "Cover drawn back on Garlic Bed"),
        ({"job": "drawn back", "put_back": "yes"}, "Cover put back on Garlic Bed"),
        ({"job": "sown", "crop": "phacelia"}, "sown on Garlic Bed"),
        ({"job": "picked", "crop": "garlic", "mass": "1,5", "last": "yes"}, "1.5 kg of garlic harvested"),
        ({"job": "note", "text": "Two frogs."}, "Note on Garlic Bed: Two frogs."),
    ],
)
def test_a_tap_is_written_down_told_back_and_undone_once(client: TestClient, fields: dict[str, str], told: str):
    answer = client.post("/did", data={"bed": BED} | fields)
    assert answer.status_code == 303, answer.text
    text = kept(answer.headers["location"], client)
    assert "Written down." in text and told in text
    entry = ids(text)[0]
    back = client.post("/take-back", data={"id": entry, "back": "/did?bed=Garlic+Bed"})
    assert back.status_code == 303 and back.headers["location"].startswith("/did?bed=Garlic+Bed&id=")
    assert "Taken back." in kept(back.headers["location"], client)
    again = client.post("/take-back", data={"id": entry, "back": "/did"})
    assert again.status_code == 303 and again.headers["location"] == "/did"


def test_the_amount_given_last_is_offered_first(client: TestClient):
    client.post("/did", data={"job": "water", "bed": BED, "amount": "7 cans"})
    offered = re.findall(r'name="amount" value="([^"]+)"', client.get("/did?bed=Garlic+Bed").text)
    assert offered[0] == "7 cans" and len(offered) == 5


def test_without_a_bed_every_bed_is_one_tap_away(client: TestClient):
    text = client.get("/did").text
    assert text.count("/did?bed=") == 12  # the demo garden's beds, the market bed twice


def test_a_held_batch_gets_pots_and_its_reading_frees_it(client: TestClient):
    client.post("/in-hand", data={"job": "came in", "what": "hay_grass", "count": "3", "container": "bale"})
    name = html.unescape(re.findall(r'name="batch" value="([^"]+)"', client.get("/did").text)[0])
    assert client.post("/did", data={"job": "beans sown", "batch": name}).status_code == 303
    page = client.get("/did").text
    assert "Read the bean pots" in page and "Sowed a bean test" not in page
    read = client.post("/did", data={"job": "beans read", "batch": name, "verdict": "clear", "last": "yes"})
    assert read.status_code == 303
    assert "Held:" not in client.get("/in-hand").text


@pytest.mark.parametrize("job", ["note", "water", "picked", "sown"])
def test_script_in_any_field_is_shown_as_text_or_refused(client: TestClient, job: str):
    fields = dict.fromkeys(("text", "amount", "mass", "crop", "words"), SCRIPT)
    answer = client.post("/did", data={"job": job, "bed": BED} | fields)
    shown = client.get(answer.headers["location"]).text if answer.status_code == 303 else answer.text
    assert "<script>alert" not in shown
    for path in ("/did?bed=Garlic+Bed", "/bed/Garlic%20Bed", "/"):
        assert "<script>alert" not in client.get(path).text


@pytest.mark.parametrize("path", ["/did", "/noticed", "/in-hand", "/noticed/look"])
def test_script_in_the_address_is_never_reflected(client: TestClient, path: str):
    answer = client.get(path, params={"bed": SCRIPT, "id": SCRIPT, "sign": SCRIPT, "know": SCRIPT})
    assert "<script>alert" not in answer.text


@pytest.mark.parametrize(
    "fields",
    [
        {"job": "dance", "bed": BED},
        {"job": "water", "bed": BED, "amount": "a sea"},
        {"job": "water", "bed": "Nowhere", "amount": "1 can"},
        {"job": "picked", "bed": BED, "crop": "garlic", "mass": ""},
        {"job": "note", "bed": BED, "text": "  "},
        {"job": "note", "bed": BED, "text": "a" * 3000},
    ],
)
def test_what_cannot_be_understood_is_told_kindly_and_keeps_nothing(client: TestClient, fields: dict[str, str]):
    answer = client.post("/did", data=fields)
    assert answer.status_code == 422
    assert "needs another look" in answer.text and "Traceback" not in answer.text


def test_taking_back_leads_only_to_pages_of_this_server(client: TestClient):
    answer = client.post("/did", data={"job": "water", "bed": BED, "amount": "1 can"})
    entry = ids(client.get(answer.headers["location"]).text)[0]
    back = client.post("/take-back", data={"id": entry, "back": "https://evil.test/x"})
    assert back.headers["location"].startswith("/?id=")
    assert client.post("/take-back", data={"id": "0" * 26}).status_code == 404
