"""What the record and the daily model know of a bed on a day, as facts of the diagnosis."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from math import isfinite
from typing import TYPE_CHECKING

from mullbed.diagnose.symptoms import known_band, known_number, known_word
from mullbed.domain.bed import Bed
from mullbed.domain.diagnosis import Known
from mullbed.domain.layer import Layer
from mullbed.domain.residue import Group, Residue, Texture
from mullbed.domain.spread import Evidence, Spread

if TYPE_CHECKING:  # brings the array library, which a table of signs does not need
    from mullbed.domain.forecast import BedForecast

SOFT_DAYS = 35
"""A soft layer older than this is no longer soft. Judgement. [d]"""
SCRAPS_DAYS = 42
"""Scraps lie so long before they are gone when warm: 2 to 6 weeks. Second hand. [d]"""
LAID_DAYS = 120
"""Layers of so many days make the cover where no model was run. Judgement. [d]"""
SETTLED_SHARE = 0.6
"""Thickness left of a layer, where no model was run. Judgement. [1]"""
TOPSOIL_MASS = 0.25 * 1300.0 / 1000.0
"""g m-2 of nitrogen per mg kg-1 in 0-25 cm at a bulk density of 1300 kg m-3. [g m-2 per mg kg-1]"""

#: Series of a forecast, the fact each tells, and the factor to its unit.
_SERIES = (
    ("moisture", "moisture", 1.0),
    ("layer_temperature", "layer_temperature", 1.0),
    ("soil_temperature", "soil_temperature", 1.0),
    ("thickness", "cover_thickness", 1.0),
    ("cover", "cover", 1.0),
    ("mineral_nitrogen", "soil_nitrate", 1.0 / TOPSOIL_MASS),
)


def record_facts(bed: Bed, day: date, latitude: float, residues: Mapping[str, Residue]) -> dict[str, Known]:
    """Return what follows from what was laid, sown and where the bed lies, without any run of the model."""
    found = {"season": known_word("season", season_of(day, latitude), Evidence.WORKED_OUT)}
    laid = [layer for layer in bed.layers if layer.day <= day]
    soft = [layer for layer in laid if _soft(layer, residues) > 0.0]
    if laid:
        ages = [(day - layer.day).days for layer in soft]
        found["days_since_soft"] = _number("days_since_soft", float(min(ages, default=999)))
        recent = soft[-1] if soft and min(ages) <= SOFT_DAYS else None
        found["soft_thickness"] = _number("soft_thickness", _soft(recent, residues) if recent else 0.0)
        if recent is not None:
            found["cap"] = _number("cap", _cap(recent, laid, residues))
        newest = laid[-1]
        carbon = sum(lift.dry_matter * residues[lift.residue].carbon.mid for lift in newest.lifts)
        nitrogen = sum(lift.dry_matter * residues[lift.residue].nitrogen.mid for lift in newest.lifts)
        if nitrogen > 0.0:
            found["carbon_to_nitrogen"] = _number("carbon_to_nitrogen", carbon / nitrogen)
        thickness = sum(layer.thickness for layer in laid if (day - layer.day).days <= LAID_DAYS) * SETTLED_SHARE
        found["cover_thickness"] = _number("cover_thickness", thickness)
        scraps = any(
            residues[lift.residue].texture is Texture.SCRAPS
            for layer in laid
            if (day - layer.day).days <= SCRAPS_DAYS
            for lift in layer.lifts
        )
        found["scraps"] = known_word("scraps", "yes" if scraps else "no", Evidence.WORKED_OUT)
    standing = [(day - crop.planted).days for crop in bed.crops if crop.planted <= day < crop.harvested]
    if standing:
        found["crop_age"] = _number("crop_age", float(min(standing)))
    return found


def model_facts(forecast: BedForecast, day: date, rain_week: Spread | None = None) -> dict[str, Known]:
    """Return what the daily model shows for a day, as bands; nothing where nothing lies or the day is outside.

    Mineral nitrogen of 0-25 cm stands for nitrate, at a bulk density of 1300 kg m-3.
    """
    index = (day - forecast.first_day).days
    found: dict[str, Known] = {}
    if not 0 <= index < forecast.crop_want.size:
        return found
    for series, fact, factor in _SERIES:
        band = forecast.series.get(series)
        if band is None:
            continue
        low, mid, high = (float(one[index]) * factor for one in (band.p10, band.p50, band.p90))
        if all(isfinite(one) for one in (low, mid, high)):
            unit = "mg kg-1" if fact == "soil_nitrate" else ""
            found[fact] = known_band(fact, Spread(low, mid, high, unit, Evidence.WORKED_OUT, "mullbed_model"))
    if rain_week is not None:
        found["rain_week"] = known_band("rain_week", rain_week)
    return found


def season_of(day: date, latitude: float) -> str:
    """Return the season of a day by whole months; south of the equator half a year on."""
    month = (day.month - 1 + (0 if latitude >= 0.0 else 6)) % 12 + 1
    return {12: "winter", 1: "winter", 2: "winter", 3: "spring", 4: "spring", 5: "spring", 6: "summer", 7: "summer",
            8: "summer"}.get(month, "autumn")  # fmt: skip


def last_soft_layer(bed: Bed, day: date, residues: Mapping[str, Residue]) -> date | None:
    """Return the day soft fresh stuff was last laid; None for never."""
    days = [layer.day for layer in bed.layers if layer.day <= day and _soft(layer, residues) > 0.0]
    return max(days, default=None)


def _number(fact: str, value: float) -> Known:
    return known_number(fact, value, Evidence.WORKED_OUT)


def _soft(layer: Layer, residues: Mapping[str, Residue]) -> float:
    """Return the thickness of the soft fresh lifts of a layer. [m]"""
    return sum(
        lift.thickness for lift in layer.lifts if lift.fresh and residues[lift.residue].group is Group.SOFT_FRESH
    )


def _cap(soft: Layer, laid: list[Layer], residues: Mapping[str, Residue]) -> float:
    """Return the thickness of what lies dry over the newest soft lift. [m]"""
    above = 0.0
    for lift in reversed(soft.lifts):
        if lift.fresh and residues[lift.residue].group is Group.SOFT_FRESH:
            break
        above += lift.thickness
    return above + sum(layer.thickness for layer in laid if layer.day > soft.day)
