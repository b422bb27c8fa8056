"""Backup and restore from the command line: what is written comes back elsewhere, and nothing is given up unasked."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from mullbed.store import journal
from mullbed.store.database import open_record
from record_entries import an_entry


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    path = tmp_path / "garden.sqlite"
    with open_record(str(path)) as record, record.writing() as transaction:
        journal.append(transaction, [an_entry(number) for number in range(12)])
    return path


def entries_of(path: Path) -> tuple[object, ...]:
    with open_record(str(path)) as record, record.reading() as transaction:
        return tuple(journal.every_entry(transaction))


def test_a_backup_comes_back_elsewhere_word_for_word(
    kept: Path, tmp_path: Path, mullbed: Callable[..., object]
) -> None:
    file, other = tmp_path / "safe.zip", tmp_path / "other" / "garden.sqlite"
    written = mullbed("backup", str(file), "--record", str(kept))
    assert written.code == 0, written.err
    assert "twelve entries" in written.out
    back = mullbed("restore", str(file), "--record", str(other), "--json")
    assert back.code == 0, back.err
    told = json.loads(back.out)
    assert (told["entries"], told["before_entries"], told["before_file"]) == (12, None, None)
    assert entries_of(other) == entries_of(kept)


def test_what_is_there_is_given_up_only_when_asked_and_is_kept(
    kept: Path, tmp_path: Path, mullbed: Callable[..., object]
) -> None:
    file = tmp_path / "safe.zip"
    assert mullbed("backup", str(file), "--record", str(kept)).code == 0
    again = mullbed("backup", str(file), "--record", str(kept))
    assert (again.code, again.out) == (2, "")
    with open_record(str(kept)) as record, record.writing() as transaction:
        journal.append(transaction, [an_entry(99)])
    before = entries_of(kept)
    refused = mullbed("restore", str(file), "--record", str(kept))
    assert refused.code == 2
    assert "13 entries" in refused.err
    assert entries_of(kept) == before
    done = mullbed("restore", str(file), "--record", str(kept), "--replace")
    assert done.code == 0, done.err
    assert len(entries_of(kept)) == 12
    (safe,) = tmp_path.glob("safe-before-*.zip")
    assert f"  {safe}\n" in done.out
    assert mullbed("restore", str(safe), "--record", str(tmp_path / "third.sqlite")).code == 0
    assert entries_of(tmp_path / "third.sqlite") == before


def test_a_file_that_is_no_backup_is_refused_in_a_sentence(kept: Path, mullbed: Callable[..., object]) -> None:
    ended = mullbed("restore", str(kept), "--record", str(kept.with_name("new.sqlite")))
    assert (ended.code, ended.out) == (2, "")
    assert "Traceback" not in ended.err


def test_without_a_name_the_file_is_named_for_today(
    kept: Path, tmp_path: Path, mullbed: Callable[..., object], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("MULLBED_RECORD", str(kept))
    told = json.loads(mullbed("backup", "--json").out)
    assert told["file"].startswith("mullbed-record-20")
    assert (tmp_path / told["file"]).exists()
    assert set(told) == {"file", "made_at", "schema", "entries", "photos", "missing_photos"}
