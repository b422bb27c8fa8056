"""A number with its doubt and with how we know it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum


class Evidence(StrEnum):
    """How a number is known, from best to weakest."""

    MEASURED = "measured"
    PUBLISHED = "published"
    WORKED_OUT = "worked out"
    GUESS = "a guess"

    @property
    def rank(self) -> int:
        """0 for measured to 3 for a guess."""
        return list(Evidence).index(self)


def weakest(*classes: Evidence) -> Evidence:
    """Return the weakest of several evidence classes."""
    return max(classes, key=lambda evidence: evidence.rank)


@dataclass(frozen=True, slots=True)
class Spread:
    """Low, middle and high: the 10th, 50th and 90th percentile.

    Raises
    ------
    ValueError
        When low, mid and high are not in order.
    """

    low: float
    mid: float
    high: float
    unit: str
    evidence: Evidence
    source: str = ""
    """Key of the publication, or "mullbed_model" for our own."""
    range_evidence: Evidence | None = None
    """How low and high are known where that is weaker than the middle; None where it is alike."""

    def __post_init__(self) -> None:
        if not self.low <= self.mid <= self.high:
            raise ValueError(f"{self.low}, {self.mid}, {self.high} [{self.unit}] are not in order")

    def scaled(self, factor: float, unit: str | None = None) -> Spread:
        """Return the spread times a factor of zero or more."""
        return replace(
            self, low=self.low * factor, mid=self.mid * factor, high=self.high * factor, unit=unit or self.unit
        )
