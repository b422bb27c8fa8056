"""Seasons generated from twelve monthly means."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from mullbed.domain.spread import Evidence
from mullbed.errors import InputFault
from mullbed.weather.generator import generated_seasons, wet_day_chance

LOW = [2.0, 3, 4, 6, 9, 12, 13, 13, 11, 8, 5, 2]
HIGH = [8.0, 10, 12, 15, 19, 22, 25, 25, 22, 16, 11, 8]
RAIN = [140.0, 100, 95, 65, 50, 40, 15, 25, 40, 85, 160, 150]
YEAR = (date(2027, 1, 1), date(2027, 12, 31))


def test_the_rain_rule_is_that_of_the_model() -> None:
    # published: process model, section 6.0: chance min(0.65, max(0.05, 0.12 + 0.08 R))
    assert wet_day_chance(0.0) == pytest.approx(0.12)
    assert wet_day_chance(3.0) == pytest.approx(0.36)
    assert wet_day_chance(20.0) == 0.65


def test_many_generated_years_keep_the_monthly_means() -> None:
    years = generated_seasons(LOW, HIGH, RAIN, *YEAR, 47.6, np.random.default_rng(1), seasons=400)
    months = (
        np.array([np.datetime64("2027-01-01") + day for day in range(365)]).astype("datetime64[M]").astype(int) % 12
    )
    for month in range(12):
        assert years.rain[:, months == month].sum(axis=1).mean() == pytest.approx(RAIN[month], rel=0.15)
        assert years.low[:, months == month].mean() == pytest.approx(LOW[month], abs=0.8)
        assert years.high[:, months == month].mean() == pytest.approx(HIGH[month], abs=0.8)


def test_generated_weather_is_a_guess_of_at_least_sixteen_seasons() -> None:
    years = generated_seasons(
        LOW, HIGH, RAIN, date(2027, 3, 1), date(2027, 9, 30), 47.6, np.random.default_rng(1), seasons=2
    )
    assert years.evidence is Evidence.GUESS
    assert years.years == 16
    assert (years.rain >= 0).all()
    assert (years.high >= years.low).all()
    assert (years.reference_evaporation >= 0).all()
    assert (years.radiation > 0).all()


def test_the_same_seed_gives_the_same_seasons() -> None:
    first, again = (generated_seasons(LOW, HIGH, RAIN, *YEAR, 47.6, np.random.default_rng(5)) for _ in range(2))
    np.testing.assert_array_equal(first.rain, again.rain)
    np.testing.assert_array_equal(first.low, again.low)


def test_means_that_cannot_be_are_all_named() -> None:
    with pytest.raises(InputFault) as caught:
        generated_seasons([40.0, *LOW[1:]], HIGH, [-1.0, *RAIN[1:11]], *YEAR, 47.6, np.random.default_rng(1))
    said = str(caught.value)
    assert "low 40 above high 8" in said
    assert "monthly_rain, month 1: -1" in said
    assert "11 numbers" in said
