"""Notes that waited on a phone arrive exactly once, on the day they were written; what cannot be kept is told."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from mullbed.domain.record import entry_id
from mullbed.domain.signing import Where
from mullbed.usecases.log_line import list_notes

NOW = datetime(2027, 6, 9, 12, 0, tzinfo=UTC)


def note(fields: list[list[str]], hours: float = 0.0, identity: str | None = None) -> dict[str, object]:
    wrote = NOW - timedelta(hours=hours)
    return {
        "id": identity or entry_id(wrote, os.urandom(10)),
        "path": "/did",
        "fields": fields,
        "written_at": wrote.isoformat(),
        "sent_at": NOW.isoformat(),
    }


def water(cans: int = 1, **given: object) -> dict[str, object]:
    return note([["job", "water"], ["bed", "Garlic Bed"], ["amount", f"{cans} cans"]], **given)  # type: ignore[arg-type]


def waters(record: Path) -> list[date]:
    return [one.day for one in list_notes(Where(str(record)), kinds=["water"], newest=100)]


def test_twenty_notes_sent_three_times_are_kept_once(client: TestClient, record: Path):
    notes = [water(number) for number in range(1, 21)]
    assert {one["state"] for one in client.post("/field", json=notes).json()} == {"kept"}
    for _ in range(2):
        assert {one["state"] for one in client.post("/field", json=notes).json()} == {"known"}
    assert len(waters(record)) == 20


def test_a_form_whose_answer_was_lost_is_known_when_it_comes_again(client: TestClient, record: Path):
    one = water()
    fields = dict(one["fields"]) | {"entry": one["id"]}  # type: ignore[call-overload]
    assert client.post("/did", data=fields).status_code == 303
    assert client.post("/did", data=fields).status_code == 303
    assert client.post("/field", json=[one]).json() == [{"id": one["id"], "state": "known"}]
    assert len(waters(record)) == 1


def test_a_note_counts_on_the_day_it_was_written_whatever_the_phone_thinks_the_year_is(
    client: TestClient, record: Path
):
    late = water(hours=72)
    assert client.post("/field", json=[late]).json()[0]["state"] == "kept"
    assert waters(record) == [date(2027, 6, 6)]


def test_several_entries_of_one_note_are_kept_once_too(client: TestClient, record: Path):
    signs = note([["job", "noticed"], ["bed", "Garlic Bed"], ["sign", "sour"], ["sign", "hot"], ["sign", "slimy"]])
    for _ in range(3):
        client.post("/field", json=[signs])
    assert len(list_notes(Where(str(record)), kinds=["seen", "note"], newest=100)) == 3


@pytest.mark.parametrize(
    "broken",
    [
        {"id": "nothing"},
        "a text",
        None,
        note([["job", "dance"]]),
        note([["job", "water"], ["bed", "Nowhere"], ["amount", "1 can"]]),
        note([["job", "water"], ["bed", "Garlic Bed"], ["amount", "a sea"]]),
        note([["job", "note"], ["text", "a" * 5000]]),
        {**water(), "fields": "none"},
        {**water(), "fields": [["job"], 7]},
    ],
)
def test_what_cannot_be_kept_is_refused_with_a_reason_and_holds_nothing_up(client: TestClient, broken: object):
    states = client.post("/field", json=[broken, water()]).json()
    assert states[0]["state"] == "refused" and states[0]["why"]
    assert states[1]["state"] == "kept"


@pytest.mark.parametrize("body", [b"", b"{}", b"[" * 5000, b'"x"', b"\xff"])
def test_what_is_no_list_of_notes_is_refused_whole(client: TestClient, body: bytes):
    assert client.post("/field", content=body).status_code == 422


def test_each_page_tells_whose_it_is_and_readers_differ(open_page: Callable[..., TestClient], record: Path):
    other = shutil.copy(record, record.with_name("other.sqlite"))
    ada, ben = open_page(), open_page(author="Ben", where=Where(str(other)))
    marks = [one.get("/did").headers["x-reader"] for one in (ada, ben, ada)]
    assert marks[0] == marks[2] != marks[1]
    assert f'data-reader="{marks[0]}"' in ada.get("/did").text
