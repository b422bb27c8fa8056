"""Allowed words and bounds of what can be observed."""

from __future__ import annotations

from datetime import date

import pytest

from mullbed.domain.observation import OBSERVABLES, Observation, as_one_set, nitrate_nitrogen
from mullbed.errors import InputFault, NotFound

DAY = date(2026, 6, 1)


def test_every_observable_is_a_class_or_a_number_with_bounds_and_an_error():
    for row in OBSERVABLES.values():
        assert row.is_class != bool(row.unit), row.key
        if not row.is_class:
            assert row.low < row.high and row.error > 0.0, row.key


def test_a_word_outside_the_list_is_refused_with_the_list():
    with pytest.raises(InputFault) as told:
        Observation("smell", "Long bed", DAY, word="minty")
    assert "ammonia" in told.value.faults[0].allowed


def test_a_number_out_of_bounds_is_refused():
    with pytest.raises(InputFault):
        Observation("thickness by ruler", "Long bed", DAY, value=3.0)


def test_an_unknown_observation_names_near_ones():
    with pytest.raises(NotFound) as told:
        Observation("smel", "Long bed", DAY, word="sour")
    assert "smell" in told.value.nearest


def test_repeats_shrink_the_error_of_a_mean():
    once = Observation("worms", "Long bed", DAY, value=9.0)
    often = Observation("worms", "Long bed", DAY, value=9.0, repeats=4)
    assert once.standard_error == pytest.approx(2.0 * often.standard_error)  # known: square root of four


def test_nitrate_is_told_from_its_nitrogen():
    assert nitrate_nitrogen(50.0, "NO3") == pytest.approx(11.3)  # known: 50 x 0.226
    assert nitrate_nitrogen(11.3, "NO3-N") == 11.3


@pytest.mark.parametrize("told_as", ["", "ppm", "N"])
def test_a_strip_reading_without_its_unit_is_refused(told_as):
    with pytest.raises(InputFault) as told:
        nitrate_nitrogen(50.0, told_as)
    assert "NO3-N" in told.value.faults[0].allowed


def test_one_set_has_one_order_and_each_entry_once():
    first = Observation("smell", "Long bed", DAY, word="sour", entry="a")
    second = Observation("cover", "Long bed", DAY, value=0.9, entry="b")
    assert as_one_set([first, second, first]) == as_one_set([second, first]) == (second, first)


def test_two_entries_without_an_id_are_two():
    one = Observation("worms", "Long bed", DAY, value=4.0)
    assert as_one_set([one, one]) == (one, one)
