"""Field checks: volumes, rates, times and classes against published or hand-worked numbers."""

from __future__ import annotations

import pytest

from mullbed.errors import InputFault
from mullbed.reference.field_checks import all_field_checks, find_field_check
from mullbed.trials.field_checks import (
    infiltration_inch_per_hour,
    nitrate_nitrogen,
    ring_volume_litres,
    scored,
    slake_class,
    structure_score,
)

INCH = 0.0254


def test_what_others_found_belongs_to_a_check_and_has_its_source():
    from mullbed.reference.trial_effects import all_trial_effects, effects_on

    found = all_trial_effects()
    assert {one.measure for one in found} <= set(all_field_checks())
    assert all(one.low <= one.high and one.when and one.source for one in found)
    assert [one.high for one in effects_on("organic_matter")] == [0.11]  # published: 9 to 11 % over decades
    assert effects_on("colour") == ()


def test_an_inch_in_a_six_inch_bore_is_463_millilitres():
    assert ring_volume_litres(6.0 * INCH) == pytest.approx(0.463, abs=5e-4)  # derived from the cylinder


@pytest.mark.parametrize(
    ("minutes", "rate", "word"),
    [(3, 20.0, "very rapid"), (10, 6.0, "rapid"), (30, 2.0, "moderately rapid"), (100, 0.6, "moderate")],
)
def test_minutes_of_the_second_inch_give_rate_and_published_class(minutes: float, rate: float, word: str):
    """Derived rates; classes of the NRCS kit: a value on an edge belongs to the faster class."""
    found = infiltration_inch_per_hour(60.0 * minutes, ring_volume_litres(6 * INCH), 6 * INCH)
    assert found == pytest.approx(rate)
    assert find_field_check("infiltration").class_of(found + 1e-9).word == word


def test_nitrate_is_turned_into_nitrogen_only_when_its_unit_is_said():
    assert nitrate_nitrogen(50.0, "nitrate") == pytest.approx(11.3)  # known: 14.007 / 62.005
    assert nitrate_nitrogen(50.0, "nitrate-N") == 50.0
    with pytest.raises(InputFault):
        nitrate_nitrogen(50.0, "ppm")


def test_slake_classes():
    assert [slake_class(s, None) for s in (2.0, 10.0, 100.0)] == [1, 2, 3]
    assert [slake_class(None, share) for share in (0.05, 0.2, 0.5, 0.9)] == [3, 4, 5, 6]
    with pytest.raises(InputFault):
        slake_class(None, None)


def test_a_block_is_scored_by_the_thickness_of_its_layers():
    assert structure_score([(0.10, 2.0), (0.15, 4.0)]) == pytest.approx(3.2)  # known by hand
    with pytest.raises(InputFault):
        structure_score([(0.1, 6.0)])


def test_a_range_that_touches_two_classes_names_both():
    found = scored(find_field_check("worms"), [6.0, 12.0, 8.0])
    assert found.low < found.value < found.high
    assert {one.word for one in found.classes} >= {"below a usual field"}
    one = scored(find_field_check("worms"), [8.5])
    assert len(one.classes) >= 2


def test_more_repeats_narrow_the_range_and_no_worms_is_a_reading():
    few = scored(find_field_check("worms"), [9.0])
    many = scored(find_field_check("worms"), [9.0] * 2)
    assert many.high - many.low < few.high - few.low
    assert scored(find_field_check("worms"), [0.0]).value == pytest.approx(0.0)
    with pytest.raises(InputFault):
        scored(find_field_check("worms"), [-1.0])


def test_every_check_tells_how_it_is_read_and_what_spoils_it():
    for check in all_field_checks().values():
        assert check.steps and check.spoils and check.repeats
        edges = [one.below for one in check.classes]
        assert edges == sorted(edges) and (not edges or edges[-1] == float("inf"))
        assert 0.0 < check.variation_low <= check.variation_high < 3.0
