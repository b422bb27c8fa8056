"""A trial as the record keeps it: the plan, what it can show, what was read, what came out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from mullbed.domain.bed import Bed
from mullbed.domain.garden import UnitSystem
from mullbed.domain.trial import Deviation, Reading
from mullbed.domain.trial_answers import AnalysedTrial, TrialDesign


@dataclass(frozen=True, slots=True)
class KeptTrial:
    """One trial."""

    id: str
    """Of the entry that holds its latest paper."""
    day: date
    """When that was written."""
    version: int
    design: TrialDesign
    deviations: tuple[Deviation, ...]
    readings: tuple[Reading, ...]
    outcome: AnalysedTrial | None
    """None while too little was read, or where it was not asked for."""
    not_yet: tuple[str, ...]
    """Why there is no outcome yet, in sentences."""
    beds: tuple[Bed, ...]
    """Those of the garden it lies on."""
    garden: str
    units: UnitSystem

    @property
    def name(self) -> str:
        """What the trial is called."""
        return self.design.plan.name


@dataclass(frozen=True, slots=True)
class WorkOnBed:
    """Work and harvest of one bed, for the table beside a trial."""

    bed: str
    hours: float
    """Of all people together. [h]"""
    harvested: float
    """[kg]"""
    area: float | None
    """[m2]"""


@dataclass(frozen=True, slots=True)
class JoinedTrial:
    """Many gardens as blocks: one pair each."""

    outcome: AnalysedTrial
    gardens: int
    left_out: tuple[str, ...]
    """Files that could not be joined, and why, by their letter."""
    work: tuple[WorkOnBed, ...]
