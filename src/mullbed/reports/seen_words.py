"""What can be observed, as words and numbers a grower reads."""

from __future__ import annotations

from mullbed.domain.garden import UnitSystem
from mullbed.domain.observation import Observation, observable
from mullbed.reports.amounts import is_us
from mullbed.reports.words import evenly
from mullbed.units import from_canonical

#: What each thing is called in a sentence.
NAMES = {
    "thickness by finger": "height of the cover by finger",
    "thickness by ruler": "height of the cover by ruler",
    "squeeze": "squeeze of the cover",
    "layer temperature": "warmth of the cover",
    "soil temperature": "warmth of the soil",
    "smell": "smell",
    "threads": "threads and mould",
    "worms": "worms in a spadeful",
    "darkening": "darkening",
    "nitrate-N": "nitrate nitrogen",
    "crop colour": "colour of the crop",
    "soil moisture": "feel of the soil",
    "mass left": "mass left",
    "cover": "ground covered",
    "harvest": "harvest against what was hoped for",
}


def name_words(what: str) -> str:
    """Return what a thing is called in a sentence; its key where it has no name yet."""
    return NAMES.get(what, what)


def unit_words(what: str, units: UnitSystem) -> str:
    """Return the unit a grower reads a number in; wetness of words is in % too."""
    us = is_us(units)
    kind = "wetness" if what == "squeeze" else observable(what).unit
    if kind == "m":
        return "in" if us else "cm"
    if kind == "Cel":
        return "°F" if us else "°C"
    if what in ("mass left", "cover", "harvest", "squeeze"):
        return "%"
    return "mg/kg" if kind == "mg/kg" else ""


def shown_value(what: str, value: float, units: UnitSystem, *, difference: bool = False) -> float:
    """Return a number, or a difference of two, in the unit a grower reads it in."""
    unit = unit_words(what, units)
    if unit in ("cm", "in"):
        return from_canonical(value, unit)
    if unit == "°F":
        return 1.8 * value if difference else from_canonical(value, "degF")
    return 100.0 * value if unit == "%" else value


def values_words(what: str, values: tuple[float, ...], units: UnitSystem) -> list[str]:
    """Return several numbers of one thing, rounded alike, without their unit."""
    return evenly([shown_value(what, value, units) for value in values])


def answer_words(observation: Observation, units: UnitSystem) -> str:
    """Return what was answered: the word, or the number with its unit."""
    if observation.word is not None:
        return f"“{observation.word}”"
    return with_unit(values_words(observation.what, (observation.value or 0.0,), units)[0], observation.what, units)


def with_unit(text: str, what: str, units: UnitSystem) -> str:
    """Return a number's text with its unit."""
    unit = unit_words(what, units)
    return f"{text} {unit}" if unit else text
