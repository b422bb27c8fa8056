"""`honest`, `learnt` and `forecast --learn` at the command line: sentences, documents, files, faults."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from test_documents import faults_of

from mullbed.files.bundled_garden import bundled_garden

GARDEN = str(bundled_garden())


@pytest.fixture
def record(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mullbed: Callable[..., object]) -> Path:
    """Return a record of the bundled garden with a forecast kept, two notes and a weighing."""
    place = tmp_path / "record.sqlite"
    monkeypatch.setenv("MULLBED_RECORD", str(place))
    for words in (
        ("garden", "new", GARDEN),
        ("log", "seen", "Plum Bed", "soil temperature 9"),
        ("log", "seen", "Plum Bed", "squeeze crackles"),
        ("log", "weighed", "dry leaves: bucket 1.3 kg"),
    ):
        ended = mullbed(*words)
        assert ended.code == 0, ended.err
    return place


def test_what_was_learnt_is_told_in_sentences_and_as_the_page_says(
    record: Path, repository: Path, mullbed: Callable[..., object]
) -> None:
    ended = mullbed("learnt", GARDEN, "--particles", "64")
    assert ended.code == 0, ended.err
    assert "Plum Bed" in ended.out
    assert "1 of 3 times" in ended.out
    document = json.loads(mullbed("learnt", GARDEN, "--particles", "64", "--json").out)
    unknown, missing = faults_of(document, repository, "learnt")
    assert unknown == {"beds.*.entries[].expected"}, "null where a word was seen"
    assert missing == {"beds.*.doubt.*"}, "told where a forecast was made"
    assert document["containers"][0]["weighings"] == 1


def test_how_honest_forecasts_were_is_told_before_and_after_there_is_something_to_tell(
    record: Path, mullbed: Callable[..., object], tmp_path: Path
) -> None:
    ended = mullbed("honest")
    assert ended.code == 0, ended.err
    assert "--keep" in ended.out
    kept = mullbed("forecast", GARDEN, "--bed", "Plum Bed", "--members", "16", "--keep")
    assert kept.code == 0, kept.err
    out = tmp_path / "page"
    again = mullbed("honest", "--out", str(out))
    assert "Nothing that was forecast has been read since" in " ".join(again.out.split())
    assert {one.name for one in out.iterdir()} == {"honest.html", "honest.json"}
    assert json.loads((out / "honest.json").read_text("utf-8"))["forecasts"] == 1


def test_a_forecast_that_learns_says_so_in_its_document(record: Path, mullbed: Callable[..., object]) -> None:
    ended = mullbed("forecast", GARDEN, "--bed", "Plum Bed", "--members", "16", "--learn", "--json")
    assert ended.code == 0, ended.err
    assert json.loads(ended.out)["learnt"]["Plum Bed"][0].startswith("Your two notes")


def test_a_record_without_a_garden_is_told_how_to_begin(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mullbed: Callable[..., object]
) -> None:
    monkeypatch.setenv("MULLBED_RECORD", str(tmp_path / "empty.sqlite"))
    ended = mullbed("honest")
    assert ended.code == 2
    assert "mullbed garden new" in ended.err
