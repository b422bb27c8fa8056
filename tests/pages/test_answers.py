"""The answers for programs: the documents of the command line, the roles of the pages, one shape for every problem."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from mullbed.domain.people import Role
from mullbed.domain.record import entry_id
from mullbed.domain.signing import Where
from mullbed.usecases import invite_person as admit_people
from mullbed.usecases.invite_person import Attempt
from mullbed.web.problems import MEDIA_TYPE

Opening = Callable[..., TestClient]
PHRASE = "wet barrow odd lantern"


def new_id() -> str:
    return entry_id(datetime.now(UTC), os.urandom(10))


def note(bed: str = "Garlic Bed", identity: str | None = None, **fields: str) -> dict[str, object]:
    """Return a note as a program sends it."""
    told = {"job": "water", "bed": bed, "amount": "20 l"} | fields
    return {"id": identity or new_id(), "fields": [list(pair) for pair in told.items()]}


@pytest.fixture
def shared(open_page: Opening, record: Path) -> TestClient:
    where, moment = Where(str(record)), datetime.now(UTC)
    for name, role, beds in (
        ("Ada", Role.LEAD, None),
        ("Bo", Role.HELPER, frozenset({"Garlic Bed"})),
        ("Cy", Role.VIEWER, None),
    ):
        admit_people.invite_person(where, name, role, beds, ("Ada", moment))
        admit_people.accept_invitation(where, name, Attempt(name, PHRASE, "test"), name.lower(), moment)
    return open_page(sign_in=True)


def enter(client: TestClient, name: str) -> None:
    assert client.post("/sign-in", data={"name": name, "phrase": PHRASE}).status_code == 303


def test_every_answer_is_the_document_of_its_command(client: TestClient, record: Path):
    from mullbed.reports.diagnosis_card import signs_document
    from mullbed.reports.in_hand_words import in_hand_document, preview_document
    from mullbed.reports.round_list import round_document
    from mullbed.reports.terminal_bed import bed_document
    from mullbed.usecases.list_in_hand import list_in_hand
    from mullbed.usecases.list_signs import list_signs
    from mullbed.usecases.preview_layer import preview_layer
    from mullbed.usecases.show_bed import show_bed
    from mullbed.usecases.walk_round import walk_round

    from .conftest import DAY

    where = Where(str(record))
    walked = walk_round(where, DAY)
    assert client.get("/api/round").json() == dict(round_document(walked.walk, walked.units))
    assert client.get("/api/in-hand").json() == in_hand_document(list_in_hand(where, DAY))
    assert client.get("/api/signs").json() == signs_document(list_signs())
    assert client.get("/api/beds/Garlic%20Bed").json() == dict(bed_document(show_bed(where, "Garlic Bed", DAY)))
    heap = list_in_hand(where, DAY).heaps[0].name
    told = preview_document(preview_layer(where, "Garlic Bed", DAY, {heap: 2.0}, cans=1.0))
    asked = {"take": f"{heap}=2", "cans": "1"}
    assert client.get("/api/beds/Garlic%20Bed/preview", params=asked).json() == told


def test_the_list_of_beds_the_season_the_cautions_and_a_diagnosis_are_told(client: TestClient):
    beds = client.get("/api/beds").json()["beds"]
    assert len(beds) == 12 and all(one["area_m2"] > 0 for one in beds)
    assert client.get("/api/season").json()["answer"] == "No plan yet."
    rules = client.get("/api/cautions", params={"site": "home"}).json()["rules"]
    assert rules and all(one["source"] and one["checked"] for one in rules)
    found = client.get("/api/beds/Gate%20Bed/diagnosis", params={"sign": "sharp"}).json()
    assert found["bed"] == "Gate Bed" and found["signs"] == ["sharp"]
    shares = [one["share"] for one in found["causes"]]
    assert shares == sorted(shares, reverse=True) and 0.5 < sum(shares) <= 1.0


def test_a_note_sent_twice_is_kept_once_read_again_and_taken_back_once(client: TestClient):
    sent = note()
    identity = str(sent["id"])
    assert client.post("/api/entries", json=[sent, sent]).json() == [
        {"id": identity, "state": "kept", "why": None},
        {"id": identity, "state": "known", "why": None},
    ]
    kept = client.get(f"/api/entries/{identity}").json()
    assert kept["bed"] == "Garlic Bed" and kept["author"] == "Ada" and "20" in kept["words"]
    first = client.post("/api/entries/take-back", json={"ids": [identity]})
    assert first.status_code == 200 and len(first.json()["ids"]) == 1
    assert client.post("/api/entries/take-back", json={"ids": [identity]}).json() == {"ids": []}


def test_a_note_at_fault_is_refused_with_a_reason_and_the_others_are_kept(client: TestClient):
    bad, good = note(amount="a lot"), note()
    told = client.post("/api/entries", json=[bad, good, {"id": "x", "fields": []}]).json()
    assert [one["state"] for one in told] == ["refused", "kept", "refused"]
    assert "a lot" in told[0]["why"]
    half = note(job="note", text="\ud800")
    told = client.post("/api/entries", content=json.dumps([half]), headers={"content-type": "application/json"}).json()
    assert told[0]["state"] == "refused" and "half" in told[0]["why"]


@pytest.mark.parametrize(
    ("method", "path", "sent", "status"),
    [
        ("GET", "/api/beds/Nowhere", None, 404),
        ("GET", "/api/nothing", None, 404),
        ("DELETE", "/api/round", None, 405),
        ("GET", "/api/beds/Gate%20Bed/diagnosis", None, 422),
        ("GET", "/api/beds/Gate%20Bed/preview?take=gold=2", None, 422),
        ("GET", "/api/cautions?site=moon", None, 422),
        ("POST", "/api/entries", b"{", 422),
        ("POST", "/api/entries", b'{"id": 3}', 422),
        ("POST", "/api/entries", b"[" * 200_000, 400),
        ("POST", "/api/entries/take-back", b'{"ids": []}', 404),
        ("POST", "/api/entries", b"[" + b" " * 300_000 + b"]", 413),
    ],
)
def test_every_problem_has_one_shape(client: TestClient, method: str, path: str, sent: bytes | None, status: int):
    answer = client.request(method, path, content=sent, headers={"content-type": "application/json"} if sent else {})
    assert answer.status_code in {status, 422 if status == 400 else status}
    assert answer.headers["content-type"] == MEDIA_TYPE
    told = answer.json()
    assert set(told) == {"type", "title", "status", "detail", "faults"} and told["status"] == answer.status_code
    assert "Traceback" not in answer.text


def test_a_stranger_gets_neither_answers_nor_their_description(shared: TestClient):
    for path in ("/api/openapi.json", "/api/round", "/api/entries/x", "/api/beds/Garlic%20Bed"):
        answer = shared.get(path)
        assert answer.status_code == 401 and answer.json()["title"] == "Sign in first."
    enter(shared, "Cy")
    described = shared.get("/api/openapi.json").json()
    assert set(described["paths"]) >= {"/api/round", "/api/entries", "/api/beds/{bed}/diagnosis"}
    assert not [path for path in described["paths"] if not path.startswith(("/api/", "/health"))]


def test_an_unshared_page_at_this_machine_tells_its_description_without_signing_in(client: TestClient):
    assert client.get("/api/openapi.json").json()["openapi"].startswith("3.")


def test_a_helper_reads_and_writes_only_what_is_theirs(shared: TestClient, open_page: Opening):
    enter(shared, "Ada")
    others = note("Gate Bed")
    assert shared.post("/api/entries", json=[others]).json()[0]["state"] == "kept"
    shared.cookies.clear()
    enter(shared, "Bo")
    assert [one["bed"] for one in shared.get("/api/beds").json()["beds"]] == ["Garlic Bed"]
    walk = shared.get("/api/round").json()
    assert {one["bed"] for one in walk["beds"]} == {"Garlic Bed"}
    for path in ("", "/preview", "/diagnosis", "/diagnosis?sign=sharp"):
        assert shared.get(f"/api/beds/Gate%20Bed{path}").status_code == 404
    assert shared.get(f"/api/entries/{others['id']}").status_code == 404
    assert shared.post("/api/entries/take-back", json={"ids": [others["id"]]}).status_code == 403
    told = shared.post("/api/entries", json=[note("Gate Bed"), note("gate bed"), note(" Gate Bed "), note()]).json()
    assert [one["state"] for one in told] == ["refused", "refused", "refused", "kept"]


def test_a_helper_cannot_take_back_garden_plan_or_what_others_wrote_of_no_bed(shared: TestClient, record: Path):
    from mullbed.store.database import open_record
    from mullbed.store.journal import every_entry, gardens

    with open_record(str(record)) as kept, kept.reading() as transaction:
        (garden,) = gardens(transaction)
        ids = [one.id for one in every_entry(transaction, garden) if one.bed is None]
    assert ids
    enter(shared, "Bo")
    for one in ids[:5]:
        assert shared.post("/api/entries/take-back", json={"ids": [one]}).status_code == 403
        assert shared.post("/take-back", data={"id": one}).status_code == 403
        assert shared.get(f"/api/entries/{one}").status_code == 404


def test_a_viewer_writes_nothing(shared: TestClient):
    enter(shared, "Cy")
    assert shared.post("/api/entries", json=[note()]).status_code == 403
    assert shared.get("/api/round").status_code == 200


def test_a_change_from_another_page_is_refused_as_a_problem(client: TestClient):
    answer = client.post("/api/entries", json=[note()], headers={"origin": "https://evil.test"})
    assert answer.status_code == 403 and answer.headers["content-type"] == MEDIA_TYPE
