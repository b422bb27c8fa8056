"""Score a field check: from what was read in the ground to a value, its range and what it means."""

from __future__ import annotations

from collections.abc import Sequence

from mullbed.domain.field_check import FieldCheck, ScoredCheck
from mullbed.reference.field_checks import all_field_checks, find_field_check
from mullbed.trials.field_checks import (
    infiltration_inch_per_hour,
    jar_reading_seconds,
    nitrate_nitrogen,
    ring_volume_litres,
    scored,
)


def list_field_checks() -> tuple[FieldCheck, ...]:
    """Return every field check."""
    return tuple(all_field_checks().values())


def score_check(name: str, values: Sequence[float]) -> ScoredCheck:
    """Return repeats of a check as mean, range and class; raises NotFound or InputFault."""
    return scored(find_field_check(name), values)


def score_ring(bore_m: float, seconds: Sequence[float]) -> ScoredCheck:
    """Return the intake of rings of one bore, one inch of water each; raises InputFault."""
    inch = ring_volume_litres(bore_m)
    return scored(
        find_field_check("infiltration"), [infiltration_inch_per_hour(time, inch, bore_m) for time in seconds]
    )


def score_strips(readings: Sequence[float], reads: str) -> ScoredCheck:
    """Return nitrate strips as nitrate-N; raises InputFault unless it is said what the strip reads."""
    return scored(find_field_check("nitrate"), [nitrate_nitrogen(one, reads) for one in readings])


def jar_times(column_m: float, temperature: float) -> tuple[float, float]:
    """Return when to read sand (0.05 mm) and silt (0.002 mm) in a jar. [s]"""
    return jar_reading_seconds(column_m, temperature, 5e-5), jar_reading_seconds(column_m, temperature, 2e-6)


def ring_inch(bore_m: float) -> float:
    """Return one inch of water in a ring. [L]; raises InputFault."""
    return ring_volume_litres(bore_m)
