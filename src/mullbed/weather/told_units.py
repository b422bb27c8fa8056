"""Units of daily weather as tables write them, and how they become ours; a unit that is not known is never guessed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit of one quantity: ours = factor x theirs + offset."""

    name: str
    """As it is shown."""
    factor: float
    offset: float = 0.0

    def ours(self, value: float) -> float:
        """Return a value in our unit."""
        return self.factor * value + self.offset


_TEMPERATURE = {
    "°C": (1.0, 0.0, "c degc celsius degreesc degreescelsius gradc"),
    "°F": (5.0 / 9.0, -160.0 / 9.0, "f degf fahrenheit degreesf"),
    "K": (1.0, -273.15, "k kelvin"),
    "0.1 °C": (0.1, 0.0, "0.1c 0.1degc tenthsc c/10 10thc"),
}
_DEPTH = {
    "mm": (1.0, 0.0, "mm mm/d mm/day mmd-1 mmd1 kg/m2 kgm-2 l/m2 lm2 millimeters millimetres"),
    "cm": (10.0, 0.0, "cm cm/d cm/day"),
    "in": (25.4, 0.0, "in inch inches in/d in/day"),
    "0.1 mm": (0.1, 0.0, "0.1mm tenthsmm mm/10 10thmm"),
    "0.01 in": (0.254, 0.0, "0.01in hundredthsin in/100"),
    "m": (1000.0, 0.0, "m m/d m/day"),
}
_RADIATION = {
    "MJ/m2": (1.0, 0.0, "mj/m2 mjm2 mjm-2 mj/m2/d mj/m2/day mjm-2d-1 mjm2d mj"),
    "W/m2": (0.0864, 0.0, "w/m2 wm2 wm-2 w"),
    "kWh/m2": (3.6, 0.0, "kwh/m2 kwhm2 kwhm-2 kwh/m2/d kwh/m2/day kw-hr/m2/day kwh"),
    "J/cm2": (0.01, 0.0, "j/cm2 jcm2 jcm-2"),
    "kJ/m2": (0.001, 0.0, "kj/m2 kjm2 kjm-2"),
    "cal/cm2": (0.04184, 0.0, "cal/cm2 calcm2 ly langley langleys ly/day"),
}
_SHARE = {"%": (1.0, 0.0, "% pct percent rh%"), "1": (100.0, 0.0, "1 fraction frac 0-1")}
_SPEED = {
    "m/s": (1.0, 0.0, "m/s ms ms-1 mps m/sec"),
    "km/h": (1.0 / 3.6, 0.0, "km/h kmh kmh-1 kph km/hr"),
    "mph": (0.44704, 0.0, "mph mi/h mp/h miles/h"),
    "kn": (0.514444, 0.0, "kn kt kts knot knots"),
    "km/d": (1.0 / 86.4, 0.0, "km/d km/day kmd-1"),
}
_QUANTITIES = {
    "tmin_c": _TEMPERATURE,
    "tmax_c": _TEMPERATURE,
    "precip_mm": _DEPTH,
    "srad": _RADIATION,
    "humidity": _SHARE,
    "wind": _SPEED,
    "et0": _DEPTH,
    "dew_point": _TEMPERATURE,
}
OURS: Mapping[str, str] = {column: next(iter(units)) for column, units in _QUANTITIES.items()}
"""The unit of each column of a station file, as it is shown."""


def normal(text: str) -> str:
    """Return a unit's spelling without blanks, powers and signs that differ from table to table."""
    text = text.strip().casefold().replace("²", "2").replace("⁻", "-").replace("¹", "1").replace("**", "")
    return re.sub(r"[\s^°º_·*]", "", text)


def unit_named(column: str, text: str) -> Unit | None:
    """Return the unit of a column that a text names; None where it is none of this quantity."""
    wanted = normal(text)
    for name, (factor, offset, spellings) in _QUANTITIES[column].items():
        if wanted == normal(name) or wanted in spellings.split():
            return Unit(name, factor, offset)
    return None


def units_of(column: str) -> tuple[Unit, ...]:
    """Return every unit a column may be in, ours first."""
    return tuple(Unit(name, factor, offset) for name, (factor, offset, _) in _QUANTITIES[column].items())
