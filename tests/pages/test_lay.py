"""Lay a layer: every tap changes what it will do; it is written down as shown; rules of safety stand in the way."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from mullbed.domain.signing import Where
from mullbed.usecases.log_line import list_notes

PAGE = "/bed/Garlic%20Bed/lay"
SCRIPT = "<script>alert(1)</script>"


def chosen(text: str) -> dict[str, str]:
    return dict(re.findall(r'name="n\.([^"]+)" value="([^"]*)"', html.unescape(text)))


def test_each_tap_adds_a_whole_container_and_the_cut_grows(client: TestClient):
    page = client.get(PAGE).text
    assert "<svg" in page and "Nothing new yet" in page
    one = client.get(PAGE, params={"n.leaf stack": "0", "step": "plus:leaf stack"}).text
    two = client.get(PAGE, params={"n.leaf stack": "1", "step": "plus:leaf stack"}).text
    assert chosen(one)["leaf stack"] == "1" and chosen(two)["leaf stack"] == "2"
    thick = [float(re.findall(r"([\d.]+) cm new", text)[0]) for text in (one, two)]
    assert 1.8 < thick[1] / thick[0] < 2.2
    none = client.get(PAGE, params={"n.leaf stack": "0", "step": "minus:leaf stack"}).text
    assert chosen(none)["leaf stack"] == "0"


def test_it_tells_feeds_water_and_dont(client: TestClient):
    text = client.get(PAGE, params={"n.leaf stack": "1", "n.neighbour's lawn": "1"}).text
    for word in ("Feeds", "Water", "Don't", "Worked out"):
        assert word in html.unescape(text)


def test_the_layer_is_written_down_as_it_was_shown_and_can_be_undone(client: TestClient):
    text = html.unescape(client.get(PAGE, params={"n.leaf stack": "2"}).text)
    lifts = re.findall(r'name="lift" value="([^"]+)"', text)
    assert lifts == ["leaf_municipal: 2 leaf sack, of leaf stack"]
    answer = client.post(PAGE, data={"job": "layer", "bed": "Garlic Bed", "lift": lifts, "cans": "1"})
    assert answer.status_code == 303
    laid = html.unescape(client.get(answer.headers["location"]).text)
    assert "Laid and written down." in laid and "Undo this layer" in laid and "2 leaf sack of" in laid
    entry = re.findall(r'name="id" value="([0-9A-Z]{26})"', laid)
    back = client.post("/take-back", data={"id": entry, "back": "/bed/Garlic%20Bed/laid"})
    assert "Taken back." in client.get(back.headers["location"]).text


def test_soft_stuff_goes_below_what_is_dry(client: TestClient):
    text = html.unescape(client.get(PAGE, params={"n.leaf stack": "1", "n.neighbour's lawn": "1"}).text)
    lifts = re.findall(r'name="lift" value="([^"]+)"', text)
    assert [one.partition(":")[0] for one in lifts] == ["grass_clip", "leaf_municipal"]


def test_what_is_open_to_the_air_or_too_thick_is_told(client: TestClient):
    open_ = html.unescape(client.get(PAGE, params={"n.neighbour's lawn": "1"}).text)
    assert "leave it open" in open_
    thick = html.unescape(client.get(PAGE, params={"n.neighbour's lawn": "6"}).text)
    assert "thicker than" in thick


def test_a_rule_of_safety_asks_for_a_reason_and_keeps_it(open_page: Callable[..., TestClient], record: Path):
    client = open_page(today=date(2027, 5, 1))  # the garden file holds its hay until 10 May
    shown = html.unescape(client.get("/bed/Gate%20Bed/lay", params={"n.hay from the roadside field": "1"}).text)
    assert "Don't lay this" in re.sub(r"<[^>]+>", "", shown) and "Say why" in shown and "Lay it anyway" in shown
    sent = {"job": "layer", "bed": "Gate Bed", "lift": "hay_grass: 1 bale"}
    refused = client.post("/bed/Gate%20Bed/lay", data=sent)
    assert refused.status_code == 422 and "rules of safety" in refused.text
    where = Where(str(record))
    assert list_notes(where, kinds=["layer"]) == ()
    kept = client.post("/bed/Gate%20Bed/lay", data=sent | {"although": f"beans were fine {SCRIPT}"})
    assert kept.status_code == 303
    assert len(list_notes(where, kinds=["layer"])) == 1
    assert [one.facts.reason for one in list_notes(where, kinds=["override"])] == [f"beans were fine {SCRIPT}"]
    assert SCRIPT not in client.get("/bed/Gate%20Bed").text


@pytest.mark.parametrize("number", ["-3", "many", "1e7"])
def test_a_count_that_cannot_be_is_refused(client: TestClient, number: str):
    assert client.get(PAGE, params={"n.leaf stack": number}).status_code == 422
    assert client.get(PAGE, params={"n.nothing such": "1"}).status_code == 422


def test_the_bed_of_the_address_and_of_the_form_must_be_one(client: TestClient):
    sent = {"job": "layer", "bed": "Gate Bed", "lift": "leaf_municipal: 1 leaf sack"}
    assert client.post(PAGE, data=sent).status_code == 404
    assert client.get("/bed/Nowhere/lay").status_code == 404


@pytest.mark.parametrize("field", ["lift", "cans", "although", "words"])
def test_script_in_a_field_never_becomes_script(client: TestClient, field: str):
    sent = {"job": "layer", "bed": "Garlic Bed", "lift": "leaf_municipal: 1 leaf sack", "cans": "0"}
    answer = client.post(PAGE, data=sent | {field: SCRIPT})
    assert SCRIPT not in answer.text
    for path in ("/bed/Garlic%20Bed", "/bed/Garlic%20Bed/laid"):
        assert SCRIPT not in client.get(path).text
    assert SCRIPT not in client.get(PAGE, params={f"n.{SCRIPT}": "1", "step": f"plus:{SCRIPT}"}).text
