"""An archive made to fill the disk or the memory is refused before it is unpacked."""

from __future__ import annotations

import json
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

import pytest

from mullbed.errors import RecordDamaged, RecordFull
from mullbed.store import backup as backups
from mullbed.store import restore as restores
from mullbed.store.backup import COPY, FORM, FORM_VERSION, LIST, back_up
from mullbed.store.database import open_record
from mullbed.store.restore import restore
from record_entries import START


def test_more_than_half_of_the_free_disk_is_not_unpacked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with open_record(str(tmp_path / "record.sqlite")) as record:
        back_up(record, tmp_path / "kept.zip", START)

    class Little:
        free = 1000

    monkeypatch.setattr(restores, "disk_usage", lambda _: Little)
    with open_record(str(tmp_path / "new.sqlite")) as record, pytest.raises(RecordFull):
        restore(tmp_path / "kept.zip", record)
    assert not list(tmp_path.glob(".restore-*"))


def test_a_list_without_end_is_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(backups, "LONGEST_LIST", 10_000)
    bomb = tmp_path / "bomb.zip"
    with ZipFile(bomb, "w", ZIP_DEFLATED) as made:
        made.writestr(LIST, json.dumps({"form": FORM, "form_version": FORM_VERSION, "pad": "0" * 50_000}))
    with open_record(str(tmp_path / "new.sqlite")) as record, pytest.raises(RecordDamaged, match="longer"):
        restore(bomb, record)


def test_a_part_that_is_longer_than_it_says_is_cut_off(tmp_path: Path) -> None:
    bomb = tmp_path / "bomb.zip"
    with ZipFile(bomb, "w", ZIP_DEFLATED) as made:
        contents = {COPY: {"size": 100, "sha256": "0" * 64}}
        made.writestr(LIST, json.dumps({"form": FORM, "form_version": FORM_VERSION, "contents": contents}))
        made.writestr(COPY, b"\0" * 20_000_000)
    assert bomb.stat().st_size < 100_000
    with open_record(str(tmp_path / "new.sqlite")) as record, pytest.raises(RecordDamaged, match="was changed"):
        restore(bomb, record)
