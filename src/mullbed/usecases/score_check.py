"""Score a field check: from what was read in the ground to a value, its range and what it means."""

from __future__ import annotations

from collections.abc import Sequence

from mullbed.domain.field_check import FieldCheck, ScoredCheck
from mullbed.reference.field_checks import all_field_checks, find_field_check
from mullbed.trials.field_checks import jar_reading_seconds, ring_volume_litres, scored
from mullbed.trials.ground_readings import ground_reading
from mullbed.units import parse_number


def list_field_checks() -> tuple[FieldCheck, ...]:
    """Return every field check."""
    return tuple(all_field_checks().values())


def score_check(name: str, values: Sequence[float]) -> ScoredCheck:
    """Return repeats of a check as mean, range and class; raises NotFound or InputFault."""
    return scored(find_field_check(name), values)


def score_typed(name: str, typed: Sequence[str], *, bore: float | None = None, reads: str = "") -> ScoredCheck:
    """Return a check scored from what was typed, in the ways each check is typed; raises NotFound or InputFault.

    Rates of infiltration may be given instead of times where no bore is told.
    """
    check = find_field_check(name)
    if check.key == "infiltration" and bore is None:
        return scored(check, [parse_number(one, check.name) for one in typed])
    return scored(check, ground_reading(check, typed, bore_m=bore, reads=reads).readings)


def jar_times(column_m: float, temperature: float) -> tuple[float, float]:
    """Return when to read sand (0.05 mm) and silt (0.002 mm) in a jar. [s]"""
    return jar_reading_seconds(column_m, temperature, 5e-5), jar_reading_seconds(column_m, temperature, 2e-6)


def ring_inch(bore_m: float) -> float:
    """Return one inch of water in a ring. [L]; raises InputFault."""
    return ring_volume_litres(bore_m)
