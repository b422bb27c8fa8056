"""The season's page tells the kept plan, or how to get one; no link in the pages is dead."""

from __future__ import annotations

import json
import re
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from fastapi.testclient import TestClient

from mullbed.domain.record import Entry
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import Document
from mullbed.domain.signing import Where
from mullbed.store.database import open_record
from mullbed.store.journal import append
from mullbed.usecases.show_plan import season_ahead, show_plan
from pages.conftest import DAY
from pages.kept_plan import keep_plan, planned

EMPTY_PLAN = {
    "garden": "Tanglewick", "first_day": "2027-03-15", "last_day": "2027-10-31", "seed": 1, "layers": [], "gap": 0.02,
    "gather": [{"week": "2027-06-07", "residue": "dry_leaves", "container": "leaf sack", "count": 2.0,
                "supply": "leaf stack", "use_by": None}],
    "outcomes": {"classes": 1, "candidates": 1, "members": 16, "simulated_seasons": 16}, "budget": {}, "promise": {},
    "rehearsal": {}, "corrections": 0, "unmet": {"Gate Bed": {"2027-06": 1.5}}, "supply_left": {"leaf stack": 3.0},
    "shortages": [], "held": [], "forecasts": {}, "balance": {"carbon": 0.0, "nitrogen": 0.0, "water": 0.0},
    "weather": "invented", "refusals": [], "set_aside": [],
}  # fmt: skip


def test_without_a_plan_the_page_says_how_to_get_one(client: TestClient):
    answer = client.get("/season")
    assert answer.status_code == 200
    assert "No plan yet" in answer.text and "Make a plan" in answer.text


def test_a_kept_plan_is_told_with_what_to_gather_and_what_stays_short(client: TestClient, record: Path):
    facts = Document("season plan", 1, json.dumps(EMPTY_PLAN))
    entry = Entry(
        "0" * 25 + "1", "tanglewick", Kind.PLAN, date(2027, 6, 1), datetime(2027, 6, 1, tzinfo=UTC), "Ada", facts
    )
    with open_record(str(record)) as opened, opened.writing() as transaction:
        append(transaction, [entry])
    shown = show_plan(Where(str(record)))
    assert shown.plan is not None and shown.version == 1 and shown.coming(date(2027, 6, 9)) == ()
    text = client.get("/season").text
    assert "Leave every bed be this season" in text
    assert "2 leaf sacks of" in text
    assert "Gate Bed" in text
    assert client.post("/take-back", data={"id": "0" * 25 + "1", "back": "/season"}).status_code == 303
    assert "No plan yet" in client.get("/season").text


def test_no_link_of_the_first_pages_is_dead(client: TestClient):
    seen: set[str] = set()
    for path in ("/", "/season", "/in-hand", "/did", "/noticed", "/bed/Garlic%20Bed"):
        for target in re.findall(r'(?:href|action)="(/[^"#?]*)', client.get(path).text):
            if target in seen or target.startswith("/static"):
                continue
            seen.add(target)
            assert client.get(target).status_code in (200, 303, 405), target
    assert len(seen) > 8


def test_every_bed_has_its_ribbon_with_what_is_planned_dashed(client: TestClient, record: Path):
    keep_plan(record, planned("Gate Bed", DAY + timedelta(days=20)))
    text = client.get("/season").text
    ribbons = re.findall(r'<a class="ribbon-line" href="([^"]+)".*?</a>', text, re.S)
    assert len(ribbons) == 12 and ribbons[0] == "/bed/Gate%20Bed"
    gate = text[text.index('<a class="ribbon-line" href="/bed/Gate%20Bed"') :].partition("</a>")[0]
    wren = text[text.index('<a class="ribbon-line" href="/bed/Wren%20Bed"') :].partition("</a>")[0]
    assert "stroke-dasharray" in gate and "29 June" in gate
    assert "stroke-dasharray" not in wren and "nothing planned" in wren
    ahead = season_ahead(Where(str(record)), DAY, ["Gate Bed"])
    height = ahead["Gate Bed"].series["thickness"].p50
    laid = (DAY + timedelta(days=20) - ahead["Gate Bed"].first_day).days
    assert height[laid - 2] < 0.005 < height[laid + 1]
    assert height[laid + 60] < height[laid + 1]


def test_a_layer_on_one_bed_is_run_anew_and_the_other_beds_are_remembered(client: TestClient, record: Path):
    keep_plan(record, planned("Gate Bed", DAY))
    where = Where(str(record))
    before = season_ahead(where, DAY)
    sent = {"job": "layer", "bed": "Wren Bed", "lift": "leaf_municipal: 1 leaf sack"}
    assert client.post("/bed/Wren%20Bed/lay", data=sent).status_code == 303
    after = season_ahead(where, DAY)
    assert {name for name in after if after[name] is not before[name]} == {"Wren Bed"}
    assert len(after["Wren Bed"].lifts) == len(before["Wren Bed"].lifts) + 1
