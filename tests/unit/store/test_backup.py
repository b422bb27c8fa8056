"""A backup holds the whole record, is checked to the last byte when it comes back, and moves between databases."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import timedelta
from pathlib import Path
from zipfile import ZipFile

import pytest

from mullbed.domain.record import withdrawal
from mullbed.domain.record_backup import BackupTold
from mullbed.domain.record_papers import digest_of
from mullbed.domain.record_standing import standing
from mullbed.errors import InputFault, RecordDamaged, RecordError, RecordNewer
from mullbed.store import journal
from mullbed.store.backup import back_up
from mullbed.store.database import bring_to, open_record
from mullbed.store.photos import keep_photo, photo
from mullbed.store.restore import restore
from postgres_cluster import Cluster
from record_entries import GARDEN, START, an_entry, id_of

PICTURES = [b"\x89PNG\r\n\x1a\n" + os.urandom(2000), b"\xff\xd8\xff" + os.urandom(3000)]
SENT = [
    *(an_entry(number) for number in range(30)),
    *(an_entry(number, garden="elsewhere") for number in range(50, 60)),
]
SENT.append(withdrawal(SENT[4], id=id_of(99), written_at=START + timedelta(days=1), author="Bo"))
Change = Callable[[dict[str, object], dict[str, bytes]], None]
MADE = START + timedelta(days=3)


def fill(url: str) -> None:
    with open_record(url) as record, record.writing() as transaction:
        journal.append(transaction, SENT)
        for picture in PICTURES:
            keep_photo(record, transaction, picture)


def holds_all(url: str) -> None:
    with open_record(url) as record, record.reading() as transaction:
        assert tuple(journal.every_entry(transaction)) == tuple(SENT)
        assert journal.entries(transaction, GARDEN) == standing(one for one in SENT if one.garden == GARDEN)
        assert journal.gardens(transaction) == ("elsewhere", GARDEN)
        for picture in PICTURES:
            assert photo(record, transaction, digest_of(picture)) == picture


@pytest.fixture
def backup(record_url: str, tmp_path: Path) -> Path:
    return backed_up(record_url, tmp_path)


@pytest.fixture
def sqlite_backup(tmp_path: Path) -> Path:
    return backed_up(f"sqlite:///{tmp_path / 'record.sqlite'}", tmp_path)


def backed_up(url: str, tmp_path: Path) -> Path:
    fill(url)
    target = tmp_path / "kept" / "record.zip"
    with open_record(url) as record:
        assert back_up(record, target, MADE) == BackupTold("2026-03-04T08:00:00.000000Z", "0005", len(SENT), 2)
    assert [path.name for path in target.parent.iterdir()] == [target.name]
    return target


@pytest.mark.parametrize("to", ["sqlite", "postgresql"])
def test_a_backup_comes_back_whole_in_either_database(
    backup: Path, to: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    url = str(tmp_path / "new" / "other.sqlite")
    if to == "postgresql":
        cluster: Cluster = request.getfixturevalue("postgres")
        url = cluster.new_database()
    with open_record(url) as record:
        assert restore(backup, record).entries == len(SENT)
    holds_all(url)
    with open_record(url) as record:
        with record.writing() as transaction:  # numbers go on
            journal.append(transaction, [an_entry(200)])
        with pytest.raises(InputFault, match=f"holds {len(SENT) + 1} entries"):
            restore(backup, record)
        assert restore(backup, record, replace=True).photos == 2
    holds_all(url)
    with open_record(url) as record, record.writing() as transaction:
        assert journal.append(transaction, [an_entry(200), SENT[0]]).new == (id_of(200),)


def test_a_file_that_is_there_is_not_written_over_unasked(sqlite_backup: Path, tmp_path: Path) -> None:
    before = sqlite_backup.read_bytes()
    with open_record(str(tmp_path / "record.sqlite")) as record:
        with pytest.raises(InputFault, match="there already"):
            back_up(record, sqlite_backup, MADE)
        assert sqlite_backup.read_bytes() == before
        back_up(record, sqlite_backup, MADE, replace=True)


def reopened(tmp_path: Path, source: Path) -> None:
    """Restore and see that a record that was there is untouched by a backup that is refused."""
    url = str(tmp_path / "untouched.sqlite")
    with open_record(url) as record:
        with record.writing() as transaction:
            journal.append(transaction, [an_entry(1, author="Cy")])
        try:
            restore(source, record, replace=True)
        finally:
            with record.reading() as transaction:
                assert tuple(journal.every_entry(transaction)) == (an_entry(1, author="Cy"),)
            assert [path.name for path in tmp_path.glob(".restore-*")] == []


def test_one_flipped_bit_anywhere_is_found(backup: Path, tmp_path: Path) -> None:
    whole = backup.read_bytes()
    harmed = tmp_path / "harmed.zip"
    for place in range(0, len(whole), max(1, len(whole) // 16)):
        harmed.write_bytes(whole[:place] + bytes([whole[place] ^ 0x10]) + whole[place + 1 :])
        url = str(tmp_path / f"flipped-{place}.sqlite")
        with open_record(url) as record:
            try:
                told = restore(harmed, record)
            except (RecordError, InputFault):
                continue
        assert told.entries == len(SENT)  # the bit lay in what ZIP itself does not use
        holds_all(url)


@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 0.99])
def test_a_backup_cut_short_is_refused(sqlite_backup: Path, tmp_path: Path, share: float) -> None:
    short = tmp_path / "short.zip"
    short.write_bytes(sqlite_backup.read_bytes()[: int(share * sqlite_backup.stat().st_size)])
    with pytest.raises(RecordDamaged):
        reopened(tmp_path, short)


def changed(backup: Path, target: Path, change: Change) -> Path:
    """Write a backup anew with its list or its parts changed."""
    with ZipFile(backup) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    listed = json.loads(parts.pop("contents.json"))
    change(listed, parts)
    with ZipFile(target, "w") as archive:
        archive.writestr("contents.json", json.dumps(listed))
        for name, content in parts.items():
            archive.writestr(name, content)
    return target


@pytest.mark.parametrize(
    ("change", "error"),
    [
        (lambda listed, parts: listed.update(form="else"), InputFault),
        (lambda listed, parts: listed.update(form_version=3), RecordNewer),
        (lambda listed, parts: listed.update(entries=7), RecordDamaged),
        (lambda listed, parts: parts.popitem(), RecordDamaged),
        (lambda listed, parts: parts.update({"../evil": b"x"}), RecordDamaged),
        (lambda listed, parts: parts.update({"photos/x.png": b"x"}), RecordDamaged),
        (lambda listed, parts: parts.update({sorted(parts)[0]: b"x"}), RecordDamaged),
    ],
)
def test_a_backup_that_was_tampered_with_is_refused(
    sqlite_backup: Path,
    tmp_path: Path,
    change: Callable[[dict[str, object], dict[str, bytes]], None],
    error: type[Exception],
) -> None:
    with pytest.raises(error):
        reopened(tmp_path, changed(sqlite_backup, tmp_path / "tampered.zip", change))


def test_other_files_are_no_backups(tmp_path: Path) -> None:
    with pytest.raises(InputFault, match="no file"):
        reopened(tmp_path, tmp_path / "absent.zip")
    other = tmp_path / "other.zip"
    with ZipFile(other, "w") as archive:
        archive.writestr("hello.txt", "hello")
    with pytest.raises(InputFault, match="list of contents"):
        reopened(tmp_path, other)


def test_a_backup_of_an_earlier_schema_is_brought_up_to_date(tmp_path: Path) -> None:
    old, target = tmp_path / "old.sqlite", tmp_path / "old.zip"
    fill(str(old))
    with open_record(str(old)) as record:
        back_up(record, target, MADE)
        bring_to(record, "0001")
    harmless = tmp_path / "copy.sqlite"
    with closing(sqlite3.connect(old)) as source, closing(sqlite3.connect(harmless)) as copy:
        source.backup(copy)

    def older(listed: dict[str, object], parts: dict[str, bytes]) -> None:
        content = harmless.read_bytes()
        parts["record.sqlite"] = content
        contents = listed["contents"]
        assert isinstance(contents, dict)
        contents["record.sqlite"] = {"size": len(content), "sha256": digest_of(content)}
        listed["schema"] = "0001"

    source = changed(target, tmp_path / "older.zip", older)
    with open_record(str(tmp_path / "new.sqlite")) as record:
        assert restore(source, record).entries == len(SENT)
        with record.reading() as transaction:
            assert tuple(journal.every_entry(transaction)) == tuple(SENT)


def test_a_photo_that_is_gone_does_not_stop_a_backup_but_is_told(tmp_path: Path) -> None:
    url = str(tmp_path / "record.sqlite")
    fill(url)
    (tmp_path / "record-photos").rename(tmp_path / "elsewhere")
    with open_record(url) as record:
        told = back_up(record, tmp_path / "record.zip", MADE)
    assert (told.photos, set(told.missing_photos)) == (0, {digest_of(picture) for picture in PICTURES})


def test_a_damaged_record_is_not_backed_up_as_if_it_were_sound(tmp_path: Path) -> None:
    path = tmp_path / "record.sqlite"
    with open_record(str(path)) as record, record.writing() as transaction:
        journal.append(transaction, [an_entry(number) for number in range(2000)])
    content = bytearray(path.read_bytes())
    for place in range(40_000, len(content) - 4096, 4096):
        content[place : place + 64] = bytes(64)
    path.write_bytes(content)
    with pytest.raises(RecordDamaged), open_record(str(path)) as record:
        back_up(record, tmp_path / "record.zip", MADE)
    assert not (tmp_path / "record.zip").exists()


def test_a_reader_who_has_the_record_open_sees_what_was_restored(sqlite_backup: Path, tmp_path: Path) -> None:
    url = str(tmp_path / "open.sqlite")
    with open_record(url) as other:
        with other.writing() as transaction:
            journal.append(transaction, [an_entry(number, author="Cy") for number in range(700)])
        with other.reading() as transaction:
            assert journal.count(transaction) == 700
        with open_record(url) as record:
            restore(sqlite_backup, record, replace=True)
        with other.reading() as transaction:
            assert tuple(journal.every_entry(transaction)) == tuple(SENT)
        with other.writing() as transaction:
            journal.append(transaction, [an_entry(300)])
