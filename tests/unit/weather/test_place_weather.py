"""The possible seasons of a place, from whichever source the garden names."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from mullbed.domain.garden import Site, WeatherSource
from mullbed.domain.spread import Evidence
from mullbed.errors import InputFault
from mullbed.files.bundled_garden import bundled_garden
from mullbed.files.garden_file import read_garden
from mullbed.weather.place_weather import place_weather

SEASON = (date(2027, 3, 15), date(2027, 10, 31))
MEANS = WeatherSource(monthly_low=(5.0,) * 12, monthly_high=(15.0,) * 12, monthly_rain=(60.0,) * 12)


def test_the_bundled_garden_has_seasons_joined_from_its_four_years() -> None:
    years = place_weather(read_garden(bundled_garden()).site, *SEASON, seed=1)
    assert years.evidence is Evidence.WORKED_OUT
    assert years.labels[0].startswith("joined from 2012-2015")
    assert years.days == 231  # known: 15 March to 31 October
    assert 300.0 < years.rain.sum(axis=1).mean() < 700.0
    assert 500.0 < years.reference_evaporation.sum(axis=1).mean() < 1000.0
    assert years.rain.sum(axis=1).std() > 30.0


def test_monthly_means_give_a_guess() -> None:
    assert place_weather(Site("x", 45.0, MEANS), *SEASON, seed=1).evidence is Evidence.GUESS


def test_equal_seeds_give_equal_seasons_and_others_do_not() -> None:
    first, again, other = (place_weather(Site("x", 45.0, MEANS), *SEASON, seed=seed) for seed in (1, 1, 2))
    np.testing.assert_array_equal(first.rain, again.rain)
    assert not np.array_equal(first.rain, other.rain)


def test_a_site_without_weather_and_one_with_a_missing_file_are_named() -> None:
    site = Site("x", 45.0, WeatherSource())
    with pytest.raises(InputFault, match="nothing given"):
        place_weather(site, *SEASON, seed=1)
    lost = WeatherSource(daily_file=bundled_garden().with_name("lost.csv"))
    with pytest.raises(InputFault, match=r"lost\.csv: cannot be read"):
        place_weather(replace(site, weather=lost), *SEASON, seed=1)
