"""Amounts in the grower's units. Expected values are known (exact conversions)."""

from __future__ import annotations

import pytest
from season_sample import PLANNED

from mullbed.domain.garden import UnitSystem
from mullbed.domain.spread import Evidence, Spread
from mullbed.reports.amounts import (
    area_words,
    cans_words,
    count_words,
    field_rate_words,
    hand_words,
    layer_thickness_mm,
    per_area_factor,
    temperature_words,
    thickness_words,
    volume_words,
)

METRIC, US = UnitSystem.METRIC, UnitSystem.US


def test_thickness_is_shown_from_whole_millimetres() -> None:
    assert thickness_words(0.0214, METRIC) == "2.1 cm"
    assert thickness_words(0.0216, METRIC) == "2.2 cm"
    assert thickness_words(0.0508, US) == "2.0 in"


def test_a_layer_is_as_thick_as_its_shown_lifts() -> None:
    assert layer_thickness_mm(PLANNED[0].layer) == 21 + 50


@pytest.mark.parametrize(
    ("count", "container", "words"),
    [(1, "bucket", "1 bucket"), (3, "bucket", "3 buckets"), (0.5, "barrow", "half a barrow"), (2.5, "bag", "2½ bags"),
     (3.2, "kg", "3.2 kg"), (2, "box", "2 boxes")],
)  # fmt: skip
def test_containers_are_counted_in_halves(count: float, container: str, words: str) -> None:
    assert count_words(count, container) == words


def test_water_is_in_cans_and_a_little_is_a_splash() -> None:
    assert [cans_words(cans) for cans in (0.0, 0.1, 0.6, 2.2)] == ["no water", "a splash", "half a can", "2 cans"]


def test_us_growers_read_us_units() -> None:
    assert area_words(3.6, US) == "39 sq ft"
    assert volume_words(18.0, US) == "4.8 gal"
    assert temperature_words(20.0, US) == "68 °F"
    assert per_area_factor(US) == pytest.approx(0.2048, abs=1e-4)


def test_a_field_rate_is_ten_times_grams_a_square_metre() -> None:
    spread = Spread(10.0, 12.0, 14.0, "g m-2", Evidence.WORKED_OUT)
    assert field_rate_words(spread, METRIC) == "120 (100 to 140) kg per hectare"
    assert field_rate_words(spread, US).endswith("lb per acre")
    assert field_rate_words(spread, US).startswith("110 ")


def test_depth_has_hand_words() -> None:
    assert [hand_words(metres) for metres in (0.004, 0.02, 0.025, 0.05, 0.1)] == [
        "just covering", "a finger deep", "a thumb deep", "two fingers deep", "a hand deep",
    ]  # fmt: skip
