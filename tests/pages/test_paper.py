"""Paper from the pages: cards and labels whose codes open a bed, sheets for others, and the card copied back."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path

from fastapi.testclient import TestClient
from pypdf import PdfReader

from mullbed.domain.garden import UnitSystem
from mullbed.domain.people import Role
from mullbed.domain.signing import Where
from mullbed.files.bundled_garden import bundled_garden
from mullbed.files.garden_file import read_garden
from mullbed.reports.bed_labels import label_book
from mullbed.reports.pdf import square_code
from mullbed.usecases.invite_person import Attempt, accept_invitation, invite_person
from mullbed.usecases.show_bed import show_bed
from pages.conftest import DAY
from pages.kept_plan import keep_plan, planned


def pdf_text(content: bytes) -> str:
    return "\n".join(one.extract_text() for one in PdfReader(BytesIO(content)).pages)


def test_without_a_plan_labels_print_and_cards_say_what_they_need(client: TestClient):
    assert "need a plan first" in client.get("/print").text
    refused = client.get("/print/cards.pdf")
    assert refused.status_code == 422 and "no plan yet" in refused.text
    labels = client.get("/print/labels.pdf")
    assert labels.headers["content-type"] == "application/pdf"
    assert len(PdfReader(BytesIO(labels.content)).pages) == 12 and "Gate Bed" in pdf_text(labels.content)


def test_a_label_s_code_holds_the_address_of_its_bed():
    beds = read_garden(bundled_garden()).beds
    book = label_book(beds, "T", UnitSystem.METRIC, "http://192.168.1.7:8437/bed/{bed}")
    labels = book["labels"]
    assert isinstance(labels, list) and len(labels) == len(beds)
    assert labels[0]["address"] == "http://192.168.1.7:8437/bed/Gate%20Bed"
    assert labels[0]["code"] == square_code("http://192.168.1.7:8437/bed/Gate%20Bed")


def test_a_card_shows_the_next_layer_and_its_code_opens_the_bed(client: TestClient, record: Path):
    keep_plan(record, planned("Gate Bed", DAY), planned("Wren Bed", DAY + timedelta(days=9)))
    text = pdf_text(client.get("/print/cards.pdf?bed=Gate%20Bed").content)
    assert "Gate Bed" in text and "2 leaf sacks" in text.replace("\u00a0", " ")
    assert "http://127.0.0.1:8437/bed/Gate%20Bed" in "".join(text.split()) and "Wren" not in text
    assert client.get("/print/cards.pdf?bed=Nowhere").status_code == 404


def test_the_sheet_for_weeks_away_tells_the_layers_due_then_and_the_water(client: TestClient, record: Path):
    keep_plan(record, planned("Gate Bed", DAY), planned("Wren Bed", DAY + timedelta(days=70)))
    usual = client.get("/print/away").text
    assert "9 August to 22 August" in usual and "1 layer" not in usual
    text = html.unescape(client.get("/print/away?from=2027-06-05&to=2027-06-20").text).replace("\u00a0", " ")
    assert "One layer to lay while we are away." in text and "2 leaf sacks" in text and "60 L" in text
    assert "Wren Bed</h2>" not in text
    content = client.get("/print/away.pdf?from=2027-06-05&to=2027-06-20").content
    assert "One layer to lay" in pdf_text(content)
    assert client.get("/print/away?from=2027-06-05&to=2027-06-01").status_code == 422
    assert client.get("/print/away?from=soon").status_code == 422


def test_a_day_with_many_hands_gets_a_card_for_every_job(client: TestClient, record: Path):
    day = DAY + timedelta(days=9)
    keep_plan(record, planned("Gate Bed", day), planned("Wren Bed", day), planned("Plum Bed", day + timedelta(days=1)))
    text = client.get(f"/print/day?day={day}").text
    assert text.count('<article class="paper">') == 2 and "Done by" in text and "Gloves on" in text
    assert len(PdfReader(BytesIO(client.get(f"/print/day.pdf?day={day}").content)).pages) == 2
    nothing = client.get("/print/day?day=2027-12-24")
    assert "Nothing to do" in nothing.text
    assert client.get("/print/day.pdf?day=2027-12-24").status_code == 422


def boxes(text: str) -> list[str]:
    return [html.unescape(one) for one in re.findall(r'type="checkbox" name="lift" value="([^"]+)"', text)]


def test_all_as_planned_copies_the_card_in_one_tap_and_is_undone(client: TestClient, record: Path):
    keep_plan(record, planned("Gate Bed", DAY))
    text = client.get("/bed/Gate%20Bed/card").text
    assert len(boxes(text)) == 2 and "All as planned" in text
    sent = {"all": "yes", "when": "2", "by": "Jun", "sign": "woodland", "although": "the beans stand tall by now"}
    kept = client.post("/bed/Gate%20Bed/card", data=sent)
    assert kept.status_code == 303, kept.text
    layers = [one for one in show_bed(Where(str(record)), "Gate Bed", DAY).bed.layers if one.day.year == 2027]
    assert [one.day for one in layers] == [DAY - timedelta(days=2)] and len(layers[0].lifts) == 2
    after = client.get(kept.headers["location"]).text
    assert "Written down." in after and "Undo" in after
    ids = re.findall(r'name="id" value="([^"]+)"', after)
    assert len(ids) == 2
    assert client.post("/take-back", data={"id": ids, "back": "/"}).status_code == 303
    assert not [one for one in show_bed(Where(str(record)), "Gate Bed", DAY).bed.layers if one.day.year == 2027]


def test_only_what_is_ticked_is_copied_and_another_card_is_refused(client: TestClient, record: Path):
    keep_plan(record, planned("Gate Bed", DAY))
    leaves = next(one for one in boxes(client.get("/bed/Gate%20Bed/card").text) if "leaf" in one)
    assert client.post("/bed/Gate%20Bed/card", data={"lift": leaves}).status_code == 303
    layers = [one for one in show_bed(Where(str(record)), "Gate Bed", DAY).bed.layers if one.day.year == 2027]
    assert [lift.residue for lift in layers[0].lifts] == ["leaf_municipal"]
    assert client.post("/bed/Wren%20Bed/card", data={"lift": "gold: 3 bucket"}).status_code == 422
    assert client.post("/bed/Wren%20Bed/card", data={"when": "0"}).status_code == 422


def test_a_viewer_copies_nothing(open_page: Callable[..., TestClient], record: Path):
    keep_plan(record, planned("Gate Bed", DAY))
    shared = open_page(sign_in=True)
    assert shared.post("/bed/Gate%20Bed/card", data={"all": "yes"}).headers["location"] == "/sign-in"


def test_a_helper_copies_the_card_of_their_own_bed_alone(open_page: Callable[..., TestClient], record: Path):
    keep_plan(record, planned("Gate Bed", DAY))
    where, moment, phrase = Where(str(record)), datetime.now(UTC), "four odd words do well"
    invite_person(where, "a token", Role.HELPER, frozenset({"Garlic Bed"}), ("Ada", moment))
    accept_invitation(where, "a token", Attempt("Bo", phrase, "here"), "b" * 16, moment)
    helper = open_page(sign_in=True)
    assert helper.post("/sign-in", data={"name": "Bo", "phrase": phrase}).status_code == 303
    assert helper.post("/bed/Garlic%20Bed/card", data={"sign": "woodland"}).status_code == 303
    assert helper.post("/bed/Gate%20Bed/card", data={"all": "yes"}).status_code == 404
