"""Canonical units, and the conversions of the edges: what a grower writes in, what a grower reads out.

Inside, every number is canonical: length m, area m2, volume L, mass kg, temperature degC, rate g m-2, time d.
Every factor below is exact by definition (international yard and pound; US and imperial gallon), save the month,
which is a twelfth of the one year length used here, 365.25 d.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType

from mullbed.errors import Fault, InputFault


class Kind(StrEnum):
    """What sort of quantity it is; the canonical unit stands beside it."""

    LENGTH = "length"
    """[m]"""
    AREA = "area"
    """[m2]"""
    VOLUME = "volume"
    """[L]"""
    MASS = "mass"
    """[kg]"""
    TEMPERATURE = "temperature"
    """[degC]"""
    RATE = "mass per area"
    """[g m-2]"""
    TIME = "time"
    """[d]"""
    COUNT = "count of containers"
    """[1]"""


@dataclass(frozen=True, slots=True)
class Quantity:
    """An amount as it was read: its kind, its canonical value, and the container it is counted in, if any."""

    kind: Kind
    value: float
    """In the canonical unit of its kind; for a count, how many."""
    container: str | None = None
    """The grower's word for the container, in the singular; None for a physical unit."""


_FOOT, _POUND, _GALLON, _IMPERIAL_GALLON = 0.3048, 0.45359237, 3.785411784, 4.54609
_LITRES_PER_CUBIC_FOOT = _FOOT**3 * 1000
_ACRE = 43560 * _FOOT**2
_YEAR = 365.25

_TABLE: dict[Kind, dict[str, float]] = {
    Kind.LENGTH: {"mm": 0.001, "cm": 0.01, "m": 1.0, "in": _FOOT / 12, "ft": _FOOT, "yd": 3 * _FOOT},
    Kind.AREA: {"m2": 1.0, "cm2": 1e-4, "ha": 1e4, "in2": (_FOOT / 12) ** 2, "ft2": _FOOT**2, "yd2": 9 * _FOOT**2}
    | {"ac": _ACRE},
    Kind.VOLUME: {"L": 1.0, "mL": 0.001, "m3": 1000.0, "gal": _GALLON, "qt": _GALLON / 4}
    | {"imp gal": _IMPERIAL_GALLON, "ft3": _LITRES_PER_CUBIC_FOOT, "yd3": 27 * _LITRES_PER_CUBIC_FOOT},
    Kind.MASS: {"g": 0.001, "kg": 1.0, "t": 1000.0, "oz": _POUND / 16, "lb": _POUND, "short ton": 2000 * _POUND},
    Kind.TEMPERATURE: {"degC": 1.0, "degF": 5 / 9},
    Kind.RATE: {"g/m2": 1.0, "kg/m2": 1000.0, "kg/ha": 0.1, "t/ha": 100.0, "lb/ac": 1000 * _POUND / _ACRE}
    | {"lb/1000ft2": _POUND / _FOOT**2},
    Kind.TIME: {"d": 1.0, "week": 7.0, "month": _YEAR / 12, "year": _YEAR, "h": 1 / 24, "min": 1 / 1440},
}

_OTHER_SPELLINGS = {
    "mm": "millimetre millimetres millimeter millimeters",
    "cm": "centimetre centimetres centimeter centimeters",
    "m": "metre metres meter meters",
    "in": '" ″ inch inches',
    "ft": "' ′ foot feet",
    "yd": "yard yards",
    "m2": "m² m^2 sqm|sq m|square metre|square metres|square meter|square meters",
    "cm2": "cm² cm^2",
    "ha": "hectare hectares",
    "in2": "in² in^2|sq in|square inch|square inches",
    "ft2": "ft² ft^2 sqft|sq ft|square foot|square feet",
    "yd2": "yd² yd^2|sq yd|square yard|square yards",
    "ac": "acre acres",
    "L": "l litre litres liter liters",
    "mL": "ml millilitre millilitres milliliter milliliters",
    "m3": "m³ m^3|cubic metre|cubic metres|cubic meter|cubic meters",
    "gal": "gallon gallons gals|us gal|us gallon|us gallons",
    "qt": "quart quarts",
    "imp gal": "|imperial gallon|imperial gallons|uk gallon|uk gallons",
    "ft3": "ft³ ft^3 cuft|cu ft|cubic foot|cubic feet",
    "yd3": "yd³ yd^3|cu yd|cubic yard|cubic yards",
    "g": "gram grams gramme grammes",
    "kg": "kilo kilos kilogram kilograms",
    "t": "tonne tonnes",
    "oz": "ounce ounces",
    "lb": "lbs pound pounds",
    "short ton": "|short tons|us ton|us tons",
    "degC": "c °c celsius",
    "degF": "f °f fahrenheit",
    "g/m2": "g/m² |g m-2",
    "kg/m2": "kg/m²",
    "t/ha": "",
    "kg/ha": "|kg ha-1",
    "lb/ac": "lb/acre lbs/ac lbs/acre",
    "lb/1000ft2": "lb/1000ft² lb/1000sqft |lb/1000 ft2|lb/1000 sq ft|lb/1000 ft²",
    "d": "day days",
    "week": "weeks wk wks w",
    "month": "months",
    "year": "years",
    "h": "hour hours hr",
    "min": "minute minutes",
}

