"""What an entry says: chances that sum to one, thresholds in their place, slips that stay possible."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from mullbed.domain.observation import OBSERVABLES, Observation
from mullbed.learn.likelihood import (
    SIGHTS,
    Entry,
    chance_beyond,
    companied,
    fitting,
    log_likelihood,
    number_scale,
    slip_chance,
    word_chances,
)

DAY = date(2026, 6, 1)
CLASSES = [key for key, row in OBSERVABLES.items() if row.is_class]
NUMBERS = [key for key, row in OBSERVABLES.items() if not row.is_class and not SIGHTS[key].counts]


def entry(what: str, answer: float | str, *, company: int = 1, repeats: int = 1) -> Entry:
    if isinstance(answer, str):
        return Entry(Observation(what, "Low bed", DAY, word=answer), 10, company)
    return Entry(Observation(what, "Low bed", DAY, value=answer, repeats=repeats), 10, company)


def states(*values: float, features: int = 1) -> np.ndarray:
    return np.array(values, dtype=float).reshape(-1, features)


def test_everything_that_can_be_observed_has_a_likelihood_and_is_told_of(repository: Path) -> None:
    page = (repository / "docs/topics/learning.md").read_text(encoding="utf-8")
    assert set(SIGHTS) == set(OBSERVABLES)
    assert [key for key in OBSERVABLES if f"| {key} |" not in page] == []


@pytest.mark.parametrize("what", CLASSES)
def test_chances_of_words_sum_to_one(what: str) -> None:
    word = OBSERVABLES[what].words[0]
    features = SIGHTS[what].features
    told = word_chances(entry(what, word), states(*np.linspace(0.0, 1.2, 24), features=features))
    assert told.sum(axis=1) == pytest.approx(np.ones(told.shape[0]))
    assert (told >= 0.0).all()


@pytest.mark.parametrize("what", NUMBERS)
def test_densities_of_numbers_hold_one_in_all(what: str) -> None:
    """Known: a density sums to one; all but the far tails lies within forty scales."""
    row = OBSERVABLES[what]
    middle = 0.5 * (row.low + row.high)
    scale = float(number_scale(entry(what, middle), states(middle))[0])
    grid = middle + scale * np.linspace(-40.0, 40.0, 4001)
    # the entry is held fixed and the state moved, with its own scale left out of the question
    told = [0.375 * (1.0 + ((middle - one) / scale) ** 2 / 4.0) ** -2.5 / scale for one in grid]
    assert np.trapezoid(told, grid) == pytest.approx(1.0, abs=1e-3)
    assert fitting(entry(what, middle), states(middle))[0] == pytest.approx(0.375 / scale)


@pytest.mark.parametrize(
    ("word", "wetness"), [("crackles", 0.30), ("damp, no drops", 0.45), ("a few drops", 0.56), ("drips freely", 0.75)]
)
def test_the_squeeze_tells_wetness_by_its_thresholds(word: str, wetness: float) -> None:
    """Crackles below 40 %, a few drops at 50-60 %, drips freely above 65 % wet basis; from memory."""
    told = word_chances(entry("squeeze", word), states(wetness))[0]
    assert OBSERVABLES["squeeze"].words[int(np.argmax(told))] == word


def test_worms_of_several_spadefuls_say_more() -> None:
    few, many = (entry("worms", 9.0, repeats=count) for count in (1, 10))
    means = states(4.0, 9.0)
    gain = [float(np.subtract(*log_likelihood(one, means)[::-1])) for one in (few, many)]
    assert 0.0 < gain[0] < gain[1]


def test_counts_sum_to_one() -> None:
    told = sum(float(fitting(entry("worms", float(count)), states(6.0))[0]) for count in range(200))
    assert told == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize("what", ["thickness by ruler", "soil temperature", "nitrate-N", "mass left"])
def test_no_number_however_wrong_can_weigh_without_bound(what: str) -> None:
    row = OBSERVABLES[what]
    near, far = row.low + 0.1 * (row.high - row.low), row.high
    log = log_likelihood(entry(what, far), states(near, near * 1.3))
    assert abs(log[1] - log[0]) < 0.2
    assert slip_chance(entry(what, far), states(near)) > 0.5


def test_a_state_that_says_nothing_leaves_an_entry_to_be_a_slip() -> None:
    log = log_likelihood(entry("squeeze", "crackles"), states(np.nan, 0.3))
    assert np.isfinite(log).all()
    assert log[0] == pytest.approx(np.log(0.05 / 4.0))
    assert log[1] > log[0]


def test_young_leaves_with_green_veins_say_nothing_of_nitrogen() -> None:
    silent = entry("crop colour", "young leaves yellow, veins green")
    assert np.array_equal(log_likelihood(silent, states(0.0, 0.9)), np.zeros(2))
    assert chance_beyond(silent, states(0.3)) == 1.0


def test_the_chance_of_a_value_so_far_out_falls_with_its_distance() -> None:
    known = states(*np.linspace(0.02, 0.04, 50))
    chances = [chance_beyond(entry("thickness by ruler", value), known) for value in (0.03, 0.05, 0.08)]
    assert chances[0] > 0.9
    assert chances[0] > chances[1] > chances[2]
    assert chances[2] < 0.05


def test_entries_of_one_kind_in_one_week_share_what_the_model_leaves_out() -> None:
    """Known: n entries that share an error of variance s^2 weigh as one of variance s^2 + e^2 / n."""
    one = Observation("cover", "Low bed", DAY, value=0.9)
    other = Observation("smell", "Low bed", DAY, word="earthy")
    told = companied([(one, 10), (one, 12), (other, 12), (one, 60)])
    assert [each.company for each in told] == [2, 2, 1, 1]
    alone, both = (number_scale(entry("cover", 0.9, company=count), states(0.9))[0] for count in (1, 2))
    assert both**2 / 2.0 == pytest.approx(0.08**2 + 0.08**2 / 2.0)
    assert alone**2 == pytest.approx(2.0 * 0.08**2)
