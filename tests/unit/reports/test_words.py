"""Words: rounding, days, spreads, chances. Expected values are known (by hand)."""

from __future__ import annotations

from datetime import date

import pytest

from mullbed.domain.spread import Evidence, Spread
from mullbed.reports.words import (
    EVIDENCE_LINES,
    about_day,
    cannot_be_told,
    chance_words,
    counted,
    evenly,
    month_words,
    number,
    plural,
    short_day,
    spread_words,
    weekday_words,
)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (0.0, "0"), (-0.001, "0"), (0.416, "0.42"), (5.63, "5.6"), (5.0, "5"), (9.96, "10"), (11.4, "11"),
        (736.0, "740"), (-2.13, "−2.1"), (None, "–"), (float("nan"), "–"), (41472.0, "41000"),
    ],
)  # fmt: skip
def test_a_number_keeps_what_a_grower_can_carry(value: float | None, words: str) -> None:
    assert number(value) == words


def test_a_range_is_rounded_to_one_step() -> None:
    assert evenly((5.6, 4.08, 12.44)) == ["5.6", "4.1", "12.4"]
    assert evenly((12.0, 10.2, 13.9)) == ["12", "10", "14"]
    assert evenly((736.0, 480.0, 1040.0)) == ["740", "480", "1040"]


def test_a_spread_says_its_range_and_one_without_doubt_does_not() -> None:
    spread = Spread(4.1, 5.6, 7.4, "g m-2", Evidence.WORKED_OUT)
    assert spread_words(spread, "g") == "5.6 (4.1 to 7.4) g"
    assert spread_words(Spread(2.0, 2.0, 2.0, "g", Evidence.MEASURED), "g") == "2 g"


def test_no_answer_is_given_where_doubt_swamps_it() -> None:
    assert cannot_be_told(Spread(-3.0, 0.5, 4.0, "g m-2", Evidence.WORKED_OUT))
    assert not cannot_be_told(Spread(0.1, 0.5, 4.0, "g m-2", Evidence.WORKED_OUT))
    assert not cannot_be_told(Spread(-0.5, 3.0, 5.0, "g m-2", Evidence.WORKED_OUT))


def test_a_day_is_told_with_its_doubt() -> None:
    assert about_day((date(2027, 6, 12), date(2027, 6, 18), date(2027, 6, 26))) == "about 18 June (12 to 26)"
    assert about_day((date(2027, 5, 30), date(2027, 6, 4), date(2027, 6, 9))) == "about 4 June (30 May to 9 June)"
    assert about_day((date(2027, 6, 1), date(2027, 6, 4), None)) == "about 4 June (1 June to past the season)"
    assert about_day((None, None, None)) == "not within the season"


def test_days_and_months_are_written_out() -> None:
    assert weekday_words(date(2026, 6, 30)) == "Tuesday 30 June"
    assert short_day(date(2026, 9, 3)) == "3 Sep"
    assert month_words("2027-07") == "July"
    assert month_words("all year") == "all year"


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.97, "almost surely"), (0.9, "very likely"), (0.7, "likely"), (0.5, "as likely as not"), (0.3, "unlikely"),
     (0.05, "very unlikely")],
)  # fmt: skip
def test_a_chance_has_its_word_and_its_count(share: float, words: str) -> None:
    assert chance_words(share) == f"{words}, {share * 10:.0f} in 10"


def test_every_evidence_class_has_its_own_underline() -> None:
    assert set(EVIDENCE_LINES) == set(Evidence)
    assert len(set(EVIDENCE_LINES.values())) == len(Evidence)


def test_counts_and_plurals() -> None:
    assert counted(1, "layer") == "one layer"
    assert counted(14, "bed") == "14 beds"
    assert [plural(word) for word in ("box", "bunch", "tray", "berry")] == ["boxes", "bunches", "trays", "berries"]