_KIND_OF = {unit: kind for kind, factors in _TABLE.items() for unit in factors}
_SPELLINGS = MappingProxyType(
    {unit.casefold(): unit for unit in _KIND_OF}
    | {
        spelling.strip(): unit
        for unit, written in _OTHER_SPELLINGS.items()
        for first, *phrases in [written.split("|")]
        for spelling in [*first.split(), *phrases]
        if spelling.strip()
    }
)

_FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3"}
_WORDS_FOR_NUMBERS = {"half a": "0.5 ", "half an": "0.5 ", "a": "1 ", "an": "1 ", "one": "1 ", "half": "0.5 "}
_NUMBER = re.compile(
    r"(?P<number>[-+−]?(?:\d+ +\d+/\d+|\d+/\d+|(?:\d[\d.,' ]*\d|\d|[.,]\d+)(?:[eE][-+]?\d+)?))\s*(?P<unit>.*)", re.S
)
_FAHRENHEIT_FREEZES = 32.0


def _refuse(place: str, text: str, allowed: str, remedy: str) -> InputFault:
    """Return the error for one amount that cannot be read."""
    return InputFault([Fault(place, f"'{text}'", allowed, remedy)])


def parse_number(text: str, place: str = "number") -> float:
    """Return a number written with a decimal point or a decimal comma, or as a fraction such as "1 1/2".

    Raises
    ------
    InputFault
        When it is no number, or when a comma could mean two things, as in "1,000".
    """
    written = text.strip().replace("−", "-")
    for sign, fraction in _FRACTIONS.items():
        written = written.replace(sign, f" {fraction}")
    sign_factor = -1.0 if written.startswith("-") else 1.0
    written = written.lstrip("+-").strip()
    mixed = re.fullmatch(r"(?:(\d{1,9}) +)?(\d{1,9})/([1-9]\d{0,8})", written)
    if mixed:
        return sign_factor * float(int(mixed[1] or 0) + Fraction(int(mixed[2]), int(mixed[3])))
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", written):
        whole = written.replace(",", "")
        raise _refuse(
            place, text, "a number that can be read in one way", f"Write {whole} or {written.replace(',', '.')}."
        )
    if re.fullmatch(r"\d{1,3}(,\d{3})+\.\d+|\d{1,3}(,\d{3}){2,}", written):
        written = written.replace(",", "")
    elif re.fullmatch(r"\d*,\d+", written):
        written = written.replace(",", ".")
    if not re.fullmatch(r"\d+\.?\d*(e[-+]?\d+)?|\.\d+", written, re.I) or not math.isfinite(float(written)):
        raise _refuse(place, text, "a number such as 2.5 or 2,5", "Write a plain number.")
    return sign_factor * float(written)


def _singular(word: str) -> str:
    """Return the singular of a container word: "buckets" to "bucket", "boxes" to "box"."""
    if re.search(r"(x|ch|sh|ss)es$", word):
        return word[:-2]
    if word.endswith("s") and not word.endswith("ss"):
        return word[:-1]
    return word


def parse_quantity(text: str, place: str = "amount", default_unit: str | None = None) -> Quantity:
    """Read an amount: "25mm", "2,5 cm", "2 in", "40 L", "3.1kg", "1.5 barrow", "half a bucket", "26 weeks".

    A word that is no unit is taken as a container, in the singular.

    Raises
    ------
    InputFault
        When it has no number or no unit, or is negative where only a temperature may be.
    """
    written = text.strip()
    for words, digits in _WORDS_FOR_NUMBERS.items():
        if written.casefold().startswith(words + " "):
            written = digits + written[len(words) + 1 :]
            break
    for sign, fraction in _FRACTIONS.items():
        written = written.replace(sign, f" {fraction}").strip()
    found = _NUMBER.fullmatch(written)
    if not found:
        allowed = "a number and a unit or container, such as 25mm, 2 in, 40 L or 3 buckets"
        raise _refuse(place, text, allowed, "Begin with a number.")
    number = parse_number(found["number"], place)
    word = found["unit"].strip().rstrip(".").casefold() or (default_unit or "")
    word = re.sub(r"\s+", " ", word)
    if not word:
        raise _refuse(place, text, "a number and a unit or container", f"Add the unit, such as {text.strip()} mm.")
    unit = _SPELLINGS.get(word) or _SPELLINGS.get(word.casefold())
    kind = _KIND_OF[unit] if unit else Kind.COUNT
    if number < 0 and kind is not Kind.TEMPERATURE:
        raise _refuse(place, text, "zero or more", "Give an amount that is not negative.")
    if unit is None:
        if not re.fullmatch(r"[^\W\d_][\w \-']*", word):
            raise _refuse(place, text, "a unit or the name of a container", "Check the spelling of the unit.")
        return Quantity(kind, number, _singular(word))
    value = to_canonical(number, unit)
    if not math.isfinite(value):
        raise _refuse(place, text, "an amount of this world", "Check the number.")
    return Quantity(kind, value)


