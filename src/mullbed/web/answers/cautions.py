"""Which rules of safety hold."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Query

from mullbed.domain.garden import Profile
from mullbed.reports.safety_rules import safety_document
from mullbed.web.problems import problems

router = APIRouter(prefix="/api", tags=["cautions"])


@dataclass(frozen=True, slots=True)
class AnsweredRuleNumber:
    """One number of a rule."""

    value: float
    unit: str
    mark: str
    source: str


@dataclass(frozen=True, slots=True)
class AnsweredRule:
    """One rule with its source and the day it was checked."""

    rule: str
    word: str
    force: str
    text: str
    mark: str
    source: str
    checked: date
    profiles: list[str]
    place: str
    danger: str | None
    override_allowed: bool
    numbers: dict[str, AnsweredRuleNumber]


@dataclass(frozen=True, slots=True)
class AnsweredCautions:
    """The rules in force for a kind of site; local codes decide."""

    site: str
    local_codes: str
    rules: list[AnsweredRule]
    sources: dict[str, str]


@router.get("/cautions", response_model=AnsweredCautions, responses=problems())
def cautions_answer(
    site: Annotated[Profile, Query(description="Who gardens there.")] = Profile.HOME,
) -> Mapping[str, object]:
    """Tell the rules of safety in force for a kind of site, whatever threatens the place."""
    from mullbed.usecases.list_cautions import list_cautions

    found = list_cautions(profile=site)
    return safety_document(found.rules, found.refusals, found.set_aside, (), site=found.profile)
