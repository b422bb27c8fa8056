"""Harvests as shares of what was hoped for."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from mullbed.domain.bed import Bed, BedCrop, Soil
from mullbed.domain.doings import Picked
from mullbed.domain.spread import Evidence, Spread
from mullbed.learn.harvests import harvest_observations
from mullbed.reference.crops import all_crops

CROPS = all_crops()
TOMATO = next(key for key in CROPS if "tomato" in key)
LAST = date(2026, 9, 20)
SOIL = Soil(0.4, 0.2, Spread(0.03, 0.04, 0.05, "1", Evidence.GUESS), "loam")


def bed(*crops: BedCrop) -> Bed:
    planted = crops or (BedCrop(TOMATO, 1.0, date(2026, 5, 20), date(2026, 9, 30), False, yield_goal=5.0),)
    return Bed("Low bed", 4.0, SOIL, crops=planted)


def picked(kilograms: float | None, *, last: bool = True, day: date = LAST) -> Picked:
    return Picked("Low bed", day, TOMATO, kilograms, last)


def test_a_harvest_is_told_as_a_share_of_the_goal_on_its_last_day() -> None:
    """Known: 6 + 9 kg of a hoped 5 kg/m2 on 4 m2 is three quarters."""
    (found,) = harvest_observations([bed()], [picked(6.0, last=False, day=date(2026, 8, 1)), picked(9.0)], CROPS)
    assert (found.what, found.bed, found.day) == ("harvest", "Low bed", LAST)
    assert found.value == pytest.approx(0.75)


def test_without_a_goal_of_its_own_that_of_the_table_counts() -> None:
    plain = replace(bed().crops[0], yield_goal=None)
    (found,) = harvest_observations([bed(plain)], [picked(8.0)], CROPS)
    assert found.value == pytest.approx(8.0 / (4.0 * CROPS[TOMATO].yield_goal.mid))


@pytest.mark.parametrize("pickings", [[], [picked(5.0, last=False)], [picked(None)], [picked(5.0), picked(None)]])
def test_what_is_not_over_or_not_weighed_says_nothing(pickings: list[Picked]) -> None:
    assert harvest_observations([bed()], pickings, CROPS) == ()


def test_crops_beside_it_took_of_the_same_nitrogen() -> None:
    first = replace(bed().crops[0], share=0.6)
    beside = BedCrop(TOMATO, 0.4, date(2026, 6, 1), date(2026, 9, 1), False)
    assert harvest_observations([bed(first, beside)], [picked(5.0)], CROPS) == ()
    assert harvest_observations([bed(replace(first, share=0.3))], [picked(5.0)], CROPS) == ()
