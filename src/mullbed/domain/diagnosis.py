"""What was noticed on a bed, what may be behind it, how sure that is, and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from mullbed.domain.spread import Evidence, Spread

UNKNOWN = "unknown"
"""Key of "none of these": something the table of causes does not hold."""


@dataclass(frozen=True, slots=True)
class Sign:
    """One thing a grower can notice."""

    key: str
    name: str
    """In growers' words."""
    sense: str
    """nose, eye, hand, crop or animals."""
    also_called: tuple[str, ...]
    leak: float
    """Chance that it turns up beside a cause that does not bring it. [1]"""
    elsewhere: float
    """Chance that something outside the table of causes brings it. [1]"""
    observed: tuple[tuple[str, str], ...] = ()
    """Observable and word that say the same."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing that can be known of a bed beside the signs, in a few classes."""

    key: str
    words: tuple[str, ...]
    """Classes in order."""
    edges: tuple[float, ...]
    """Numbers that part the classes; empty where the fact is no number. [unit]"""
    unit: str
    usual: tuple[float, ...]
    """How often each class is met. [1]"""
    question: str
    """How to find out; empty where it cannot be asked at the bed."""
    minutes: float
    """[min]"""
    days: float
    """Days until the answer is there. [d]"""
    evidence: Evidence
    source: str


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of one fact on one bed."""

    fact: str
    weights: tuple[float, ...]
    """Chance of each class; one of them is 1 where it is certain. [1]"""
    evidence: Evidence
    """Measured where the grower looked; worked out where the model or the record says so."""
    spread: Spread | None = None
    """The number behind it, where there is one."""

    @property
    def told(self) -> bool:
        """True where a person looked or measured."""
        return self.evidence is Evidence.MEASURED


@dataclass(frozen=True, slots=True)
class Cause:
    """One row of the table of causes."""

    key: str
    name: str
    prior: float
    """How often it stands behind a question, before anything is known. [1]"""
    signs: dict[str, float]
    """Chance that it brings each sign. [1]"""
    facts: dict[str, tuple[float, ...]]
    """Chance of each class of a fact where it is at work. [1]"""
    because: str
    heading: str
    """What to do, in a few words."""
    steps: tuple[str, ...]
    avoid: str
    expect: str
    days: tuple[int, int]
    """When to expect a change. [d]"""
    change: str
    """What would change this."""
    tells_apart: str
    """What tells it from others."""
    decisive: frozenset[str]
    """Answers "fact.class" that settle it."""
    cautions: tuple[str, ...]
    evidence: Evidence
    source: str
    cover: float | None = None
    """Dry cover to lay. [m]"""
    coarse: float | None = None
    """Coarse dry stuff per soft stuff, by volume. [1]"""
    water: float | None = None
    """Water to give. [mm]"""
    wait: tuple[int, int] | None = None
    """[d]"""
    wait_from_soft: tuple[int, int] | None = None
    """Days to wait counted from the last soft fresh layer: robust and fine seed. [d]"""
    quick_nitrogen: bool = False
    further_sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class QuickDose:
    """The smallest quick dose of one carrier that covers a shortage of nitrogen on a bed."""

    carrier: str
    grams: Spread
    """For the whole bed. [g]"""
    tablespoons: float
    """Level tablespoons of 15 mL for the whole bed. [1]"""


@dataclass(frozen=True, slots=True)
class NitrogenAccount:
    """What a crop wants in the coming days beside what comes by itself."""

    days: int
    want: float
    """[g m-2]"""
    coming: Spread
    """In the soil within reach, and given by soil and layers in these days. [g m-2]"""
    shortage: Spread
    """Zero or more. [g m-2]"""
    enough_from: date | None
    """Day from which soil and layers give as much as the crop wants; None for not within the forecast."""


@dataclass(frozen=True, slots=True)
class Remedy:
    """What to do about a cause on this bed."""

    heading: str
    steps: tuple[str, ...]
    avoid: str
    expect: str
    expect_from: date
    expect_until: date
    container: str = ""
    """What dry stuff is counted in here."""
    containers: float | None = None
    """Containers of dry cover, in halves. [1]"""
    container_litres: Spread | None = None
    """Litres of dry cover behind that count. [L]"""
    cover_thickness: float | None = None
    """[m]"""
    water_litres: float | None = None
    """[L]"""
    wait_until: tuple[date, date] | None = None
    doses: tuple[QuickDose, ...] = ()
    nitrogen: NitrogenAccount | None = None


@dataclass(frozen=True, slots=True)
class FoundCause:
    """A cause with its chance on this bed."""

    key: str
    name: str
    share: float
    """Chance that it is the main cause; shares of all causes and of "none of these" sum to one. [1]"""
    chance: Spread
    """Chance that it is at work, alone or beside another; low and high by what if we judged otherwise. [1]"""
    settled: bool
    """True where an answer decided it."""
    speaks_for: tuple[str, ...]
    """Keys of signs, and "fact.class", that speak for it, strongest first."""
    speaks_against: tuple[str, ...]
    because: str
    change: str
    tells_apart: str
    remedy: Remedy
    cautions: tuple[str, ...]
    evidence: Evidence
    source: str


@dataclass(frozen=True, slots=True)
class NextCheck:
    """One more look, what it costs and what it is worth."""

    key: str
    question: str
    answers: tuple[str, ...]
    minutes: float
    days: float
    bits: float
    """Expected information on what is behind the signs. [bit]"""

    @property
    def bits_per_minute(self) -> float:
        """Worth per cost; going there counts as a minute, a day of waiting as ten. [bit min-1]"""
        return self.bits / (1.0 + self.minutes + 10.0 * self.days)


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What may be behind what was noticed on a bed, likeliest first."""

    bed: str
    day: date
    signs: tuple[str, ...]
    absent: tuple[str, ...]
    """Signs looked for and not found."""
    known: tuple[Known, ...]
    causes: tuple[FoundCause, ...]
    """Likeliest first; "none of these" stands among them under its key."""
    together: tuple[tuple[str, str, float], ...]
    """Pairs that may be at work at once, with their chance. [1]"""
    checks: tuple[NextCheck, ...]
    """Best next looks, most information per minute first."""
    simulated: bool
    """True where the daily model was run for this bed."""
    nitrogen: NitrogenAccount | None = None

    @property
    def first(self) -> FoundCause:
        """The likeliest cause."""
        return self.causes[0]

    @property
    def unknown(self) -> FoundCause:
        """The chance that it is none of the causes of the table."""
        return next(one for one in self.causes if one.key == UNKNOWN)


@dataclass(frozen=True, slots=True)
class FirstAction:
    """What to do first on a sign alone, for a page or a card that cannot compute."""

    sign: str
    name: str
    sense: str
    cause: str
    cause_name: str
    chance: float
    """[1]"""
    heading: str
    steps: tuple[str, ...]
    avoid: str
    change: str
    tells_apart: str
    check: str
    """Question of the cheapest next look."""
    cautions: tuple[str, ...]
    evidence: Evidence
    source: str
