"""What is shown and taught: popular claims with what would settle them, lessons with their minutes."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from mullbed.domain.spread import Evidence


class Standing(StrEnum):
    """How a claim stands."""

    SUPPORTED = "supported"
    PARTLY = "partly"
    NOT_SUPPORTED = "not supported"


@dataclass(frozen=True, slots=True)
class Settling:
    """A trial that would settle a claim."""

    measure: str
    """Key of a field check, or a word for another measure."""
    way: str
    against: str
    difference: float
    """Smallest difference that would matter. [fraction of the control]"""
    seasons: int
    words: str
    """What to do, in a sentence."""
    pairs: int | None = None
    """Pairs that show the difference eight times in ten; worked out from the check's usual variation."""


@dataclass(frozen=True, slots=True)
class Claim:
    """One thing people say of layers, piles and soil."""

    key: str
    says: str
    standing: Standing
    why: str
    """What is known, with its numbers."""
    evidence: Evidence
    sources: tuple[str, ...]
    settling: Settling


@dataclass(frozen=True, slots=True)
class LessonStep:
    """One step of a demonstration."""

    minutes: int
    text: str


@dataclass(frozen=True, slots=True)
class Lesson:
    """A sheet for a demonstration of half an hour."""

    key: str
    question: str
    answer: str
    """The answer as a heading."""
    sentences: tuple[str, ...]
    needs: tuple[str, ...]
    before: str
    """What must be made ready earlier; empty for nothing."""
    steps: tuple[LessonStep, ...]
    dont: str
    ask: tuple[str, ...]
    """Questions to the group."""
    limits: str
    """What the demonstration does not show."""
    evidence: Evidence
    sources: tuple[str, ...]

    @property
    def minutes(self) -> int:
        """Minutes of all steps."""
        return sum(step.minutes for step in self.steps)
