"""Conversions at the edges: what a grower writes into canonical units, and canonical units back.

Inside, everything is in mm, m, m², L, kg, g m⁻², °C and days. Factors are exact definitions.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from mullbed.errors import Fault, InputFault

MM_PER_INCH = 25.4
M2_PER_FT2 = 0.3048**2
M2_PER_YD2 = 0.9144**2
M2_PER_ACRE = 4046.8564224
LITRES_PER_GALLON = 3.785411784
LITRES_PER_FT3 = 28.316846592
LITRES_PER_YD3 = 764.554857984
LITRES_PER_BUSHEL = 35.23907016688
KG_PER_POUND = 0.45359237
KG_PER_OUNCE = 0.45359237 / 16.0
#: kg ha-1 for each g m-2.
KG_HA_PER_G_M2 = 10.0
#: lb per 1,000 ft2 for each g m-2.
LB_1000FT2_PER_G_M2 = 1000.0 * M2_PER_FT2 / (1000.0 * KG_PER_POUND)


class Kind(StrEnum):
    """What a quantity measures."""

    DEPTH = "depth"
    AREA = "area"
    VOLUME = "volume"
    MASS = "mass"
    TIME = "time"
    WATER = "water"
    COUNT = "count"


@dataclass(frozen=True, slots=True)
class Quantity:
    """An amount in canonical units: depth mm, area m2, volume L, mass kg, time d; a count names its container."""

    kind: Kind
    value: float
    container: str = ""


_UNITS: dict[str, tuple[Kind, float]] = {
    "mm": (Kind.DEPTH, 1.0), "cm": (Kind.DEPTH, 10.0), "m": (Kind.DEPTH, 1000.0), "in": (Kind.DEPTH, MM_PER_INCH),
    "inch": (Kind.DEPTH, MM_PER_INCH), "inches": (Kind.DEPTH, MM_PER_INCH), '"': (Kind.DEPTH, MM_PER_INCH),
    "ft": (Kind.DEPTH, 304.8), "foot": (Kind.DEPTH, 304.8), "feet": (Kind.DEPTH, 304.8), "'": (Kind.DEPTH, 304.8),
    "m2": (Kind.AREA, 1.0), "m²": (Kind.AREA, 1.0), "sqm": (Kind.AREA, 1.0), "ft2": (Kind.AREA, M2_PER_FT2),
    "ft²": (Kind.AREA, M2_PER_FT2), "sqft": (Kind.AREA, M2_PER_FT2), "yd2": (Kind.AREA, M2_PER_YD2),
    "acre": (Kind.AREA, M2_PER_ACRE), "ha": (Kind.AREA, 10_000.0),
    "l": (Kind.VOLUME, 1.0), "litre": (Kind.VOLUME, 1.0), "litres": (Kind.VOLUME, 1.0), "liter": (Kind.VOLUME, 1.0),
    "liters": (Kind.VOLUME, 1.0), "ml": (Kind.VOLUME, 0.001), "gal": (Kind.VOLUME, LITRES_PER_GALLON),
    "gallon": (Kind.VOLUME, LITRES_PER_GALLON), "gallons": (Kind.VOLUME, LITRES_PER_GALLON),
    "ft3": (Kind.VOLUME, LITRES_PER_FT3), "cuft": (Kind.VOLUME, LITRES_PER_FT3), "yd3": (Kind.VOLUME, LITRES_PER_YD3),
    "m3": (Kind.VOLUME, 1000.0), "m³": (Kind.VOLUME, 1000.0), "bushel": (Kind.VOLUME, LITRES_PER_BUSHEL),
    "g": (Kind.MASS, 0.001), "kg": (Kind.MASS, 1.0), "t": (Kind.MASS, 1000.0), "lb": (Kind.MASS, KG_PER_POUND),
    "lbs": (Kind.MASS, KG_PER_POUND), "oz": (Kind.MASS, KG_PER_OUNCE),
    "d": (Kind.TIME, 1.0), "day": (Kind.TIME, 1.0), "days": (Kind.TIME, 1.0), "week": (Kind.TIME, 7.0),
    "weeks": (Kind.TIME, 7.0), "month": (Kind.TIME, 365.25 / 12.0), "months": (Kind.TIME, 365.25 / 12.0),
    "year": (Kind.TIME, 365.25), "years": (Kind.TIME, 365.25),
}

_AMOUNT = re.compile(r"^\s*(?P<number>[+-]?\d+(?:[.,]\d+)?|[+-]?[.,]\d+|\d+\s*/\s*\d+)?\s*(?P<unit>.*?)\s*$")


def read_number(text: str) -> float:
    """Return a number written with a point or a decimal comma, or as a fraction such as 1/2.

    Raises
    ------
    ValueError
        When it is no number.
    """
    cleaned = text.strip().replace(" ", "")
    if re.fullmatch(r"\d+/[1-9]\d*", cleaned):
        above, below = cleaned.split("/")
        return int(above) / int(below)
    if not re.fullmatch(r"[+-]?(\d+([.,]\d+)?|[.,]\d+)", cleaned):
        raise ValueError(f"'{text}' is no number")
    return float(cleaned.replace(",", "."))


def read_quantity(text: str, place: str, allowed: frozenset[Kind] | None = None) -> Quantity:
    """Return an amount such as "25mm", "2,5 cm", "40 L", "3 buckets" or "3.5 weeks".

    Parameters
    ----------
    text : str
        What was written.
    place : str
        Where it was written, for the fault.
    allowed : frozenset of Kind, optional
        Kinds that make sense there.

    Raises
    ------
    InputFault
        When it is no amount, not finite, negative or of a kind not allowed there.
    """
    match = _AMOUNT.match(text)
    wanted = ", ".join(sorted(allowed)) if allowed else "an amount with its unit"
    example = 'Write it like "25mm", "2 in", "40 L", "3.1 kg" or "3 buckets".'
    if match is None or match["number"] is None:
        raise InputFault([Fault(place, f"'{text}' is no amount", wanted, example)])
    value = read_number(match["number"])
    unit = match["unit"].strip()
    if unit.casefold() in _UNITS:
        kind, factor = _UNITS[unit.casefold()]
        found = Quantity(kind, value * factor)
    elif unit:
        found = Quantity(Kind.COUNT, value, unit)
    else:
        raise InputFault([Fault(place, f"'{text}' has no unit", wanted, example)])
    if found.value < 0.0:
        raise InputFault([Fault(place, f"'{text}' is negative", "zero or more", "Give an amount of zero or more.")])
    if allowed and found.kind not in allowed:
        raise InputFault([Fault(place, f"'{text}' is a {found.kind}", wanted, example)])
    return found


def fahrenheit_to_celsius(temperature: float) -> float:
    """Return °C from °F."""
    return (temperature - 32.0) / 1.8


def celsius_to_fahrenheit(temperature: float) -> float:
    """Return °F from °C."""
    return temperature * 1.8 + 32.0


def rate_text(grams_per_m2: float, us: bool) -> tuple[float, str]:
    """Return a rate in kg/ha, or in lb per 1,000 ft2 for US units, with its unit."""
    if us:
        return grams_per_m2 * LB_1000FT2_PER_G_M2, "lb/1,000 ft²"
    return grams_per_m2 * KG_HA_PER_G_M2, "kg/ha"


def depth_text(metres: float, us: bool) -> tuple[float, str]:
    """Return a thickness in cm, or in inches for US units, with its unit."""
    return (metres * 1000.0 / MM_PER_INCH, "in") if us else (metres * 100.0, "cm")


def volume_text(litres: float, us: bool) -> tuple[float, str]:
    """Return a volume in L, or in US gallons, with its unit."""
    return (litres / LITRES_PER_GALLON, "gal") if us else (litres, "L")


def area_text(square_metres: float, us: bool) -> tuple[float, str]:
    """Return an area in m2, or in ft2, with its unit."""
    return (square_metres / M2_PER_FT2, "ft²") if us else (square_metres, "m²")


def mass_text(kilograms: float, us: bool) -> tuple[float, str]:
    """Return a mass in kg, or in lb, with its unit."""
    return (kilograms / KG_PER_POUND, "lb") if us else (kilograms, "kg")


def temperature_text(celsius: float, us: bool) -> tuple[float, str]:
    """Return a temperature in °C, or in °F, with its unit."""
    return (celsius_to_fahrenheit(celsius), "°F") if us else (celsius, "°C")
