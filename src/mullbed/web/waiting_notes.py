"""Notes that waited on a phone, and taking back what was kept: the same for pages and for programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from fastapi import HTTPException, Request

from mullbed.domain.record import Entry, is_entry_id
from mullbed.errors import EntryConflict, InputFault, MullbedError, NotFound
from mullbed.usecases import log_line as log
from mullbed.web.forms import Answers, answers_of
from mullbed.web.visitor import Visitor, signature
from mullbed.web.writing import JOBS, write

MOST_NOTES = 200
"""Notes a phone sends at once; the rest comes with the next."""
MOST_TAKEN_BACK = 20


def keep_note(request: Request, asking: Visitor, note: object) -> dict[str, str]:
    """Keep one note and tell what became of it: kept, known or refused with a reason."""
    identity = note.get("id") if isinstance(note, dict) else None
    if not isinstance(note, dict) or not isinstance(identity, str) or not is_entry_id(identity):
        return {"id": _printable(identity), "state": "refused", "why": "It carries no id of an entry."}
    told = {"id": identity}
    try:
        if log.kept_entries(asking.where, [identity]):
            return told | {"state": "known"}
        answers = _answers(note, identity)
        if answers.one("job") not in JOBS:
            return told | {"state": "refused", "why": "Its page has changed since; write it down again."}
        write(request, asking, answers, _waited(note))
    except EntryConflict:
        return told | {"state": "known"}
    except HTTPException:
        return told | {"state": "refused", "why": "This is not yours to change."}
    except MullbedError as error:
        return told | {"state": "refused", "why": str(error)[:600]}
    return told | {"state": "kept"}


def _printable(identity: object) -> str:
    return str(identity)[:40].encode("utf-8", "replace").decode()


def _answers(note: Mapping[str, Any], identity: str) -> Answers:
    """Return the fields of a note."""
    fields = note.get("fields", [])
    pairs = [
        (pair[0], pair[1])
        for pair in (fields if isinstance(fields, list) else [])
        if isinstance(pair, list) and len(pair) == 2 and all(isinstance(one, str) for one in pair)
    ]
    return answers_of([*((name, value) for name, value in pairs if name != "entry"), ("entry", identity)])


def _waited(note: Mapping[str, Any]) -> timedelta:
    """Return how long a note waited, by the phone's own clock."""
    try:
        moments = [datetime.fromisoformat(str(note[name])) for name in ("written_at", "sent_at")]
        wrote, sent = (one if one.tzinfo else one.replace(tzinfo=UTC) for one in moments)
        return max(timedelta(), sent - wrote)
    except (KeyError, ValueError, OverflowError):
        return timedelta()


def own(asking: Visitor, entry: Entry) -> bool:
    """Tell whether an entry is somebody's to see and to take back: of a bed of theirs, or of no bed and by them.

    A lead's is everything of the garden. Of no bed are the garden file and the plan, too.
    """
    if entry.bed is not None:
        return asking.sees(entry.bed)
    return asking.leads or entry.author == asking.name


def take_back_entries(request: Request, asking: Visitor, ids: Sequence[str]) -> list[str]:
    """Take entries back, the last one first; return the ids of what was written for it.

    Raises
    ------
    NotFound
        When one of them is not kept; then none is taken back.
    HTTPException
        403 where one of them is not theirs.
    """
    if not asking.may_write:
        raise HTTPException(403)
    wanted = [one for one in dict.fromkeys(ids) if is_entry_id(one)][:MOST_TAKEN_BACK]
    found = log.kept_entries(asking.where, wanted) if wanted else ()
    if not found or len(found) != len(set(ids)):
        raise NotFound("entry", _printable(ids[0]) if ids else "nothing", ())
    if not all(own(asking, one) for one in found):
        raise HTTPException(403)
    signed = signature(request, asking)
    made = []
    for one in reversed(found):
        try:
            made.append(log.take_back(log.Line(asking.where, signed), one.id).entry.id)
        except InputFault as told:
            if not any("taken back already" in fault.value for fault in told.faults):
                raise
    return made
