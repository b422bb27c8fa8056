"""A field check: what is read from the ground, how, with what error, and what its value means."""

from __future__ import annotations

from dataclasses import dataclass

from mullbed.domain.spread import Evidence
from mullbed.domain.trial import Scale


@dataclass(frozen=True, slots=True)
class ValueClass:
    """A range of values with its word; classes of a check follow each other upwards."""

    below: float
    """Values below this belong here; infinity for the last. [unit of the check]"""
    word: str
    meaning: str = ""


@dataclass(frozen=True, slots=True)
class FieldCheck:
    """One row of the table of field checks."""

    key: str
    name: str
    unit: str
    """UCUM code of the value."""
    scale: Scale
    """How plots are compared: counts and rates by ratios."""
    variation_low: float
    variation_high: float
    """Coefficient of variation between plots treated alike. [fraction]"""
    variation_evidence: Evidence
    ground_stays: bool
    """True where the soil carries last year's treatment along."""
    steps: tuple[str, ...]
    """What to do, in order."""
    spoils: tuple[str, ...]
    """What makes a reading worthless."""
    repeats: str
    classes: tuple[ValueClass, ...]
    classes_source: str
    classes_evidence: Evidence
    note: str = ""

    @property
    def variation(self) -> float:
        """Middle of the range on the log scale. [fraction]"""
        return float((self.variation_low * self.variation_high) ** 0.5)

    def class_of(self, value: float) -> ValueClass | None:
        """Return the class of a value; None where the check has no classes."""
        return next((one for one in self.classes if value < one.below), None)


@dataclass(frozen=True, slots=True)
class ScoredCheck:
    """A reading with its error and what it means."""

    check: FieldCheck
    value: float
    low: float
    high: float
    """Range of the true mean, 8 times in 10. [unit]"""
    repeats: int
    classes: tuple[ValueClass, ...]
    """Every class the range touches, the middle one's first."""
    warnings: tuple[str, ...]
    """What may have spoiled it."""
