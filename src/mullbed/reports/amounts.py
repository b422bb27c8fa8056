"""Amounts in the grower's own units: containers, fingers, centimetres or inches, litres or gallons."""

from __future__ import annotations

from mullbed.domain.garden import UnitSystem
from mullbed.domain.layer import Layer, Lift
from mullbed.domain.spread import Spread
from mullbed.language import in_signs, say
from mullbed.reports.words import number, plural, spread_words
from mullbed.units import from_canonical

_FINGER, _THUMB, _HAND = 2.0, 2.5, 10.0
"""Hand words: a finger is 2 cm thick laid flat, a thumb 2.5, a hand 10 wide. [cm]"""

_PLAIN_DEPTHS = {"depth", "mm", "cm", "in", "inch", "inches"}


def is_us(units: UnitSystem) -> bool:
    """Return whether the grower reads US units."""
    return units is UnitSystem.US


def thickness_mm(metres: float) -> int:
    """Return a thickness as every output shows it. [mm]"""
    return round(metres * 1000)


def layer_thickness_mm(layer: Layer) -> int:
    """Return the thickness of a layer as the sum of its shown lifts, so that the page adds up. [mm]"""
    return sum(thickness_mm(lift.thickness) for lift in layer.lifts)


def millimetres_words(millimetres: float, units: UnitSystem) -> str:
    """Return "2.1 cm" or "0.8 in"."""
    if is_us(units):
        return in_signs(f"{from_canonical(millimetres / 1000, 'in'):.1f} in")
    return in_signs(f"{millimetres / 10:.1f} cm")


def thickness_words(metres: float, units: UnitSystem) -> str:
    """Return a thickness in the grower's unit, from the same whole millimetres as plan.json."""
    return millimetres_words(thickness_mm(metres), units)


def hand_words(metres: float) -> str:
    """Return a depth in fingers, thumbs and hands: "a finger deep"."""
    centimetres = metres * 100
    if centimetres < 0.8:
        return say("just covering")
    if centimetres < 1.5:
        return say("half a finger deep")
    if centimetres < 2.25:
        return say("a finger deep")
    if centimetres < 3.2:
        return say("a thumb deep")
    if centimetres < 7.5:
        count = round(centimetres / _FINGER)
        word = (say("two"), say("three"), say("four"))[max(0, min(2, count - 2))]
        return say("{count} fingers deep", count=word)
    hands = round(centimetres / _HAND * 2) / 2
    if hands <= 1:
        return say("a hand deep")
    return say("{count} hands deep", count=number(hands))


def limit_words(metres: float) -> str:
    """Return a depth as what is not passed: "a finger", "two fingers"."""
    centimetres = metres * 100
    if centimetres < 0.8:
        return say("just covering")
    if centimetres < 1.5:
        return say("half a finger")
    if centimetres < 2.25:
        return say("a finger")
    if centimetres < 3.2:
        return say("a thumb")
    if centimetres < 7.5:
        count = max(0, min(2, round(centimetres / _FINGER) - 2))
        return say("{count} fingers", count=(say("two"), say("three"), say("four"))[count])
    hands = round(centimetres / _HAND * 2) / 2
    return say("a hand") if hands <= 1 else say("{count} hands", count=number(hands))


def count_words(count: float, container: str) -> str:
    """Return "3 buckets", "half a bucket", "2½ bags"; halves are what a grower can measure."""
    if container.casefold() in _PLAIN_DEPTHS:
        return f"{number(count)} {'mm' if container == 'depth' else container}"
    if abs(count - 0.5) < 0.01:
        return say("half a {container}", container=plural(container, 1))
    whole, rest = int(count), count - int(count)
    if abs(rest - 0.5) < 0.01:
        return f"{whole}½ {plural(container)}"
    text = f"{count:.0f}" if rest < 0.01 or rest > 0.99 else number(count)
    if container in {"kg", "lb", "L", "g", "oz", "gal"}:
        return f"{text} {container}"
    return f"{text} {plural(container, 1 if text == '1' else 2)}"


def lift_amount(lift: Lift) -> str:
    """Return the amount of one lift in its container."""
    return count_words(lift.count, lift.container)


def cans_words(cans: float) -> str:
    """Return cans of water to the half can; a little is said so."""
    halves = round(cans * 2) / 2
    if halves == 0:
        return say("no water") if cans < 0.05 else say("a splash")
    return count_words(halves, "can")


def area_words(square_metres: float, units: UnitSystem) -> str:
    """Return "3.6 m²" or "39 sq ft"."""
    if is_us(units):
        return f"{number(from_canonical(square_metres, 'ft2'))} {say('sq ft')}"
    return f"{number(square_metres)} m²"


def volume_words(litres: float, units: UnitSystem) -> str:
    """Return "18 L" or "4.8 gal"."""
    return f"{number(from_canonical(litres, 'gal'))} gal" if is_us(units) else f"{number(litres)} L"


def mass_words(kilograms: float, units: UnitSystem) -> str:
    """Return "12 kg" or "26 lb"."""
    return f"{number(from_canonical(kilograms, 'lb'))} lb" if is_us(units) else f"{number(kilograms)} kg"


def temperature_words(celsius: float, units: UnitSystem) -> str:
    """Return "19 °C" or "66 °F"."""
    return f"{from_canonical(celsius, 'degF'):.0f} °F" if is_us(units) else f"{celsius:.0f} °C"


def per_area_factor(units: UnitSystem) -> float:
    """Return what turns g m-2 into the shown unit."""
    return from_canonical(1.0, "lb/1000ft2") if is_us(units) else 1.0


def per_area_unit(units: UnitSystem, *, short: bool = False) -> str:
    """Return the unit of nutrients on a bed in words: g a square metre, or lb a thousand square feet."""
    if is_us(units):
        return "lb/1000 sq ft" if short else say("lb a thousand square feet")
    return "g/m²" if short else say("g a square metre")


def per_area_words(spread: Spread, units: UnitSystem, *, short: bool = False) -> str:
    """Return nutrients on a bed with their range."""
    return spread_words(scaled_to(spread, units), per_area_unit(units, short=short))


def scaled_to(spread: Spread, units: UnitSystem) -> Spread:
    """Return nutrients on a bed in the shown unit."""
    return spread.scaled(per_area_factor(units))


def field_rate_words(spread: Spread, units: UnitSystem) -> str:
    """Return grams a square metre as the rate farms speak of: kg per hectare or lb per acre."""
    if is_us(units):
        return spread_words(spread.scaled(from_canonical(1.0, "lb/ac")), say("lb per acre"))
    return spread_words(spread.scaled(from_canonical(1.0, "kg/ha")), say("kg per hectare"))
