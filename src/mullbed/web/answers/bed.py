"""Which beds there are, and this bed."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request

from mullbed.reports.terminal_bed import bed_document
from mullbed.web.answers.band import AnsweredBand
from mullbed.web.answers.theirs import THEIRS
from mullbed.web.problems import problems
from mullbed.web.visitor import Asking, today

router = APIRouter(prefix="/api", tags=["beds"])
MOST_MEMBERS = 1024


@dataclass(frozen=True, slots=True)
class AnsweredCrop:
    """A crop of a bed."""

    crop: str
    planted: datetime.date
    harvested: datetime.date


@dataclass(frozen=True, slots=True)
class AnsweredPlot:
    """A bed in the list."""

    bed: str
    area_m2: float
    crops: list[AnsweredCrop]
    layers: int
    """Layers that lie there or were laid."""


@dataclass(frozen=True, slots=True)
class AnsweredBeds:
    """The beds of the garden in walking order; for a helper, theirs."""

    garden: str
    date: datetime.date
    beds: list[AnsweredPlot]


@dataclass(frozen=True, slots=True)
class AnsweredLayer:
    """One layer."""

    day: datetime.date
    thickness_mm: int


@dataclass(frozen=True, slots=True)
class AnsweredNote:
    """One entry of the record."""

    id: str
    day: datetime.date
    kind: str


@dataclass(frozen=True, slots=True)
class AnsweredBed:
    """One bed today: state by the ensemble, dates, what was written."""

    bed: str
    date: datetime.date
    answer: str
    roots: str
    thickness: AnsweredBand
    """[m]"""
    moisture: AnsweredBand
    """[fraction, wet basis]"""
    layer_temperature: AnsweredBand
    """[degC]"""
    soil_temperature: AnsweredBand
    """[degC]"""
    mineral_nitrogen: AnsweredBand
    """0-25 cm. [g m-2]"""
    next_layer: datetime.date | None
    late_layer: datetime.date | None
    earliest_seed: datetime.date
    earliest_fine_seed: datetime.date
    layers: list[AnsweredLayer]
    notes: list[AnsweredNote]
    members: int


@router.get("/beds", response_model=AnsweredBeds, responses=problems())
def beds_answer(request: Request, asking: Asking) -> Mapping[str, object]:
    """Tell which beds there are."""
    from mullbed.usecases.list_in_hand import list_in_hand

    found = list_in_hand(asking.where, today(request))
    return {
        "garden": found.garden.site.name,
        "date": found.today,
        "beds": [
            {
                "bed": one.name,
                "area_m2": one.area,
                "crops": [
                    {"crop": crop.crop, "planted": crop.planted, "harvested": crop.harvested} for crop in one.crops
                ],
                "layers": len(one.layers),
            }
            for one in found.garden.beds
            if asking.sees(one.name)
        ],
    }


@router.get("/beds/{bed}", response_model=AnsweredBed, responses=problems(404), dependencies=THEIRS)
def bed_answer(
    request: Request,
    bed: str,
    asking: Asking,
    members: Annotated[
        int,
        Query(ge=16, le=MOST_MEMBERS, description="Seasons the bands are taken from; more are slower and smoother."),
    ] = 256,
) -> Mapping[str, object]:
    """Tell how one bed stands today."""
    from mullbed.usecases.show_bed import show_bed

    return bed_document(show_bed(asking.where, bed, today(request), members=members, threads=2))
