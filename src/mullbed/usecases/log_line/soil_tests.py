"""Soil tests."""

from __future__ import annotations

from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_seen import SoilTested, TestedValue
from mullbed.domain.signing import Kept
from mullbed.errors import Fault, InputFault
from mullbed.usecases.log_line.opening import Line, keep, opened


def log_soil_test(
    line: Line,
    bed: str,
    *,
    organic_matter: float | None = None,
    mineral_nitrogen: float | None = None,
    phosphorus: str | None = None,
    laboratory: str = "",
) -> Kept:
    """Keep a soil test of a bed: organic matter [fraction], mineral nitrogen [g m-2], the class of phosphorus."""
    values = []
    if organic_matter is not None:
        values.append(TestedValue("organic matter", organic_matter, "1"))
    if mineral_nitrogen is not None:
        values.append(TestedValue("mineral nitrogen", mineral_nitrogen, "g/m2"))
    if phosphorus is not None:
        values.append(TestedValue("phosphorus class", None, "", phosphorus))
    if not values:
        remedy = "Give --organic-matter, --mineral-nitrogen or --phosphorus."
        raise InputFault([Fault("soil test", "no value", "at least one", remedy)])
    with opened(line) as at:
        return keep(at, Kind.SOIL_TEST, SoilTested(tuple(values), laboratory), bed=at.bed(bed))
