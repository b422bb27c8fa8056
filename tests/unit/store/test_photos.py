"""Pictures are kept once, by their content, and are whole when they are read."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from mullbed.domain.record_papers import PhotoTaken, digest_of
from mullbed.errors import InputFault, NotFound, RecordDamaged
from mullbed.store.database import Record, open_record
from mullbed.store.photos import LARGEST, keep_photo, media_type, photo, write_photo

PNG = b"\x89PNG\r\n\x1a\n" + os.urandom(3000)


@pytest.fixture
def record(record_url: str) -> Iterator[Record]:
    with open_record(record_url) as opened:
        yield opened


def test_a_picture_is_read_as_it_was_kept_and_kept_once(record: Record) -> None:
    for _ in range(2):
        with record.writing() as transaction:
            facts = keep_photo(record, transaction, PNG, words="the corner", place="gate")
        assert facts == PhotoTaken(digest_of(PNG), "image/png", len(PNG), "the corner", "gate")
    with record.reading() as transaction:
        assert photo(record, transaction, facts.digest) == PNG
    if record.photo_folder is not None:
        assert [path.name for path in record.photo_folder.rglob("*.*")] == [f"{facts.digest}.png"]


def test_a_picture_of_a_use_case_that_failed_is_unknown(record: Record) -> None:
    with pytest.raises(RuntimeError), record.writing() as transaction:
        keep_photo(record, transaction, PNG)
        raise RuntimeError
    with record.reading() as transaction, pytest.raises(NotFound):
        photo(record, transaction, digest_of(PNG))


@pytest.mark.parametrize("harm", ["gone", "changed"])
def test_a_picture_that_is_gone_or_changed_is_told(tmp_path: Path, harm: str) -> None:
    with open_record(str(tmp_path / "record.sqlite")) as record:
        with record.writing() as transaction:
            keep_photo(record, transaction, PNG)
        (path,) = (one for one in (tmp_path / "record-photos").rglob("*") if one.is_file())
        path.unlink() if harm == "gone" else path.write_bytes(PNG[:-1])
        with record.reading() as transaction, pytest.raises(RecordDamaged, match="photo"):
            photo(record, transaction, digest_of(PNG))
        with record.writing() as transaction:  # keeping it again mends it
            keep_photo(record, transaction, PNG)
        with record.reading() as transaction:
            assert photo(record, transaction, digest_of(PNG)) == PNG


@pytest.mark.parametrize(
    ("start", "media"),
    [
        (b"\xff\xd8\xff\xe0", "image/jpeg"), (b"\x89PNG\r\n\x1a\n", "image/png"), (b"GIF89a", "image/gif"),
        (b"RIFF\x00\x00\x00\x00WEBPVP8 ", "image/webp"), (b"\x00\x00\x00\x18ftypheic", "image/heic"),
    ],
)  # fmt: skip
def test_pictures_are_told_by_their_first_bytes(start: bytes, media: str) -> None:
    assert media_type(start + bytes(20)) == media


@pytest.mark.parametrize("content", [b"", b"<svg>", b"%PDF-1.7", b"\xff\xd8\xff" + bytes(LARGEST)])
def test_what_is_no_picture_or_too_large_is_refused(content: bytes) -> None:
    with pytest.raises(InputFault):
        media_type(content)


def test_a_picture_that_cannot_be_written_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", broken)
    with pytest.raises(Exception, match="no room left"):
        write_photo(tmp_path / "ab" / ("0" * 64 + ".png"), PNG)
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []
