"""What I have."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import APIRouter, Request

from mullbed.reports.in_hand_words import in_hand_document
from mullbed.web.problems import problems
from mullbed.web.visitor import Asking, today

router = APIRouter(prefix="/api", tags=["in hand"])


@dataclass(frozen=True, slots=True)
class AnsweredHeap:
    """One residue in hand."""

    name: str
    residue: str
    container: str
    count: float
    volume_L: float  # noqa: N815 as in every document
    since: datetime.date
    keeps_until: datetime.date | None
    held_because: str | None


@dataclass(frozen=True, slots=True)
class AnsweredInHand:
    """What is in hand, and what is held."""

    date: datetime.date
    heaps: list[AnsweredHeap]
    held: list[AnsweredHeap]
    layers_enough: int | None
    short_first: str | None


@router.get("/in-hand", response_model=AnsweredInHand, responses=problems())
def in_hand_answer(request: Request, asking: Asking) -> Mapping[str, object]:
    """Tell what is in hand today."""
    from mullbed.usecases.list_in_hand import list_in_hand

    return in_hand_document(list_in_hand(asking.where, today(request)))
