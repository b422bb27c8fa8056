"""What a grower is told about a trial: what it can show, how it is drawn, what came out."""

from __future__ import annotations

from dataclasses import dataclass

from mullbed.domain.field_check import FieldCheck
from mullbed.domain.spread import Evidence
from mullbed.domain.trial import Reading, Scale, TrialPlan, TrialResult


@dataclass(frozen=True, slots=True)
class TrialSize:
    """What so many pairs can show."""

    pairs: int
    treatments: int
    variation: float
    correlation: float
    scale: Scale
    alpha: float
    detectable: float
    """Smallest difference that is seen with the chance ``wanted``. [fraction of the control]"""
    wanted: float
    effect: float | None
    """A difference asked about. [fraction]"""
    power: float
    """Chance to see the difference asked about, or ``detectable``. [fraction]"""
    needed: int | None
    """Pairs that would show the difference asked about; None when over 400 or nothing was asked."""
    more: tuple[tuple[int, float], ...]
    """Other numbers of pairs and what they would show."""


@dataclass(frozen=True, slots=True)
class ExpectedEffect:
    """What others found for a measure."""

    measure: str
    low: float
    high: float
    """[fraction of the control]"""
    when: str
    source: str
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class TrialDesign:
    """A drawn plan and what it can show."""

    plan: TrialPlan
    detectable: tuple[tuple[str, float], ...]
    """By measure: smallest difference seen 8 times in 10. [fraction of the control]"""
    power: float
    """Chance to see the difference worth having, on the primary measure. [fraction]"""
    warnings: tuple[str, ...]
    checks: tuple[FieldCheck, ...]
    """How the measures are read, where the table knows."""
    expected: tuple[ExpectedEffect, ...] = ()
    """What others found for the measure that decides."""

    @property
    def out_of_reach(self) -> bool:
        """Whether the smallest difference that would be seen is larger than any that others found."""
        seen = dict(self.detectable)[self.plan.primary.key]
        return bool(self.expected) and all(max(abs(one.low), abs(one.high)) < seen for one in self.expected)


@dataclass(frozen=True, slots=True)
class AnalysedTrial:
    """The outcome, and whether the plan is still the locked one."""

    result: TrialResult
    locked: bool
    seal_holds: bool
    readings: tuple[Reading, ...] = ()
    """What it rests on, as it was read."""
    seen: tuple[str, ...] = ()
    """What the readings show to be otherwise than planned, in sentences."""
