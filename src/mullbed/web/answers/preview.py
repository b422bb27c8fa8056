"""What would a layer do here."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request

from mullbed.errors import Fault, InputFault
from mullbed.reports.in_hand_words import preview_document
from mullbed.units import parse_number
from mullbed.web.answers.theirs import THEIRS
from mullbed.web.problems import problems
from mullbed.web.visitor import Asking, today

router = APIRouter(prefix="/api", tags=["beds"])


@dataclass(frozen=True, slots=True)
class AnsweredPreview:
    """What a layer would do, before it is laid."""

    bed: str
    date: datetime.date
    counts: dict[str, float]
    """Containers by heap."""
    cans: float
    """Water poured. [can]"""
    net_nitrogen_28d_g_per_m2: list[float] | None
    """Given (positive) or tied up in four weeks: 10th, 50th, 90th percentile; null where nothing is chosen."""
    gives_from: list[datetime.date | None] | None
    """Day from which it stays above zero: early, middle, late."""
    refusals: list[str]
    """What rules of safety say against it."""


@router.get("/beds/{bed}/preview", response_model=AnsweredPreview, responses=problems(404), dependencies=THEIRS)
def preview_answer(
    request: Request,
    bed: str,
    asking: Asking,
    take: Annotated[
        list[str] | None, Query(max_length=12, description="HEAP=NUMBER of its containers; the plan's if left out.")
    ] = None,
    cans: Annotated[
        float | None, Query(ge=0.0, le=1000.0, description="Cans of water; worked out if left out.")
    ] = None,
) -> Mapping[str, object]:
    """Tell what a layer from what is in hand would do; nothing is written."""
    from mullbed.usecases.preview_layer import preview_layer

    counts = _counts(take) if take else None
    return preview_document(preview_layer(asking.where, bed, today(request), counts, cans=cans))


def _counts(texts: list[str]) -> dict[str, float]:
    """Return heaps and numbers of texts such as "leaf stack=2"."""
    found = {}
    for text in texts:
        name, equals, number = text.rpartition("=")
        if not equals or not name.strip() or len(text) > 200:
            raise InputFault([Fault("take", text[:60], "HEAP=NUMBER", "Write take=leaf stack=2.")])
        found[name.strip()] = parse_number(number, "take")
    return found
