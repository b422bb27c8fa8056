"""What the record keeps of papers and events: documents with versions, garden files, photos, incidents, overrides."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass


def digest_of(content: bytes) -> str:
    """Return the SHA-256 of a content, 64 small hexadecimal digits."""
    return hashlib.sha256(content).hexdigest()


@dataclass(frozen=True, slots=True)
class Document:
    """One version of a document: a plan, a forecast, what was learnt, a trial, what is carried over."""

    name: str
    """What it is called; versions of one document share it."""
    version: int
    """From 1."""
    content: str
    """JSON text, kept as it was given."""
    words: str = ""
    """Why this version was made."""

    def __post_init__(self) -> None:
        if self.version < 1:
            raise ValueError("versions are counted from 1")
        try:
            json.loads(self.content)
        except ValueError as error:
            raise ValueError(f"a document holds JSON: {error}") from error


@dataclass(frozen=True, slots=True)
class GardenFileKept:
    """A garden file as it was on the entry's day."""

    name: str
    text: str

    @property
    def digest(self) -> str:
        """SHA-256 of its text."""
        return digest_of(self.text.encode())


@dataclass(frozen=True, slots=True)
class PhotoTaken:
    """A photo; the picture itself lies beside the database under its digest."""

    digest: str
    media_type: str
    size: int
    """[byte]"""
    words: str = ""
    place: str = ""
    """Where it was taken from, so that the next one can be taken from there too."""

    def __post_init__(self) -> None:
        if len(self.digest) != 64 or set(self.digest) - set("0123456789abcdef"):
            raise ValueError("a photo's digest is 64 small hexadecimal digits")


@dataclass(frozen=True, slots=True)
class Incident:
    """Something that went wrong: injury, vermin, fire, illness."""

    what: str
    words: str
    done: str = ""
    """What was done."""
    told: tuple[str, ...] = ()
    """Who was told."""


@dataclass(frozen=True, slots=True)
class RuleOverridden:
    """A rule of safety that someone set aside, and why."""

    rule: str
    """Key of the rule."""
    reason: str
    decided_by: str
    source: str = ""
    """Source the rule named."""
    for_entry: str | None = None
    """Id of the entry it was set aside for."""

    def __post_init__(self) -> None:
        if not self.reason.strip():
            raise ValueError("setting a rule aside needs a reason")


@dataclass(frozen=True, slots=True)
class TakenBack:
    """Why an entry is taken back."""

    reason: str = ""


@dataclass(frozen=True, slots=True)
class KeptVerbatim:
    """Facts of a kind or version this program does not know, kept as they came."""

    version: int
    content: str
    """JSON text."""
