"""What a grower or a book expects of a bed, said before it is run, and what the model does."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from mullbed.domain.forecast import Band


class Standing(StrEnum):
    """Where an expectation comes from."""

    PUBLISHED = "published"
    DERIVED = "derived"
    MEMORY = "from memory"
    JUDGEMENT = "judgement"


@dataclass(frozen=True, slots=True)
class Expectation:
    """One thing that is expected, as a range of a number, with where it comes from."""

    key: str
    says: str
    """In words."""
    measure: str
    """What is measured."""
    run: str
    """Run it is measured in."""
    against: str | None
    """Run it is compared with, or None."""
    how: str
    """``value``, ``difference`` (run less the other) or ``ratio`` (run over the other)."""
    day: int
    """Day it is measured on."""
    low: float | None
    high: float | None
    standing: Standing
    sources: tuple[str, ...]
    """Keys of the publications."""
    note: str = ""
    """What the source says, and what was made of it."""
    finding: str = ""
    """Written after it was run and not met: why the model differs, as far as that is known."""


@dataclass(frozen=True, slots=True)
class Judged:
    """An expectation beside what the model does; the middle member is judged."""

    expected: Expectation
    unit: str
    p10: float
    p50: float
    p90: float
    share: float
    """Share of members in which it holds. [1]"""

    @property
    def holds(self) -> bool:
        """Tell whether the middle lies in the expected range."""
        low, high = self.expected.low, self.expected.high
        return (low is None or self.p50 >= low) and (high is None or self.p50 <= high)


@dataclass(frozen=True, slots=True)
class Course:
    """One run of a case through time."""

    key: str
    label: str
    days: tuple[int, ...]
    band: Band


@dataclass(frozen=True, slots=True)
class Behaviour:
    """One case: what was laid, what was expected, what came."""

    key: str
    title: str
    setting: str
    """Bed and weather in words."""
    drawn: str
    """What the chart shows."""
    drawn_unit: str
    members: int
    judged: tuple[Judged, ...]
    courses: tuple[Course, ...]


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All cases that ran, and what the chances were drawn from."""

    cases: tuple[Behaviour, ...]
    seed: int

    @property
    def disagreements(self) -> tuple[tuple[Behaviour, Judged], ...]:
        """Every expectation the model does not meet."""
        return tuple((case, one) for case in self.cases for one in case.judged if not one.holds)
