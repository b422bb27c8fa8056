"""Signs and facts: what numbers, bands, words and observations tell."""

from __future__ import annotations

from datetime import date

import pytest

from mullbed.diagnose.causes import all_causes
from mullbed.diagnose.symptoms import (
    SENSES,
    all_facts,
    all_signs,
    find_sign,
    from_observations,
    known_band,
    known_number,
    known_word,
    read_answer,
)
from mullbed.domain.observation import OBSERVABLES, Observation
from mullbed.domain.spread import Evidence, Spread
from mullbed.errors import InputFault, NotFound
from mullbed.reference.hazards import all_hazards
from mullbed.reference.tables import sources

DAY = date(2027, 6, 10)
ROWS = {
    "sharp", "sour", "rotten_egg", "slimy", "water_runs_off", "no_change", "hot", "flies", "slugs", "cut", "old_yellow",
    "young_yellow", "wilting", "twisted", "threads", "dusty", "few_worms", "sprouting", "running_shoots", "collapse",
    "holes", "scattered", "ants", "crust", "hard_below",
}  # fmt: skip


def test_every_row_of_the_table_of_troubles_has_its_sign_and_a_cause() -> None:
    assert set(all_signs()) >= ROWS
    brought = {sign for cause in all_causes().values() for sign, chance in cause.signs.items() if chance >= 0.6}
    assert brought >= ROWS


def test_signs_come_by_sense_and_their_chances_are_chances() -> None:
    senses = [one.sense for one in all_signs().values()]
    assert senses == sorted(senses, key=SENSES.index)
    assert set(senses) == set(SENSES)
    assert all(0.0 < one.leak <= one.elsewhere < 1.0 for one in all_signs().values())


def test_words_of_signs_are_words_that_can_be_observed() -> None:
    pairs = [pair for one in all_signs().values() for pair in one.observed]
    assert pairs
    assert all(word in OBSERVABLES[what].words for what, word in pairs)


@pytest.mark.parametrize("fact", list(all_facts()))
def test_a_fact_has_as_many_classes_as_its_edges_part_and_a_source(fact: str) -> None:
    row = all_facts()[fact]
    assert sum(row.usual) == pytest.approx(1.0)
    assert len(row.usual) == len(row.words)
    assert not row.edges or len(row.edges) == len(row.words) - 1
    assert list(row.edges) == sorted(row.edges)
    assert row.source in sources()
    assert not row.question or row.minutes > 0.0


def test_every_cause_says_what_to_do_to_leave_to_expect_and_what_would_change_it() -> None:
    for cause in all_causes().values():
        assert cause.avoid.startswith("Don't "), cause.key
        assert 0 <= cause.days[0] <= cause.days[1], cause.key
        assert set(cause.cautions) <= set(all_hazards()), cause.key
        for text in (
            cause.because,
            cause.heading,
            *cause.steps,
            cause.avoid,
            cause.expect,
            cause.change,
            cause.tells_apart,
        ):
            assert text.endswith("."), text
            assert "!" not in text


def test_a_band_gives_each_class_the_chance_that_lies_in_it() -> None:
    band = Spread(0.30, 0.40, 0.50, "fraction", Evidence.WORKED_OUT)
    dry, moist, wet = known_band("moisture", band).weights
    assert (dry, wet) == pytest.approx((0.5, 0.0))  # known: the median lies on the edge of dry
    assert moist == pytest.approx(0.5)
    narrow = Spread(0.7, 0.7, 0.7, "fraction", Evidence.WORKED_OUT)
    assert known_band("moisture", narrow).weights == pytest.approx((0.0, 0.0, 1.0))
    half = known_band("moisture", Spread(0.30, 0.35, 0.45, "fraction", Evidence.WORKED_OUT)).weights
    assert half == pytest.approx((0.7, 0.3, 0.0))  # known: half way from median to 90th percentile


def test_numbers_fall_into_classes_edges_above() -> None:
    assert known_number("slug_count", 14.9).weights == (1.0, 0.0)
    assert known_number("slug_count", 15.0).weights == (0.0, 1.0)
    assert known_number("soft_thickness", 0.0).weights == (1.0, 0.0, 0.0, 0.0)
    assert known_number("soft_thickness", 0.015).weights == (0.0, 1.0, 0.0, 0.0)


def test_growers_words_find_signs_and_answers_are_read() -> None:
    assert find_sign("Rotten egg") == "rotten_egg"
    assert find_sign("ammonia") == "sharp"
    assert read_answer("soil_ph=7.8") == known_number("soil_ph", 7.8)
    assert read_answer("roots = Sound") == known_word("roots", "sound")
    with pytest.raises(NotFound):
        find_sign("glitter")
    for wrong in ("soil_ph", "roots=purple", "roots=3", "soil_ph=9999"):
        with pytest.raises(InputFault):
            read_answer(wrong)


def test_observations_of_the_last_week_become_signs_and_facts() -> None:
    seen = (
        Observation("smell", "Low", date(2027, 6, 8), word="earthy"),
        Observation("smell", "Low", date(2027, 6, 9), word="sour"),
        Observation("squeeze", "Low", DAY, word="drips freely"),
        Observation("layer temperature", "Low", DAY, value=48.0),
        Observation("worms", "Low", DAY, value=2.0),
        Observation("threads", "Low", date(2027, 5, 1), word="dusty mould"),
        Observation("crop colour", "Low", DAY, word="old leaves yellow"),
    )
    found, absent, known = from_observations(seen, DAY)
    assert found == {"sour", "dripping", "few_worms", "old_yellow"}
    assert {"sharp", "woodland", "bone_dry"} <= absent
    assert not absent & {"dusty", "young_yellow"}
    assert known["moisture"].weights == (0.0, 0.0, 1.0)
    assert known["layer_temperature"].weights[-1] == 1.0
    assert known["layer_temperature"].told
