"""Columns of soil tables and grids: what they are called, in which unit, and how they become shares."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mullbed.errors import Fault, InputFault

Values = NDArray[np.float64]

TEXTURE = ("sand", "silt", "clay")
"""Their values together tell their unit."""
THINGS = ("sand", "silt", "clay", "organic_matter", "organic_carbon")
_NAMES: Mapping[str, str] = {
    "latitude": "latitude lat y",
    "longitude": "longitude lon long lng x",
    "top": "top topcm upper upperdepth depthtop from depthfrom hzdept",
    "bottom": "bottom bottomcm lower lowerdepth depthbottom to depthto hzdepb",
    "sand": "sand sandtotal sandpct",
    "silt": "silt silttotal",
    "clay": "clay claytotal",
    "organic_matter": "organicmatter om som",
    "organic_carbon": "organiccarbon oc soc orgc toc",
}
COLUMNS = tuple(_NAMES)
_UNITS: Mapping[str, float] = {
    "%": 0.01, "pct": 0.01, "percent": 0.01, "g/100g": 0.01, "wt%": 0.01, "g/kg": 0.001, "gkg-1": 0.001, "gkg1": 0.001,
    "promille": 0.001, "1": 1.0, "fraction": 1.0, "kg/kg": 1.0, "kgkg-1": 1.0, "g/g": 1.0, "gg-1": 1.0, "dg/kg": 0.0001,
}  # fmt: skip
CARBON_TO_MATTER = (1.724, 1.724, 2.0)
"""Organic matter over organic carbon: the usual convention, up to what [@pribyl2010] finds more typical. [1]"""
TEXTURE_DOUBT = 0.10
"""Doubt of sand and of clay where nothing tells it; judgement, 10th to 90th percentile. [fraction]"""
MATTER_DOUBT = (0.6, 1.6)
"""The same of organic matter, over its middle. Judgement. [1]"""


@dataclass(frozen=True, slots=True)
class SoilColumn:
    """One column: what it is, where it stands, and the factor to a share."""

    thing: str
    heading: str
    factor: float
    unit: str
    told: bool
    """False where the unit was found from the values."""


def plain(text: str) -> str:
    """Return a heading without signs and blanks."""
    return re.sub(r"[^a-z0-9]", "", text.casefold())


def parted(heading: str) -> tuple[str, str]:
    """Return name and unit of a heading such as "Clay (g/kg)", "sand_pct" or "soc_g_kg"."""
    bracket = re.search(r"[(\[]([^)\]]*)[)\]]", heading)
    if bracket is not None:
        return plain(heading[: bracket.start()] + heading[bracket.end() :]), bracket[1]
    tokens = [one for one in re.split(r"[\s_.;-]+", heading.strip()) if one]
    for count in (2, 1):
        if len(tokens) > count and unit_factor("/".join(tokens[-count:])) is not None:
            return plain("".join(tokens[:-count])), "/".join(tokens[-count:])
    return plain(heading), ""


def unit_factor(text: str) -> float | None:
    """Return the factor of a unit to a share; None where it is none."""
    return _UNITS.get(re.sub(r"[\s^]", "", text.casefold()).replace("⁻¹", "-1"))


def told_columns(texts: Sequence[str]) -> dict[str, tuple[str, str]]:
    """Return what the user told, such as "organic_carbon=SOC:g/kg", as heading and unit by column.

    Raises
    ------
    InputFault
        With every one that is not so written.
    """
    found, faults = {}, []
    for text in texts:
        name, sign, rest = text.partition("=")
        heading, colon, unit = rest.rpartition(":")
        if not colon:
            heading, unit = rest, ""
        name = name.strip().casefold()
        ends = ("_low", "_high")
        known = name in COLUMNS or (name.endswith(ends) and name.rsplit("_", 1)[0] in THINGS)
        if not sign or not known or (unit and unit_factor(unit) is None):
            allowed = f"one of {', '.join(COLUMNS)}, its heading, and %, g/kg or fraction"
            faults.append(Fault("--column", f"'{text[:40]}'", allowed, "Write organic_carbon=SOC:g/kg."))
            continue
        found[name] = (heading.strip(), unit.strip())
    if faults:
        raise InputFault(faults)
    return found


def heading_of(name: str, headings: Sequence[str], told: Mapping[str, tuple[str, str]]) -> str | None:
    """Return the heading of a column, "_low" and "_high" of one included; None where there is none."""
    if name in told:
        return told[name][0] if told[name][0] in headings else None
    base, _, end = name.rpartition("_") if name.endswith(("_low", "_high")) else (name, "", "")
    wanted = {alike + end for alike in _NAMES[base].split()}
    if end:
        tail = {"low": ("p05", "q05", "q005", "p10", "min"), "high": ("p95", "q95", "q095", "p90", "max")}[end]
        wanted |= {alike + one for alike in _NAMES[base].split() for one in tail}
    return next((heading for heading in headings if parted(heading)[0] in wanted or plain(heading) in wanted), None)


def column_of(
    thing: str, heading: str, unit: str, values: Values, place: str, told: Mapping[str, tuple[str, str]]
) -> SoilColumn:
    """Return a column with its factor: from the unit told, else in the heading or attribute, else from the values.

    ``values`` are those the unit may be found from: of sand, silt and clay together, since one of them is a third or
    more; organic matter's tell nothing unless they are tiny or large.

    Raises
    ------
    InputFault
        When the unit cannot be told.
    """
    named = told.get(thing, ("", ""))[1] or unit or parted(heading)[1]
    factor = unit_factor(named) if named else None
    if factor is not None:
        return SoilColumn(thing, heading, factor, named, True)
    known = values[~np.isnan(values)]
    top = float(known.max()) if known.size else 0.0
    if thing in TEXTURE and known.size:
        factor, name = (1.0, "fraction") if top <= 1.0 else (0.01, "%") if top <= 100.0 else (0.001, "g/kg")
        return SoilColumn(thing, heading, factor, name, False)
    if known.size and top <= 0.6:
        return SoilColumn(thing, heading, 1.0, "fraction", False)
    if known.size and top > 60.0:
        return SoilColumn(thing, heading, 0.001, "g/kg", False)
    allowed = "%, g/kg or fraction"
    remedy = f"Say it: --column {thing}={heading}:%."
    raise InputFault([Fault(f"{place}, {heading}", "its unit cannot be told from its values", allowed, remedy)])
