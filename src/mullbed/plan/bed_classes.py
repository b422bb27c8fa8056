"""Beds that are alike to a layer: same soil, same cover to start with, same water.

What a layer gives depends on the bed by these; crops enter by the mean cover of the beds in a class. One set of runs
then prices the candidates of every bed in the class, however many there are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from mullbed.plan.terms import DAYS_A_WEEK
from mullbed.simulate.case import BedCase, CropCover, Lay, Pour

#: Pools and covers are told apart in steps of so much of their logarithm. [1, judgement]
STEP = 0.15
#: Watering is told apart at these weekly depths. [mm, judgement]
WATER_STEPS = (1.0, 10.0)
#: Stream of the place factor; the same for all beds, so that promise and rehearsal draw the same places.
PLACE = "bed"


@dataclass(frozen=True, slots=True)
class BedClass:
    """Beds by number, and the case that stands for them: starting cover and watering, no new layers."""

    beds: tuple[int, ...]
    case: BedCase
    starts_covered: bool


def step(value: float) -> int:
    """Return the step a positive amount falls in."""
    return round(float(np.log(max(value, 1e-3))) / STEP)


def weekly_water(case: BedCase) -> float:
    """Return the water given by hand or drip while crops stand. [mm per week]"""
    poured = sum(event.water for event in case.events if isinstance(event, Pour))
    standing = case.cover is not None and float(np.mean(case.cover.basal_coefficient > 0.2))
    return poured / max(1.0, standing * case.weather.days / DAYS_A_WEEK)


def class_key(case: BedCase, first_day: int) -> tuple[object, ...]:
    """Return what makes two beds alike to a layer."""
    soil = case.soil
    lying = tuple(
        (lift.residue.key, step(lift.dry_matter))
        for event in case.events
        if isinstance(event, Lay) and event.day < first_day
        for lift in event.lifts
    )
    water = int(np.searchsorted(WATER_STEPS, weekly_water(case)))
    return (
        step(sum(soil.pools)),
        step(soil.field_capacity),
        step(soil.wilting_point),
        case.under_cover,
        round(4.0 * case.shade),
        case.kept_moist,
        0 if case.kept_moist else water,
        lying,
    )


def bed_classes(cases: Sequence[BedCase], first_day: int) -> tuple[BedClass, ...]:
    """Return the classes of beds.

    Parameters
    ----------
    cases : sequence of BedCase
        One a bed, with what lies on it and its watering, without new layers.
    first_day : int
        Day index of the first day of the season; what was laid earlier is the starting cover.
    """
    groups: dict[tuple[object, ...], list[int]] = {}
    for number, case in enumerate(cases):
        groups.setdefault(class_key(case, first_day), []).append(number)
    found = []
    for place, members in enumerate(groups.values()):
        first = cases[members[0]]
        covers = [cases[number].cover or CropCover.bare(first.weather.days) for number in members]
        mean = CropCover(
            np.mean([cover.basal_coefficient for cover in covers], axis=0),
            np.mean([cover.ground_cover for cover in covers], axis=0),
            np.mean([cover.nitrogen_demand for cover in covers], axis=0),
        )
        events = tuple(
            event
            for event in first.events
            if isinstance(event, Pour) or (isinstance(event, Lay) and event.day < first_day)
        )
        covered = any(isinstance(event, Lay) for event in events)
        case = replace(first, name=f"class {place + 1}", events=events, cover=mean)
        found.append(BedClass(tuple(members), case, covered))
    return tuple(found)
