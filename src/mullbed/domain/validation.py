"""What was seen in an open data set beside what the model says, how far apart they are, and what others reached."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Comparison:
    """Values seen in one data set beside predicted ones; arrays have shape (points,)."""

    key: str
    title: str
    unit: str
    """Unit of the values."""
    grouped_by: str
    """What the points are grouped by: site, study, source, depth."""
    groups: tuple[str, ...]
    """Group of each point."""
    days: Array
    """How far ahead each point lies. [d]"""
    seen: Array
    predicted: Array
    """With middle numbers."""
    members: Array | None = None
    """What else the model holds possible, noise included, shape (points, members)."""
    drivers: dict[str, Array] = field(default_factory=dict)
    """What may drive the error, by name with its unit."""
    counts_bounds: bool = False
    """Whether some values seen are bounds, of which only a breach counts."""
    errors: Array | None = None
    """Predicted less seen where bounds count; None where it is the plain difference."""
    further: dict[str, float] = field(default_factory=dict)
    """Further figures of the set by name."""

    @property
    def error(self) -> Array:
        """Predicted less seen, a bound that is kept being no error."""
        return self.predicted - self.seen if self.errors is None else self.errors

    def where(self, keep: NDArray[np.bool_], key: str, title: str) -> Comparison:
        """Return the points that are kept as a set of its own."""
        places = np.flatnonzero(keep)
        return replace(
            self,
            key=key,
            title=title,
            groups=tuple(self.groups[place] for place in places),
            days=self.days[keep],
            seen=self.seen[keep],
            predicted=self.predicted[keep],
            members=None if self.members is None else self.members[keep],
            drivers={name: values[keep] for name, values in self.drivers.items()},
            errors=None if self.errors is None else self.errors[keep],
            further={},
        )


@dataclass(frozen=True, slots=True)
class Score:
    """How far predicted and seen values are apart; None where it cannot be told."""

    n: int
    rmse: float | None
    bias: float | None
    """Mean of predicted less seen."""
    r2: float | None
    """Squared correlation of predicted and seen values. [1]"""
    efficiency: float | None
    """One less the ratio of squared error to squared spread of the values seen. [1]"""
    coverage80: float | None
    """Share of values within the middle 80 % of the members. [1]"""
    coverage90: float | None
    crps: float | None
    """Mean continuous ranked probability score of the members, in the unit of the values."""
    further: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Yardstick:
    """A figure to hold a score against."""

    key: str
    kind: str
    """"reference model", fitted on these data; "cross-validated" or "in the sample", our own documented figures;
    "held out here", what our numbers reached when fitted anew in folds; "reference held out here"."""
    name: str
    rmse: float | None
    bias: float | None
    n: int | None
    """Points it was worked out on."""
    numbers_fitted: int | None
    source: str
    figure: str = "rmse"
    """Which of our figures it is held against."""


@dataclass(frozen=True, slots=True)
class GroupScore:
    """Score of one group of points."""

    group: str
    score: Score


@dataclass(frozen=True, slots=True)
class SetResult:
    """One set: its points, its score, by group, and what to hold it against."""

    comparison: Comparison
    score: Score
    groups: tuple[GroupScore, ...]
    yardsticks: tuple[Yardstick, ...]

    @property
    def key(self) -> str:
        """Key of the set."""
        return self.comparison.key


@dataclass(frozen=True, slots=True)
class MissingSet:
    """A set that could not be run, and the file that was not there or held nothing to compare."""

    key: str
    file: str
    there: bool = False
    """Whether the file is there and holds nothing for this set."""


@dataclass(frozen=True, slots=True)
class Validation:
    """What a run over a folder of open data showed."""

    sets: tuple[SetResult, ...]
    missing: tuple[MissingSet, ...]
    fingerprint: str
    """Hash of the one set of numbers every set was run with."""
    members: int
    seed: int

    def result(self, key: str) -> SetResult | None:
        """Return a set by its key."""
        return next((one for one in self.sets if one.key == key), None)


@dataclass(frozen=True, slots=True)
class FittedNumber:
    """A number of the model as fitted here, beside the one in use."""

    name: str
    in_use: float | None
    """None for a factor of one set."""
    fitted: float
    lowest: float
    """Smallest of the folds."""
    highest: float


@dataclass(frozen=True, slots=True)
class FoldedSet:
    """One set predicted by fits that had not seen its places, and what a reference model did in the same folds."""

    comparison: Comparison
    score: Score
    rival: str | None
    """Name of the best reference model; None where none was fitted."""
    rival_rmse: float | None
    rival_rmse_by_group: float | None
    """Mean over its sites or studies."""
    rival_crps: float | None
    """With its own residual spread."""


@dataclass(frozen=True, slots=True)
class CalibrationResult:
    """What fitting in folds showed."""

    numbers: tuple[FittedNumber, ...]
    sets: tuple[FoldedSet, ...]
    folds: int
    missing: tuple[str, ...]