def parse_as(text: str, kind: Kind, place: str = "amount", default_unit: str | None = None) -> float:
    """Return an amount of one kind in its canonical unit; an area may be written "1.2 m x 2.4 m" or "4 x 8 ft".

    Raises
    ------
    InputFault
        When it cannot be read or is of another kind.
    """
    sides = re.split(r"\s*[x×*]\s*", text.strip(), flags=re.I)
    if kind is Kind.AREA and len(sides) == 2 and all(re.search(r"\d", side) for side in sides):
        shared_unit = re.sub(r"^[\d\s.,/½¼¾⅓⅔]+", "", sides[1]) or default_unit
        return math.prod(parse_as(side, Kind.LENGTH, place, shared_unit) for side in sides)
    quantity = parse_quantity(text, place, default_unit)
    if quantity.kind is not kind:
        units = ", ".join(_TABLE[kind]) if kind in _TABLE else "a container"
        raise _refuse(place, text, f"{kind}, in {units}", "Use one of these units.")
    return quantity.value


def to_canonical(value: float, unit: str) -> float:
    """Return a value of a unit, in the canonical unit of its kind."""
    if unit == "degF":
        value -= _FAHRENHEIT_FREEZES
    return value * _TABLE[_KIND_OF[unit]][unit]


def from_canonical(value: float, unit: str) -> float:
    """Return a canonical value in the unit named."""
    shown = value / _TABLE[_KIND_OF[unit]][unit]
    return shown + _FAHRENHEIT_FREEZES if unit == "degF" else shown


def canonical_unit(kind: Kind) -> str:
    """Return the canonical unit of a kind."""
    return next((unit for unit, factor in _TABLE.get(kind, {}).items() if factor == 1.0), "1")


#: Units a grower reads, smallest first, each with the canonical value from which the next one is kinder.
_SHOWN: dict[Kind, dict[str, tuple[tuple[str, float], ...]]] = {
    Kind.LENGTH: {"metric": (("mm", 0.01), ("cm", 1.0), ("m", math.inf)), "us": (("in", 0.9144), ("ft", math.inf))},
    Kind.AREA: {"metric": (("m2", 1e4), ("ha", math.inf)), "us": (("ft2", _ACRE), ("ac", math.inf))},
    Kind.VOLUME: {"metric": (("L", 1000.0), ("m3", math.inf)), "us": (("gal", 378.0), ("yd3", math.inf))},
    Kind.MASS: {"metric": (("g", 1.0), ("kg", 1000.0), ("t", math.inf)), "us": (("oz", _POUND), ("lb", math.inf))},
    Kind.TEMPERATURE: {"metric": (("degC", math.inf),), "us": (("degF", math.inf),)},
    Kind.RATE: {"metric": (("g/m2", math.inf),), "us": (("lb/1000ft2", math.inf),)},
    Kind.TIME: {"metric": (("d", math.inf),), "us": (("d", math.inf),)},
}


def rounded(value: float, figures: int = 3) -> str:
    """Return a number to so many figures, whole digits always kept, no trailing zeros."""
    if value == 0 or not math.isfinite(value):
        return f"{value:g}"
    decimals = max(0, figures - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def format_quantity(quantity: Quantity, system: str = "metric", figures: int = 3) -> str:
    """Return an amount as a grower of the unit system ("metric" or "us") reads it: "2.5 cm", "1 in", "3 bucket"."""
    if quantity.kind is Kind.COUNT:
        return f"{rounded(quantity.value, figures)} {quantity.container}"
    choices = _SHOWN[quantity.kind][system]
    unit = next(unit for unit, below in choices if abs(quantity.value) < below or below == math.inf)
    return f"{rounded(from_canonical(quantity.value, unit), figures)} {unit}"
