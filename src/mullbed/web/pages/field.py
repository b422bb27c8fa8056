"""Notes that waited on a phone, and taking an entry back."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from typing import Any
from urllib.parse import urlsplit

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response

from mullbed.domain.record import is_entry_id
from mullbed.errors import EntryConflict, InputFault, MullbedError, NotFound
from mullbed.usecases import log_line as log
from mullbed.web.forms import Answers, Sent, answers_of
from mullbed.web.visitor import Asking, Visitor, signature
from mullbed.web.writing import JOBS, write

router = APIRouter()
MOST_NOTES = 200
"""Notes a phone sends at once; the rest comes with the next."""


@router.post("/take-back")
def take_back(request: Request, asking: Asking, sent: Sent) -> Response:
    """Take entries back and return to where it was asked from."""
    if not asking.may_write:
        raise HTTPException(403)
    ids = sent.all("id")[:20]
    found = log.kept_entries(asking.where, ids)
    if not found or len(found) != len(ids):
        raise NotFound("entry", ids[0][:40] if ids else "nothing", ())
    if not all(one.bed is None or asking.sees(one.bed) for one in found):
        raise HTTPException(403)
    signed = signature(request, asking)
    made = []
    for one in reversed(found):
        try:
            made.append(log.take_back(log.Line(asking.where, signed), one.id).entry.id)
        except InputFault as told:
            if not any("taken back already" in fault.value for fault in told.faults):
                raise
    back = inside(sent.one("back"))
    joint = "&" if "?" in back else "?"
    return RedirectResponse(f"{back}{joint}id={made[-1]}" if made else back, 303)


def inside(address: str) -> str:
    """Return an address of this server, whatever was sent; the round where it is none."""
    parts = urlsplit(address)
    plain = address.startswith("/") and not address.startswith(("//", "/\\")) and not parts.netloc and not parts.scheme
    return address if plain and address.isprintable() else "/"


@router.post("/field")
async def field(request: Request, asking: Asking) -> Response:
    """Keep notes that waited on a phone; each answers kept, known or refused, so that none is sent for ever."""
    from starlette.concurrency import run_in_threadpool

    try:
        notes = json.loads(await request.body())
    except (ValueError, RecursionError):
        notes = None
    if not isinstance(notes, list) or len(notes) > MOST_NOTES:
        return JSONResponse({"error": f"A list of up to {MOST_NOTES} notes is read here."}, 422)
    if not asking.may_write:
        raise HTTPException(403)
    answers = [await run_in_threadpool(_kept, request, asking, note) for note in notes]
    return JSONResponse(answers)


def _kept(request: Request, asking: Visitor, note: Any) -> dict[str, str]:
    """Keep one note and tell what became of it."""
    identity = note.get("id") if isinstance(note, dict) else None
    if not isinstance(identity, str) or not is_entry_id(identity):
        return {"id": str(identity)[:40], "state": "refused", "why": "It carries no id of an entry."}
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


def _answers(note: dict[str, Any], identity: str) -> Answers:
    """Return the fields of a note."""
    pairs = [
        (pair[0], pair[1])
        for pair in note.get("fields", [])
        if isinstance(pair, list) and len(pair) == 2 and all(isinstance(one, str) for one in pair)
    ]
    return answers_of([*((name, value) for name, value in pairs if name != "entry"), ("entry", identity)])


def _waited(note: dict[str, Any]) -> timedelta:
    """Return how long a note waited, by the phone's own clock."""
    try:
        moments = [datetime.fromisoformat(str(note[name])) for name in ("written_at", "sent_at")]
        wrote, sent = (one if one.tzinfo else one.replace(tzinfo=UTC) for one in moments)
    except (KeyError, ValueError):
        return timedelta()
    return max(timedelta(), sent - wrote)
