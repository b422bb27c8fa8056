"""Notes that waited on a phone, and taking an entry back."""

from __future__ import annotations

import json
from urllib.parse import urlsplit

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response

from mullbed.web.forms import Sent
from mullbed.web.visitor import Asking
from mullbed.web.waiting_notes import MOST_NOTES, MOST_TAKEN_BACK, keep_note, take_back_entries

router = APIRouter()


@router.post("/take-back")
def take_back(request: Request, asking: Asking, sent: Sent) -> Response:
    """Take entries back and return to where it was asked from."""
    made = take_back_entries(request, asking, sent.all("id")[:MOST_TAKEN_BACK])
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
    return JSONResponse([await run_in_threadpool(keep_note, request, asking, note) for note in notes])
