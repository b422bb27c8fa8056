"""What a grower saw, smelt, felt or measured on a bed: the allowed words, the units and the usual error.

An observation is either a word out of a short list (a *class*) or a number in a unit. Each thing that can be
observed stands once in :data:`OBSERVABLES`; forms, commands, learning and diagnosis all read that table.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from mullbed.domain.spread import Evidence
from mullbed.errors import Fault, InputFault, NotFound


@dataclass(frozen=True, slots=True)
class Observable:
    """One thing that can be observed on a bed."""

    key: str
    question: str
    """What a grower is asked, in plain words."""
    words: tuple[str, ...] = ()
    """Allowed answers of a class, in order where there is one; empty for a number."""
    unit: str = ""
    """Canonical unit of a number; empty for a class."""
    low: float = 0.0
    high: float = 0.0
    """Bounds of a number that is possible at all. [unit]"""
    error: float = 0.0
    """Usual standard error of one reading. [unit]"""
    error_share: float = 0.0
    """Usual relative standard error of one reading, beside ``error``. [1]"""
    evidence: Evidence = Evidence.GUESS
    """How the usual error is known."""

    @property
    def is_class(self) -> bool:
        """True when the answer is one of a few words."""
        return bool(self.words)


_ALL = (
    Observable("thickness by finger", "How thick is the cover, by finger?", (), "m", 0.0, 1.0, 0.01, 0.15),
    Observable("thickness by ruler", "How thick is the cover, by ruler?", (), "m", 0.0, 1.0, 0.005, 0.05),
    Observable(
        "squeeze",
        "Squeeze a handful from the middle of the layer. What happens?",
        ("crackles", "damp, no drops", "a few drops", "drips freely"),
    ),
    Observable("layer temperature", "What does the probe say in the layer?", (), "Cel", -30.0, 90.0, 2.0),
    Observable("soil temperature", "What does the probe say in the soil at 5 cm?", (), "Cel", -30.0, 60.0, 1.5),
    Observable("smell", "What does it smell of?", ("nothing", "earthy", "sour", "ammonia", "rotten egg", "putrid")),
    Observable("threads", "Are there threads or mould?", ("none", "white threads", "dusty mould", "slimy sheet")),
    Observable("worms", "How many worms in a 20 cm spadeful?", (), "1", 0.0, 300.0, 2.0, 0.3),
    Observable(
        "darkening", "How dark has it turned?", ("as laid", "dark at the edges", "mostly dark", "dark and crumbling")
    ),
    Observable("nitrate-N", "Nitrate nitrogen of a strip test, 0-30 cm?", (), "mg/kg", 0.0, 500.0, 2.0, 0.25),
    Observable(
        "crop colour",
        "How does the crop look?",
        ("deep green", "green", "old leaves pale", "old leaves yellow", "young leaves yellow, veins green"),
    ),
    Observable(
        "soil moisture",
        "Squeeze soil from a hand's depth. How does it feel?",
        ("dry and crumbly", "a little moist", "moist, makes a ball", "wet, leaves a film", "water comes out"),
    ),
    Observable("mass left", "What share of the dry mass laid is left?", (), "1", 0.0, 1.5, 0.05, 0.0),
    Observable("cover", "What share of the ground is covered?", (), "1", 0.0, 1.0, 0.08, 0.0),
    Observable("harvest", "What share of the harvest hoped for came?", (), "1", 0.0, 3.0, 0.05, 0.1),
)

#: Nitrogen in nitrate, by mass. [g g-1] Molar masses: 14.007 of 62.004.
NITROGEN_OF_NITRATE = 0.226
#: The two ways strips tell nitrate, and what turns each into mg of nitrogen per kg. A reading without one is refused:
#: taking the one for the other is an error of four and a half times.
NITRATE_WAYS: Mapping[str, float] = MappingProxyType({"NO3": NITROGEN_OF_NITRATE, "NO3-N": 1.0})

#: Everything that can be observed, by key.
OBSERVABLES: Mapping[str, Observable] = MappingProxyType({one.key: one for one in _ALL})


def observable(key: str) -> Observable:
    """Return the row of one observable; raises NotFound with near names."""
    if key not in OBSERVABLES:
        raise NotFound("observation", key, difflib.get_close_matches(key, OBSERVABLES, 3, 0.4))
    return OBSERVABLES[key]


@dataclass(frozen=True, slots=True)
class Observation:
    """One answer on one bed and day.

    Raises
    ------
    NotFound
        When nothing of that name can be observed.
    InputFault
        When the answer is not among the allowed words, is no number, or is out of bounds.
    """

    what: str
    """Key of :data:`OBSERVABLES`."""
    bed: str
    day: date
    word: str | None = None
    """The answer of a class."""
    value: float | None = None
    """The answer of a number. [unit of the observable]"""
    error: float | None = None
    """Stated standard error; None takes the usual one. [unit of the observable]"""
    repeats: int = 1
    """Readings that ``value`` is the mean of."""
    entry: str = ""
    """Id of its entry in the record; two with equal ids are one. Empty where it was never kept."""

    def __post_init__(self) -> None:
        row = observable(self.what)
        faults = []
        if row.is_class:
            if self.word not in row.words or self.value is not None:
                found = self.word if self.value is None else self.value
                faults.append(Fault(self.what, f"{found}", ", ".join(row.words), "Choose one of these words."))
        elif self.word is not None or self.value is None or not row.low <= self.value <= row.high:
            found = self.word if self.word is not None else self.value
            allowed = f"a number from {row.low:g} to {row.high:g} {row.unit}"
            faults.append(Fault(self.what, f"{found}", allowed, "Check the reading and its unit."))
        if self.error is not None and not self.error > 0.0:
            faults.append(Fault(f"error of {self.what}", f"{self.error}", "above zero", "Leave it out if unknown."))
        if self.repeats < 1:
            faults.append(Fault(f"repeats of {self.what}", f"{self.repeats}", "1 or more", "Count the readings."))
        if faults:
            raise InputFault(faults)

    @property
    def standard_error(self) -> float | None:
        """Standard error of the mean of the repeats [unit of the observable]; None for a class."""
        row = observable(self.what)
        if row.is_class or self.value is None:
            return None
        one = (
            self.error if self.error is not None else float((row.error**2 + (row.error_share * self.value) ** 2) ** 0.5)
        )
        return float(one / self.repeats**0.5)


def nitrate_nitrogen(reading: float, told_as: str) -> float:
    """Return a strip's reading as nitrate nitrogen. [mg kg-1]

    Parameters
    ----------
    reading : float
        What the strip and its chart say. [mg kg-1]
    told_as : str
        "NO3" or "NO3-N", as printed on the chart.

    Raises
    ------
    InputFault
        When it is not said which of the two the chart tells, or the reading is below zero or no number.
    """
    if told_as not in NITRATE_WAYS or not 0.0 <= reading < float("inf"):
        allowed = f"a number of zero or more, in {' or '.join(NITRATE_WAYS)}"
        remedy = "Look on the chart of the strips: it says NO3 or NO3-N."
        raise InputFault([Fault("nitrate-N", f"{reading} {told_as}".strip(), allowed, remedy)])
    return reading * NITRATE_WAYS[told_as]


def as_one_set(observations: Iterable[Observation]) -> tuple[Observation, ...]:
    """Return observations in one order whatever the order they came in, each entry of the record once."""
    once: dict[object, Observation] = {}
    for number, one in enumerate(observations):
        once.setdefault(one.entry or number, one)
    return tuple(
        sorted(
            once.values(),
            key=lambda one: (one.day, one.bed, one.what, one.word or "", one.value or 0.0, one.repeats, one.entry),
        )
    )
