"""Readings of the garden beat the past years; days nobody read keep them."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.record_seen import RainExpected, WeatherDay
from mullbed.weather.evaporative_demand import demand_from_temperature
from mullbed.weather.generator import generated_seasons
from mullbed.weather.recorded_days import usual_days, with_known_days

FIRST = date(2027, 4, 1)


@pytest.fixture(scope="module")
def seasons() -> WeatherYears:
    low, high, rain = (1.0, 1, 3, 5, 8, 11, 13, 13, 10, 7, 4, 2), (7.0, 8, 11, 14, 18, 21, 23, 23, 19, 14, 10, 7), 12
    return generated_seasons(
        low, high, (60.0,) * rain, FIRST, FIRST + timedelta(days=59), 50.0, np.random.default_rng(3)
    )


def test_what_was_read_holds_in_every_season(seasons: WeatherYears) -> None:
    day = FIRST + timedelta(days=10)
    laid = with_known_days(seasons, [(day, WeatherDay(low=-1.0, high=9.0, rain=22.0))], 50.0)
    assert np.all(laid.rain[:, 10] == 22.0)
    assert np.all(laid.low[:, 10] == -1.0)
    assert np.all(laid.high[:, 10] == 9.0)
    expected, _ = demand_from_temperature(np.array([-1.0]), np.array([9.0]), np.array([day.timetuple().tm_yday]), 50.0)
    assert laid.reference_evaporation[:, 10] == pytest.approx(float(expected[0]))
    assert "1 days as read" in laid.source


def test_days_nobody_read_keep_every_past_year(seasons: WeatherYears) -> None:
    laid = with_known_days(seasons, [(FIRST + timedelta(days=10), WeatherDay(rain=22.0))], 50.0)
    others = [day for day in range(seasons.days) if day != 10]
    assert np.array_equal(laid.rain[:, others], seasons.rain[:, others])
    assert np.array_equal(laid.low, seasons.low)
    assert np.array_equal(laid.reference_evaporation, seasons.reference_evaporation)


def test_a_low_alone_moves_the_high_with_it(seasons: WeatherYears) -> None:
    laid = with_known_days(seasons, [(FIRST, WeatherDay(low=12.0))], 50.0)
    assert np.all(laid.low[:, 0] == 12.0)
    assert laid.high[:, 0] - 12.0 == pytest.approx(np.maximum(1.0, seasons.high[:, 0] - seasons.low[:, 0]))


def test_words_for_rain_are_in_order_and_keep_a_spread(seasons: WeatherYears) -> None:
    day = FIRST + timedelta(days=30)
    none, some, much = (
        with_known_days(seasons, [(day - timedelta(days=1), WeatherDay(expected=word))], 50.0).rain[:, 30]
        for word in RainExpected
    )
    assert np.all(none == 0.0)
    assert some.min() >= 1.0
    assert some.max() <= much.min()
    assert len(set(some.tolist())) > seasons.years // 2
    assert "as read" not in with_known_days(seasons, [(day, WeatherDay(expected=RainExpected.SOME))], 50.0).source


def test_days_outside_of_the_seasons_change_nothing(seasons: WeatherYears) -> None:
    laid = with_known_days(seasons, [(FIRST - timedelta(days=1), WeatherDay(rain=5.0))], 50.0)
    assert np.array_equal(laid.rain, seasons.rain)


def test_the_usual_day_is_the_mean_of_the_days_around_it(seasons: WeatherYears) -> None:
    usual = usual_days(seasons)
    assert len(usual) == seasons.days
    assert usual[20].rain == pytest.approx(float(seasons.rain[:, 13:28].mean()))
    assert usual[0].low == pytest.approx(float(seasons.low[:, :8].mean()))
    assert all(day.low < day.high for day in usual)


def test_rain_expected_is_about_the_next_three_days_and_gives_way_to_the_gauge(seasons: WeatherYears) -> None:
    told = [(FIRST, WeatherDay(expected=RainExpected.NONE)), (FIRST + timedelta(days=2), WeatherDay(rain=9.0))]
    laid = with_known_days(seasons, told, 50.0)
    assert np.all(laid.rain[:, [1, 3]] == 0.0)
    assert np.all(laid.rain[:, 2] == 9.0)
    assert np.array_equal(laid.rain[:, [0, 4]], seasons.rain[:, [0, 4]])


def test_what_was_filled_in_was_never_read(seasons: WeatherYears) -> None:
    filled = WeatherDay(rain=4.0, low=5.0, high=15.0, filled=("low", "high"))
    laid = with_known_days(seasons, [(FIRST, filled)], 50.0)
    assert np.array_equal(laid.low, seasons.low)
    assert np.all(laid.rain[:, 0] == 4.0)
