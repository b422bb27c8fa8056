"""What can be noticed, and what may be behind it on this bed."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request

from mullbed.errors import NotFound
from mullbed.reports.diagnosis_card import diagnosis_document, signs_document
from mullbed.web.answers.band import AnsweredBand
from mullbed.web.answers.theirs import THEIRS
from mullbed.web.problems import problems
from mullbed.web.visitor import Asking, today

router = APIRouter(prefix="/api", tags=["noticed"])
MEMBERS = 32
"""As on the page."""


@dataclass(frozen=True, slots=True)
class AnsweredCaution:
    """A caution."""

    code: str
    text: str


@dataclass(frozen=True, slots=True)
class AnsweredSign:
    """What to do first on one sign alone."""

    sign: str
    name: str
    sense: str
    cause: str
    cause_name: str
    chance: float
    chance_words: str
    heading: str
    steps: list[str]
    avoid: str
    change: str
    tells_apart: str
    next_look: str
    cautions: list[AnsweredCaution]
    cautions_dated: str
    evidence: str
    source: str


@dataclass(frozen=True, slots=True)
class AnsweredSigns:
    """Every sign."""

    signs: list[AnsweredSign]


@dataclass(frozen=True, slots=True)
class AnsweredFact:
    """What is known of the bed beside the signs."""

    fact: str
    chances: list[float]
    value: AnsweredBand
    evidence: str


@dataclass(frozen=True, slots=True)
class AnsweredDose:
    """A quick dose of nitrogen for the whole bed."""

    carrier: str
    grams: AnsweredBand
    tablespoons: float


@dataclass(frozen=True, slots=True)
class AnsweredRemedy:
    """What to do about a cause."""

    heading: str
    steps: list[str]
    avoid: str
    expect: str
    expect_from: datetime.date
    expect_until: datetime.date
    container: str | None
    containers: float | None
    cover_litres: AnsweredBand
    cover_thickness_mm: int | None
    water_litres: float | None
    wait_until: list[datetime.date]
    doses: list[AnsweredDose]


@dataclass(frozen=True, slots=True)
class AnsweredCause:
    """One cause with its chance."""

    cause: str
    name: str
    share: float
    chance: AnsweredBand
    chance_words: str
    settled: bool
    speaks_for: list[str]
    speaks_against: list[str]
    because: str
    change: str
    tells_apart: str
    remedy: AnsweredRemedy
    cautions: list[AnsweredCaution]
    cautions_dated: str
    evidence: str
    source: str


@dataclass(frozen=True, slots=True)
class AnsweredTogether:
    """Two causes at once."""

    causes: list[str]
    chance: float


@dataclass(frozen=True, slots=True)
class AnsweredLook:
    """A closer look and what it would tell. [min, d, bit]"""

    fact: str
    question: str
    answers: list[str]
    minutes: float
    days: float
    bits: float


@dataclass(frozen=True, slots=True)
class AnsweredAccount:
    """What the crop wants beside what comes by itself. [g m-2]"""

    days: int | None
    want: float | None
    coming: AnsweredBand
    shortage: AnsweredBand
    enough_from: datetime.date | None


@dataclass(frozen=True, slots=True)
class AnsweredDiagnosis:
    """What may be behind what was noticed, likeliest first."""

    bed: str
    date: datetime.date
    signs: list[str]
    absent: list[str]
    simulated: bool
    area_m2: float
    known: list[AnsweredFact]
    causes: list[AnsweredCause]
    together: list[AnsweredTogether]
    next_looks: list[AnsweredLook]
    nitrogen: AnsweredAccount


@router.get("/signs", response_model=AnsweredSigns, responses=problems())
def signs_answer() -> Mapping[str, object]:
    """Tell what can be noticed, and what to do first on each sign alone."""
    from mullbed.usecases.list_signs import list_signs

    return signs_document(list_signs())


@router.get("/beds/{bed}/diagnosis", response_model=AnsweredDiagnosis, responses=problems(404), dependencies=THEIRS)
def diagnosis_answer(
    request: Request,
    bed: str,
    asking: Asking,
    sign: Annotated[list[str], Query(min_length=1, max_length=12, description="Keys of what was noticed.")],
    absent: Annotated[list[str] | None, Query(max_length=12, description="Looked for and not found.")] = None,
    know: Annotated[list[str] | None, Query(max_length=24, description="FACT=ANSWER of a closer look.")] = None,
) -> Mapping[str, object]:
    """Tell what may be behind what was noticed on a bed, and what to do now; nothing is written."""
    from mullbed.usecases.diagnose_bed import diagnose_bed
    from mullbed.usecases.list_in_hand import list_in_hand

    if list_in_hand(asking.where, today(request)).garden.bed(bed) is None:
        raise NotFound("bed", bed, ())
    found = diagnose_bed(
        None, bed, sign, day=today(request), absent=absent or (), told=know or (), where=asking.where, members=MEMBERS
    )
    return diagnosis_document(found.diagnosis, area=found.bed.area)
