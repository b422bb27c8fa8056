"""What the record keeps of what was seen and measured: observations, notes, field checks, soil tests, weather."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from mullbed.domain.observation import Observation
from mullbed.domain.record_checks import checked


@dataclass(frozen=True, slots=True)
class Observed:
    """One answer about the entry's bed on its day.

    Raises
    ------
    NotFound, InputFault
        When nothing of that name can be observed or the answer is not allowed.
    """

    what: str
    """Key of the table of observables."""
    word: str | None = None
    value: float | None = None
    error: float | None = None
    """Stated standard error. [unit of the observable]"""
    repeats: int = 1
    said: str = ""
    """The answer as it was given, such as "2 fingers"."""
    plot: str | None = None
    words: str = ""

    def __post_init__(self) -> None:
        self.observation("", date.min)

    def observation(self, bed: str, day: date, entry: str = "") -> Observation:
        """Return it as the observation that learning and diagnosis read."""
        return Observation(self.what, bed, day, self.word, self.value, self.error, self.repeats, entry)


@dataclass(frozen=True, slots=True)
class Noted:
    """A note in the grower's words, perhaps with the signs it tells of."""

    words: str
    signs: tuple[str, ...] = ()
    """Keys of signs that diagnosis knows."""


@dataclass(frozen=True, slots=True)
class FieldChecked:
    """A field check with all that makes it comparable."""

    check: str
    """Key or name of the check."""
    unit: str
    readings: tuple[float, ...]
    """Every repeat. [unit]"""
    method: str = ""
    depth: float | None = None
    """Lower edge of what was tested. [m]"""
    days_since_rain: int | None = None
    operator: str = ""
    plot: str | None = None
    word: str | None = None
    """Class, where the check ends in one; "lost" for a plot of a trial that was lost."""
    words: str = ""
    season: str = ""
    """Season of a trial it was read for; "baseline" before the first treatment."""

    def __post_init__(self) -> None:
        checked(depth=self.depth, days_since_rain=self.days_since_rain)
        if not all(math.isfinite(reading) for reading in self.readings):
            raise ValueError("readings are numbers")
        if not self.readings and self.word is None:
            raise ValueError("a check has a reading or a class")


@dataclass(frozen=True, slots=True)
class TestedValue:
    """One line of a laboratory's report."""

    __test__ = False  # no test case, whatever its name

    name: str
    value: float | None
    """None where the laboratory gave none."""
    unit: str
    method: str = ""
    below_limit: bool = False
    """True where ``value`` is the limit of detection and less was found."""


@dataclass(frozen=True, slots=True)
class SoilTested:
    """A laboratory's report of one sample."""

    values: tuple[TestedValue, ...]
    laboratory: str = ""
    sample: str = ""
    """Code of the sample."""
    depth_from: float = 0.0
    """[m]"""
    depth_to: float = 0.15
    """[m]"""
    cores: int | None = None
    plot: str | None = None

    def __post_init__(self) -> None:
        checked(depth_from=self.depth_from, depth_to=self.depth_to, cores=self.cores)
        if not self.values or self.depth_to <= self.depth_from:
            raise ValueError("a soil test has values and a depth that ends below where it begins")


class RainExpected(StrEnum):
    """Rain of the coming days, in three words."""

    NONE = "none"
    SOME = "some"
    MUCH = "much"


@dataclass(frozen=True, slots=True)
class WeatherDay:
    """Weather of one day in the garden; None is missing, never zero."""

    rain: float | None = None
    """[mm]"""
    low: float | None = None
    """[°C]"""
    high: float | None = None
    """[°C]"""
    expected: RainExpected | None = None
    """Rain expected in the days after."""
    filled: tuple[str, ...] = ()
    """Which of rain, low and high were not read here but come from the season's normals."""
    words: str = ""

    def __post_init__(self) -> None:
        checked(rain=self.rain)
        if self.low is not None and self.high is not None and self.low > self.high:
            raise ValueError(f"the low of {self.low:g} lies above the high of {self.high:g}")
        if not set(self.filled) <= {"rain", "low", "high"}:
            raise ValueError("only rain, low and high can be filled")
