"""Past years as possible futures."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from mullbed.domain.daily_weather import DailyWeather
from mullbed.domain.spread import Evidence
from mullbed.errors import InputFault
from mullbed.weather.climate_years import climate_years, equal_date
from mullbed.weather.daily_file import read_daily_weather

DATA = Path(__file__).parents[2] / "data"


def record(first_day: date, last_day: date) -> DailyWeather:
    """Return a record whose rain is year + day-of-year / 1000, so that every day can be told."""
    days = [first_day + timedelta(days=number) for number in range((last_day - first_day).days + 1)]
    rain = np.array([day.year + day.timetuple().tm_yday / 1000.0 for day in days])
    low = np.full(len(days), 5.0)
    return DailyWeather(first_day, low, low + 10.0, rain, None, None, None, None, "made up", Evidence.MEASURED)


TEN_YEARS = record(date(2010, 1, 1), date(2019, 12, 31))
FOUR_YEARS = record(date(2012, 1, 1), date(2015, 12, 31))


def test_eight_or_more_complete_years_are_used_as_they_are() -> None:
    years = climate_years(TEN_YEARS, date(2027, 3, 1), date(2027, 3, 31), 47.0, np.random.default_rng(1))
    assert years.labels == tuple(str(year) for year in range(2010, 2020))
    assert years.evidence is Evidence.MEASURED
    assert years.rain[0, 0] == pytest.approx(2010.060)  # known: 1 March is day 60 of 2010
    assert years.rain[2, 0] == pytest.approx(2012.061)  # known: day 61 of a leap year
    assert (years.years, years.days) == (10, 31)


def test_seasons_across_the_year_end_keep_their_order() -> None:
    years = climate_years(TEN_YEARS, date(2027, 12, 30), date(2028, 1, 2), 47.0, np.random.default_rng(1))
    assert years.years == 9  # known: nine turns of the year in ten years
    assert years.labels[0] == "2010-2011"
    np.testing.assert_allclose(years.rain[0], [2010.364, 2010.365, 2011.001, 2011.002])


def test_a_past_leap_day_is_left_out_and_a_coming_one_takes_the_28th() -> None:
    common = climate_years(TEN_YEARS, date(2027, 2, 27), date(2027, 3, 1), 47.0, np.random.default_rng(1))
    np.testing.assert_allclose(common.rain[2], [2012.058, 2012.059, 2012.061])
    leap = climate_years(TEN_YEARS, date(2028, 2, 28), date(2028, 3, 1), 47.0, np.random.default_rng(1))
    np.testing.assert_allclose(leap.rain[0], [2010.059, 2010.059, 2010.060])
    np.testing.assert_allclose(leap.rain[2], [2012.059, 2012.060, 2012.061])
    assert equal_date(date(2028, 2, 29), -1) == date(2027, 2, 28)


def test_fewer_than_eight_years_are_joined_from_two_week_blocks_at_equal_dates() -> None:
    years = climate_years(FOUR_YEARS, date(2027, 3, 15), date(2027, 10, 31), 47.0, np.random.default_rng(7))
    assert years.evidence is Evidence.WORKED_OUT
    assert years.years == 24
    assert years.labels[0].startswith("joined from 2012-2015")
    year_of = np.floor(years.rain)
    for begin in range(0, 231, 14):
        assert (year_of[:, begin : begin + 14] == year_of[:, begin : begin + 1]).all()
        assert sorted(set(year_of[:, begin])) == [2012, 2013, 2014, 2015]
        assert (np.unique(year_of[:, begin], return_counts=True)[1] == 6).all()  # known: 24 seasons, 4 years
    for season in range(years.years):
        for day in (0, 100, 230):
            coming = date(2027, 3, 15) + timedelta(days=day)
            past = coming.replace(year=int(year_of[season, day]))
            assert years.rain[season, day] == pytest.approx(past.year + past.timetuple().tm_yday / 1000.0)


def test_joined_seasons_come_back_from_the_same_seed_and_differ_between_seeds() -> None:
    first, again, other = (
        climate_years(FOUR_YEARS, date(2027, 4, 1), date(2027, 9, 30), 47.0, np.random.default_rng(seed))
        for seed in (3, 3, 4)
    )
    np.testing.assert_array_equal(first.rain, again.rain)
    assert not np.array_equal(first.rain, other.rain)


def test_a_year_with_a_missing_day_is_not_used() -> None:
    rain = TEN_YEARS.rain.copy()
    rain[(date(2013, 3, 10) - TEN_YEARS.first_day).days] = np.nan
    gappy = replace(TEN_YEARS, rain=rain, missing_days=(date(2013, 3, 10),))
    years = climate_years(gappy, date(2027, 3, 1), date(2027, 3, 31), 47.0, np.random.default_rng(1))
    assert "2013" not in years.labels
    assert not np.isnan(years.rain).any()


def test_a_season_no_year_covers_is_refused_and_named() -> None:
    spring = read_daily_weather(DATA / "broken" / "spring_only.csv")
    with pytest.raises(InputFault) as caught:
        climate_years(spring, date(2027, 3, 15), date(2027, 10, 31), 47.6, np.random.default_rng(1))
    (fault,) = caught.value.faults
    assert fault.value == "no year has the days from 2027-04-26 to 2027-10-31 of the season whole"
    assert "the record is 2021-01-01 to 2021-04-30" in caught.value.faults[0].allowed
    assert "longer record" in caught.value.faults[0].remedy


def test_one_year_alone_is_one_season_and_says_so() -> None:
    one = record(date(2015, 1, 1), date(2015, 12, 31))
    years = climate_years(one, date(2027, 4, 1), date(2027, 9, 30), 47.0, np.random.default_rng(1))
    assert years.labels == ("2015 alone",)
    assert years.evidence is Evidence.WORKED_OUT


def test_a_season_out_of_order_is_refused() -> None:
    with pytest.raises(InputFault, match="1 to 1100 days"):
        climate_years(TEN_YEARS, date(2027, 4, 1), date(2027, 3, 1), 47.0, np.random.default_rng(1))
