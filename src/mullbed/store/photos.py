"""Photos by the hash of their content: files beside a SQLite record, rows of a PostgreSQL one.

The picture is on the disk before the row that tells of it, so that no row is ever without its picture.
"""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import mkstemp

from sqlalchemy import insert, select

from mullbed.domain.record_papers import PhotoTaken, digest_of
from mullbed.errors import Fault, InputFault, NotFound, RecordDamaged
from mullbed.store.database import Record, Transaction
from mullbed.store.faults import told_as_ours
from mullbed.store.tables import photos as table

LARGEST = 25_000_000
"""Largest picture that is kept. [byte]"""
_STARTS = (
    (b"\xff\xd8\xff", "image/jpeg", ".jpg"),
    (b"\x89PNG\r\n\x1a\n", "image/png", ".png"),
    (b"GIF8", "image/gif", ".gif"),
)
_ENDINGS = {media: ending for _, media, ending in _STARTS} | {"image/webp": ".webp", "image/heic": ".heic"}


def media_type(content: bytes) -> str:
    """Return the media type of a picture, by its first bytes.

    Raises
    ------
    InputFault
        When it is no picture we know, or too large.
    """
    if len(content) > LARGEST:
        told = f"{len(content) / 1e6:.0f} MB"
        raise InputFault([Fault("photo", told, f"up to {LARGEST / 1e6:.0f} MB", "Make it smaller.")])
    for start, media, _ in _STARTS:
        if content.startswith(start):
            return media
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "image/webp"
    if content[4:8] == b"ftyp" and content[8:12] in (b"heic", b"heix", b"mif1"):
        return "image/heic"
    raise InputFault([Fault("photo", "no picture", "JPEG, PNG, GIF, WebP or HEIC", "Choose a picture.")])


def photo_file(folder: Path, digest: str, media: str) -> Path:
    """Return where the picture of a digest lies."""
    return folder / digest[:2] / f"{digest}{_ENDINGS[media]}"


def keep_photo(
    record: Record, transaction: Transaction, content: bytes, words: str = "", place: str = ""
) -> PhotoTaken:
    """Keep a picture and return the facts of the entry that tells of it; the same picture is kept once.

    Raises
    ------
    InputFault
        When it is no picture.
    RecordError
        When it cannot be written.
    """
    media, digest = media_type(content), digest_of(content)
    folder = record.photo_folder
    if folder is not None:
        write_photo(photo_file(folder, digest, media), content)
    if transaction.execute(select(table.c.digest).where(table.c.digest == digest)).first() is None:
        kept = content if folder is None else None
        row = {"digest": digest, "media_type": media, "size": len(content), "content": kept}
        transaction.execute(insert(table), [row])
    return PhotoTaken(digest, media, len(content), words, place)


def write_photo(path: Path, content: bytes) -> None:
    """Write a picture whole or not at all; what lies there already and is sound is left.

    Raises
    ------
    RecordError
        When it cannot be written.
    """
    with told_as_ours(str(path)):
        if path.exists() and digest_of(path.read_bytes()) == path.stem:
            return
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = mkstemp(prefix=".photo-", dir=path.parent)
        fresh = Path(name)
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(content)
                stream.flush()
                os.fsync(stream.fileno())
            fresh.replace(path)
            keep_names(path.parent)
        finally:
            fresh.unlink(missing_ok=True)


def keep_names(folder: Path) -> None:
    """Wait until the names in a folder are on the disk."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def photo(record: Record, transaction: Transaction, digest: str) -> bytes:
    """Return a picture.

    Raises
    ------
    NotFound
        When none of this digest is kept.
    RecordDamaged
        When the picture is gone or was changed.
    """
    row = transaction.execute(select(table.c.media_type, table.c.content).where(table.c.digest == digest)).first()
    if row is None:
        raise NotFound("photo", digest, ())
    folder = record.photo_folder
    if row.content is not None or folder is None:
        content = bytes(row.content or b"")
    else:
        path = photo_file(folder, digest, row.media_type)
        content = path.read_bytes() if path.exists() else b""
    if digest_of(content) != digest:
        raise RecordDamaged(record.place, f"the photo {digest} is gone or was changed")
    return content
