"""What laboratories measure: its names in a table's head, the units it may come in, what spoils a comparison."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from mullbed.domain.record_seen import TestedValue
from mullbed.errors import Fault
from mullbed.files.table_rows import number_cell

NITRATE_TO_NITROGEN = 0.226
"""Mass of N in a mass of NO3: 14.007 / 62.005."""
PENTOXIDE_TO_PHOSPHORUS = 0.4364
"""Mass of P in a mass of P2O5: 2 x 30.974 / 141.94."""
OXIDE_TO_POTASSIUM = 0.8301
"""Mass of K in a mass of K2O: 2 x 39.098 / 94.196."""
_CONTENT = MappingProxyType(
    {"mg/kg": 1.0, "ppm": 1.0, "mg/100g": 10.0, "mg/100 g": 10.0, "%": 10_000.0, "g/kg": 1000.0}
)
_SHARE = MappingProxyType({"%": 1.0, "g/kg": 0.1, "g/100g": 1.0, "mg/kg": 0.0001, "fraction": 100.0})


@dataclass(frozen=True, slots=True)
class Analyte:
    """One thing a laboratory measures."""

    name: str
    unit: str
    """Unit it is kept in."""
    units: Mapping[str, float]
    """Units it may come in, with what turns them into ours."""
    also: tuple[str, ...]
    """Other names, in small letters."""
    low: float
    high: float
    """Beyond these something was typed wrongly. [unit]"""
    needs_method: bool = False
    bare: bool = False
    """Whether it has no unit."""
    ambiguous: bool = False
    """True for a name that leaves open what is given."""

    def method_fault(self, place: str) -> Fault:
        """Return the fault of a value whose method nobody named."""
        allowed = "Bray 1, Olsen, Mehlich 3 or another"
        return Fault(place, f"{self.name} without its method", allowed, f'Say --method "{self.name}=Bray 1".')

    def unit_fault(self, place: str, found: str) -> Fault:
        """Return the fault of a value whose unit nobody gave."""
        if self.ambiguous:
            remedy = 'Say --column "nitrate-n=NAME" or --column "nitrate as no3=NAME"; a factor of four hangs on it.'
            return Fault(place, f"'{found}'", "nitrate-N, or nitrate as NO3", remedy)
        return Fault(place, found, ", ".join(self.units), f"Write the unit behind the name: {self.name} [{self.unit}].")


_ANALYTES = (
    Analyte("pH", "1", MappingProxyType({"1": 1.0, "": 1.0}), ("ph", "ph (water)", "soil ph"), 2.0, 12.0, bare=True),
    Analyte("organic matter", "%", _SHARE, ("om", "som", "soil organic matter", "loss on ignition", "loi"), 0.0, 100.0),
    Analyte("organic carbon", "%", _SHARE, ("oc", "soc", "toc", "soil organic carbon"), 0.0, 60.0),
    Analyte("total nitrogen", "%", _SHARE, ("total n", "n total", "tn"), 0.0, 5.0),
    Analyte(
        "nitrate nitrogen", "mg/kg", _CONTENT, ("nitrate-n", "no3-n", "nitrate n", "nitrate nitrogen"), 0.0, 1000.0
    ),
    Analyte(
        "nitrate as no3",
        "mg/kg",
        MappingProxyType({unit: turn * NITRATE_TO_NITROGEN for unit, turn in _CONTENT.items()}),
        (),
        0.0,
        1000.0,
    ),
    Analyte("nitrate", "mg/kg", _CONTENT, ("no3", "nitrates"), 0.0, 5000.0, ambiguous=True),
    Analyte("ammonium nitrogen", "mg/kg", _CONTENT, ("ammonium-n", "nh4-n", "ammonium n"), 0.0, 1000.0),
    Analyte(
        "mineral nitrogen",
        "kg/ha",
        MappingProxyType({"kg/ha": 1.0, "g/m2": 10.0}),
        ("nmin", "n min", "min n"),
        0.0,
        2000.0,
    ),
    Analyte("phosphorus", "mg/kg", _CONTENT, ("p", "available p", "phosphorous"), 0.0, 3000.0, needs_method=True),
    Analyte(
        "phosphorus as p2o5",
        "mg/kg",
        MappingProxyType({unit: turn * PENTOXIDE_TO_PHOSPHORUS for unit, turn in _CONTENT.items()}),
        ("p2o5",),
        0.0,
        3000.0,
        needs_method=True,
    ),
    Analyte("potassium", "mg/kg", _CONTENT, ("k", "available k"), 0.0, 10_000.0),
    Analyte(
        "potassium as k2o",
        "mg/kg",
        MappingProxyType({unit: turn * OXIDE_TO_POTASSIUM for unit, turn in _CONTENT.items()}),
        ("k2o",),
        0.0,
        10_000.0,
    ),
    Analyte("magnesium", "mg/kg", _CONTENT, ("mg",), 0.0, 20_000.0),
    Analyte("calcium", "mg/kg", _CONTENT, ("ca",), 0.0, 200_000.0),
    Analyte("sulfur", "mg/kg", _CONTENT, ("s", "sulphur"), 0.0, 10_000.0),
    Analyte("lead", "mg/kg", _CONTENT, ("pb",), 0.0, 100_000.0),
    Analyte(
        "electrical conductivity",
        "dS/m",
        MappingProxyType({"ds/m": 1.0, "ms/cm": 1.0, "us/cm": 0.001}),
        ("ec", "conductivity", "salts"),
        0.0,
        60.0,
    ),
    Analyte(
        "exchange capacity",
        "cmol/kg",
        MappingProxyType({"cmol/kg": 1.0, "meq/100g": 1.0, "cmol(+)/kg": 1.0}),
        ("cec", "cation exchange capacity"),
        0.0,
        200.0,
    ),
    Analyte(
        "bulk density",
        "g/cm3",
        MappingProxyType({"g/cm3": 1.0, "kg/m3": 0.001, "mg/m3": 1.0}),
        ("density", "bd"),
        0.1,
        2.3,
    ),
    Analyte("sand", "%", _SHARE, (), 0.0, 100.0),
    Analyte("silt", "%", _SHARE, (), 0.0, 100.0),
    Analyte("clay", "%", _SHARE, (), 0.0, 100.0),
)
_BY_NAME = {name: one for one in _ANALYTES for name in (one.name.casefold(), *one.also)}
#: Values that are told in the words of another one, once turned.
KEPT_AS = MappingProxyType(
    {
        "nitrate as no3": ("nitrate nitrogen", "given as NO3, x 0.226"),
        "phosphorus as p2o5": ("phosphorus", "given as P2O5, x 0.436"),
        "potassium as k2o": ("potassium", "given as K2O, x 0.830"),
    }
)
_METHODS = {"bray": "Bray 1", "olsen": "Olsen", "mehlich": "Mehlich 3", "cal": "CAL", "morgan": "Morgan"}
_PART = re.compile(r"[(\[]([^)\]]*)[)\]]")


def analyte_of(head: str, ours: str) -> tuple[Analyte, str, str] | None:
    """Return what a head means, with unit and method if it tells them: "P (Bray 1) [mg/kg]"; None for others."""
    parts = [part.strip() for part in _PART.findall(head)]
    name = " ".join(_PART.sub(" ", head).casefold().split()).strip(" ,:")
    units = {unit for one in _ANALYTES for unit in one.units if unit}
    unit = next((part.casefold() for part in parts if part.casefold() in units), "")
    method = next((part for part in parts if part.casefold() not in units), "")
    if not unit and "," in head:
        last = head.rsplit(",", 1)[1].strip().casefold()
        if last in units:
            unit, name = last, name.rsplit(",", 1)[0].strip()
    one = _BY_NAME.get(ours.casefold()) if ours else _BY_NAME.get(name)
    if one is None and not ours:
        words = name.split()
        known = [word for word in words if word in _METHODS or word in ("1", "3", "-")]
        rest = " ".join(word for word in words if word not in known)
        one = _BY_NAME.get(rest) if known else None
        method = method or next((_METHODS[word] for word in known if word in _METHODS), "")
    return None if one is None else (one, unit, method)


def tested_value(
    one: Analyte, text: str, unit: str, method: str, place: str, faults: list[Fault]
) -> TestedValue | None:
    """Return a cell as a value in our unit; None for an empty cell or one at fault."""
    plain = text.strip()
    if plain.casefold() in ("", "-", "na", "n/a", "nd", "missing"):
        return None
    below = plain.startswith("<")
    turn = one.units.get(unit.casefold())
    if turn is None:
        faults.append(Fault(place, f"{one.name} in '{unit}'", ", ".join(filter(None, one.units)), "Turn it first."))
        return None
    try:
        value = number_cell(plain.lstrip("<≤ ")) * turn
    except ValueError:
        faults.append(Fault(place, f"{one.name} '{plain[:30]}'", "a number, <number, or empty", "Correct the cell."))
        return None
    if not one.low <= value <= one.high:
        found = f"{one.name} {value:.4g} {one.unit}"
        faults.append(Fault(place, found, f"{one.low:g} to {one.high:g}", "Look at its unit."))
        return None
    name, given = KEPT_AS.get(one.name, (one.name, ""))
    return TestedValue(name, value, one.unit, "; ".join(part for part in (method, given) if part), below)
