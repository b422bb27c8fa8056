"""What I have: counts change by a tap and can be undone; what came in is checked; a weighing halves the doubt."""

from __future__ import annotations

import html
import re

import pytest
from fastapi.testclient import TestClient

SCRIPT = "<script>alert(1)</script>"


def shown(client: TestClient, title: str) -> str:
    """Return the amount shown of one heap."""
    text = client.get("/in-hand").text
    part = text[text.index(f'aria-label="{title}"') :]
    return re.sub(r"<[^>]+>", "", re.findall(r'<span class="amount">(.*?)</span>\s*</?', part, re.S)[0]).strip()


def count(client: TestClient, name: str) -> float:
    text = html.unescape(client.get("/in-hand").text)
    part = text[text.index(f'name="name" value="{name}"') :]
    return float(re.findall(r'name="count" value="([\d.]+)"', part)[1]) - 1.0


def test_a_tap_counts_one_less_and_undo_brings_it_back(client: TestClient):
    before = count(client, "leaf stack")
    answer = client.post("/in-hand", data={"job": "counted", "name": "leaf stack", "count": f"{before - 1:g}"})
    assert answer.status_code == 303
    assert count(client, "leaf stack") == before - 1
    page = client.get(answer.headers["location"]).text
    entries = re.findall(r'name="id" value="([0-9A-Z]{26})"', page)
    client.post("/take-back", data={"id": entries, "back": "/in-hand"})
    assert count(client, "leaf stack") == before


def test_counting_what_comes_again_leaves_what_is_expected(client: TestClient):
    client.post("/in-hand", data={"job": "counted", "name": "flattened boxes", "count": "7"})
    assert count(client, "flattened boxes") == 7
    client.post("/in-hand", data={"job": "counted", "name": "flattened boxes", "count": "5"})
    assert count(client, "flattened boxes") == 5


def test_what_was_laid_today_before_counting_is_not_taken_off_twice(client: TestClient):
    lifts = {"job": "layer", "bed": "Garlic Bed", "lift": "leaf_municipal: 1 leaf sack", "cans": "1"}
    assert client.post("/bed/Garlic%20Bed/lay", data=lifts).status_code == 303
    client.post("/in-hand", data={"job": "counted", "name": "leaf stack", "count": "30"})
    assert count(client, "leaf stack") == 30
    client.post("/bed/Garlic%20Bed/lay", data=lifts)
    assert count(client, "leaf stack") == 29


@pytest.mark.parametrize(
    ("answers", "told"),
    [
        ({"sprayed": "no", "seeded": "no", "diseased": "no", "on_soil": "no"}, "keep"),
        ({"sprayed": "not known", "seeded": "no"}, "hold and test"),
    ],
)
def test_the_intake_check_decides_what_becomes_of_hay(client: TestClient, answers: dict[str, str], told: str):
    sent = {"job": "came in", "what": "hay_grass", "count": "2", "container": "bale", "origin": "the lane"} | answers
    answer = client.post("/in-hand", data=sent)
    page = html.unescape(client.get(answer.headers["location"]).text)
    assert f": {told}" in page
    assert ("Held: Grass hay" in page) is (told != "keep")


def test_a_weighing_is_kept_and_nonsense_refused(client: TestClient):
    good = {"job": "weighed", "what": "grass_clip", "container": "bucket", "mass": "3,1"}
    answer = client.post("/in-hand", data=good)
    assert "weighs 3.1 kg" in client.get(answer.headers["location"]).text
    assert client.post("/in-hand", data=good | {"mass": "900"}).status_code == 422


@pytest.mark.parametrize("field", ["origin", "because", "words", "what", "container", "count", "name", "mass"])
def test_script_in_a_field_never_becomes_script(client: TestClient, field: str):
    for job in ("came in", "counted", "weighed"):
        sent = {"job": job, "what": "hay_grass", "count": "2", "container": "bale", "name": "leaf stack", "mass": "9"}
        client.post("/in-hand", data=sent | {field: SCRIPT, "decision": "hold and test"})
    for path in ("/in-hand", "/did", "/in-hand/more", "/"):
        assert SCRIPT not in client.get(path).text


@pytest.mark.parametrize("number", ["-1", "1e9", "many", "nan"])
def test_a_count_that_cannot_be_is_refused(client: TestClient, number: str):
    answer = client.post("/in-hand", data={"job": "counted", "name": "leaf stack", "count": number})
    assert answer.status_code == 422
