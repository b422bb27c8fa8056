"""Forecasts that were right, too sure, too unsure or leaning, and what is learnt for the next bands."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from mullbed.domain.forecast import Band, BedForecast, RelativeBalance
from mullbed.domain.honesty import KeptForecast, kept, widened
from mullbed.domain.observation import Observation
from mullbed.learn.check import NINETIETH, check_forecasts
from mullbed.learn.likelihood import SIGHTS

MADE = date(2026, 4, 1)
DAYS = 1200


def forecast(middle: float, sd: float, name: str = "soil_temperature", bed: str = "Low bed") -> KeptForecast:
    low, high = middle - NINETIETH * sd, middle + NINETIETH * sd
    band = Band(*(np.full(DAYS, value) for value in (low, middle, high)))
    return KeptForecast(bed, MADE, MADE, {name: band})


def read(true_sd: float, count: int = 60, lean: float = 0.0, seed: int = 1) -> list[Observation]:
    """Return soil temperatures read every 15 days about 15 degrees, with a spread beside that of reading."""
    chance = np.random.default_rng(seed)
    sight = SIGHTS["soil temperature"]
    values = 15.0 + lean + np.hypot(true_sd, np.hypot(0.5, sight.spread)) * chance.standard_normal(count)
    return [
        Observation("soil temperature", "Low bed", MADE + timedelta(days=15 * number + 15), value=float(one), error=0.5)
        for number, one in enumerate(values)
    ]


def test_bands_that_were_right_are_left_as_they_are() -> None:
    found = check_forecasts([forecast(15.0, 4.0)], read(4.0))
    assert found.count == 60
    assert found.coverage == pytest.approx(0.8, abs=0.1)
    assert found.widening == 1.0
    assert abs(found.leaning) < 0.3


def test_bands_that_were_too_narrow_are_widened_by_what_was_missing() -> None:
    """Known: spread 8 where 4 was said wants a factor of two."""
    found = check_forecasts([forecast(15.0, 4.0)], read(8.0, seed=4))
    assert found.coverage is not None
    assert found.coverage < 0.7
    assert found.too_narrow > 0.99
    assert found.widening == pytest.approx(2.0, rel=0.2)
    assert found.widening_low < found.widening < found.widening_high


def test_bands_are_narrowed_late_and_little() -> None:
    assert check_forecasts([forecast(15.0, 12.0)], read(1.0, count=12)).widening == 1.0
    assert check_forecasts([forecast(15.0, 12.0)], read(1.0, count=60)).widening == 0.8


def test_forecasts_that_lean_are_told_by_how_much() -> None:
    found = check_forecasts([forecast(15.0, 4.0)], read(4.0, lean=3.0))
    assert found.kinds[0].bias == pytest.approx(3.0, abs=1.2)
    assert found.leaning > 0.3


def test_one_slip_widens_little() -> None:
    entries = read(4.0, count=20)
    slip = Observation("soil temperature", "Low bed", MADE + timedelta(days=1100), value=58.0, error=0.5)
    assert check_forecasts([forecast(15.0, 4.0)], [*entries, slip]).widening < 1.35


def test_nothing_seen_leaves_bands_and_tells_no_coverage() -> None:
    found = check_forecasts([forecast(15.0, 4.0)], [])
    assert (found.coverage, found.widening, found.count) == (None, 1.0, 0)


def test_an_entry_is_held_against_the_last_forecast_made_before_it() -> None:
    old, new = forecast(15.0, 4.0), forecast(20.0, 4.0)
    new = KeptForecast("Low bed", MADE + timedelta(days=10), MADE, new.series)
    entry = Observation("soil temperature", "Low bed", MADE + timedelta(days=10), value=16.0)
    later = Observation("soil temperature", "Low bed", MADE + timedelta(days=11), value=16.0)
    found = check_forecasts([new, old], [later, entry])
    assert [one.mid for one in found.came] == [15.0, 20.0]


def test_what_no_forecast_tells_of_is_counted_apart() -> None:
    entries = [
        Observation("soil temperature", "Other bed", MADE + timedelta(days=9), value=16.0),
        Observation("smell", "Low bed", MADE + timedelta(days=9), word="earthy"),
    ]
    found = check_forecasts([forecast(15.0, 4.0)], entries)
    assert (found.count, found.without) == (0, 1)


@pytest.mark.parametrize(("word", "inside"), [("a few drops", True), ("crackles", False), ("drips freely", False)])
def test_a_word_is_held_against_what_it_stands_for(word: str, inside: bool) -> None:
    entry = Observation("squeeze", "Low bed", MADE + timedelta(days=9), word=word)
    found = check_forecasts([forecast(0.55, 0.02, "moisture")], [entry])
    assert found.came[0].inside is inside


def test_doubled_entries_and_their_order_change_nothing() -> None:
    entries = [
        Observation("soil temperature", "Low bed", MADE + timedelta(days=day), value=10.0 + day, entry=f"{day}")
        for day in range(1, 9)
    ]
    again = [*entries[::-1], entries[3]]
    assert check_forecasts([forecast(15.0, 4.0)], entries) == check_forecasts([forecast(15.0, 4.0)], again)


def test_a_widened_forecast_keeps_its_middle_and_what_is_possible() -> None:
    bands = {
        "thickness": Band(np.array([0.01]), np.array([0.03]), np.array([0.05])),
        "cover": Band(np.array([0.7]), np.array([0.9]), np.array([0.95])),
        "net_nitrogen": Band(np.array([-1.0]), np.array([2.0]), np.array([5.0])),
    }
    made = BedForecast("Low bed", MADE, bands, (), np.zeros(1), RelativeBalance(0.0, 0.0, 0.0), {})
    wide = widened(made, 2.0)
    assert kept(wide, MADE).at("thickness", MADE) == pytest.approx((0.0, 0.03, 0.07))
    assert kept(wide, MADE).at("cover", MADE) == pytest.approx((0.5, 0.9, 1.0))
    assert kept(wide, MADE).at("net_nitrogen", MADE) == pytest.approx((-4.0, 2.0, 8.0))
    assert kept(wide, MADE).at("cover", MADE - timedelta(days=1)) is None
    assert widened(made, 1.0) is made


def test_bands_that_were_widened_before_are_not_narrowed_back() -> None:
    """Known: a spread of 8 where members say 4 wants a factor of two, whether or not bands were doubled already."""
    doubled = forecast(15.0, 8.0)
    doubled = KeptForecast(doubled.bed, doubled.made_on, doubled.first_day, doubled.series, 2.0)
    again, first = (check_forecasts([one], read(8.0, seed=4)) for one in (doubled, forecast(15.0, 4.0)))
    assert again.widening == pytest.approx(first.widening, rel=0.05)
    assert again.coverage is not None
    assert again.coverage == pytest.approx(0.8, abs=0.1)
