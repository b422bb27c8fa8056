"""Write down, read again, take back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Annotated

from fastapi import APIRouter, Body, HTTPException, Request
from pydantic import AwareDatetime, BeforeValidator, Field

from mullbed.domain.garden import UnitSystem
from mullbed.errors import NotFound
from mullbed.reports.kept_words import entry_words
from mullbed.reports.words import capital
from mullbed.usecases import log_line as log
from mullbed.web.problems import problems
from mullbed.web.visitor import Asking
from mullbed.web.waiting_notes import MOST_NOTES, MOST_TAKEN_BACK, keep_note, own, take_back_entries


def _text_alone(value: object) -> object:
    """Refuse numbers, which would pass for moments of 1970."""
    if not isinstance(value, str | datetime):
        raise ValueError("a moment is written as a text with its zone")
    return value


Moment = Annotated[AwareDatetime, BeforeValidator(_text_alone)]

router = APIRouter(prefix="/api", tags=["record"])


@dataclass(frozen=True, slots=True)
class SentNote:
    """One note: the fields of a page's form, with an id of the sender's own making."""

    id: str
    """26 digits of Crockford's base 32: 48 bits of the moment, 80 random bits; sent twice, it is kept once."""
    fields: list[tuple[str, str]]
    """Names and values; "job" says what it is, "bed" where."""
    written_at: Moment | None = None
    """When it was written down, by the sender's clock."""
    sent_at: Moment | None = None
    """When it was sent, by the same clock."""


class NoteState(StrEnum):
    """What became of a note."""

    KEPT = "kept"
    KNOWN = "known"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class AnsweredState:
    """What became of one note."""

    id: str
    state: NoteState
    why: str | None = None
    """Why it was refused; sending it again would not help."""


@dataclass(frozen=True, slots=True)
class AnsweredEntry:
    """One entry as it was written."""

    id: str
    day: date
    kind: str
    bed: str | None
    author: str
    written_at: datetime
    words: str


@dataclass(frozen=True, slots=True)
class SentIds:
    """Entries to take back."""

    ids: Annotated[list[str], Field(max_length=MOST_TAKEN_BACK)]


@dataclass(frozen=True, slots=True)
class AnsweredTakenBack:
    """What was written to take them back; empty where they were taken back already."""

    ids: list[str]


@router.post("/entries", response_model=list[AnsweredState], responses=problems(400, 403, 413))
def write_answer(
    request: Request, asking: Asking, notes: Annotated[list[SentNote], Body(max_length=MOST_NOTES)]
) -> Sequence[AnsweredState]:
    """Keep notes, each once however often it is sent; each is told as kept, known or refused."""
    if not asking.may_write:
        raise HTTPException(403)
    told = [keep_note(request, asking, _as_sent(note)) for note in notes]
    return [AnsweredState(one["id"], NoteState(one["state"]), one.get("why")) for one in told]


def _as_sent(note: SentNote) -> dict[str, object]:
    plain = asdict(note) | {"fields": [list(pair) for pair in note.fields]}
    return {name: value.isoformat() if isinstance(value, datetime) else value for name, value in plain.items()}


@router.get("/entries/{id}", response_model=AnsweredEntry, responses=problems(404))
def entry_answer(asking: Asking, id: str) -> AnsweredEntry:
    """Tell one entry; one that is not yours is not found, like one that is not there."""
    found = log.kept_entries(asking.where, [id])
    if not found or not own(asking, found[0]):
        raise NotFound("entry", id[:40], ())
    one = found[0]
    words = capital(entry_words(one, UnitSystem.METRIC))
    return AnsweredEntry(one.id, one.day, one.kind, one.bed, one.author, one.written_at, words)


@router.post("/entries/take-back", response_model=AnsweredTakenBack, responses=problems(400, 403, 404, 413))
def take_back_answer(request: Request, asking: Asking, sent: SentIds) -> AnsweredTakenBack:
    """Take entries back, all or none; they stay in the record and no longer count."""
    return AnsweredTakenBack(take_back_entries(request, asking, sent.ids))
