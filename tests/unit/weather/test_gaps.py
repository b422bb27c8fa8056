"""Gaps are named, and filled only the way the user names."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from mullbed.domain.daily_weather import DailyWeather
from mullbed.domain.spread import Evidence
from mullbed.domain.weather_record import Gap, GapWay
from mullbed.errors import InputFault
from mullbed.weather.gaps import GapPolicy, gap_policy, gaps_of, without_gaps

FIRST = date(2020, 1, 1)
YEARS = 4
DAYS = 365 * YEARS + 1


def record() -> DailyWeather:
    """Four years whose temperatures repeat and whose rain is the year's number on every third day."""
    days = [FIRST + timedelta(days=day) for day in range(DAYS)]
    season = np.array([10.0 * np.sin(2.0 * np.pi * day.timetuple().tm_yday / 365.0) for day in days])
    rain = np.array([float(day.year - 2019) if day.timetuple().tm_yday % 3 == 0 else 0.0 for day in days])
    return DailyWeather(FIRST, season, season + 8.0, rain, None, None, None, None, "invented", Evidence.MEASURED)


def with_gap(begin: int, days: int) -> DailyWeather:
    whole = record()
    for series in (whole.low, whole.high, whole.rain):
        series[begin : begin + days] = np.nan
    return whole


def test_every_gap_is_named_by_column_day_and_length() -> None:
    found = gaps_of(with_gap(100, 3))
    assert found == tuple(Gap(name, FIRST + timedelta(days=100), 3) for name in ("tmin_c", "tmax_c", "precip_mm"))
    assert found[0].last_day == FIRST + timedelta(days=102)
    assert gaps_of(record()) == ()


def test_nothing_is_filled_unless_asked_for() -> None:
    weather, filled = without_gaps(with_gap(100, 3), (GapPolicy(GapWay.LEAVE),))
    assert filled == ()
    assert np.isnan(weather.low[100:103]).all()
    assert weather.source == "invented"


def test_refusing_names_every_gap() -> None:
    with pytest.raises(InputFault) as refused:
        without_gaps(with_gap(100, 3), (gap_policy("refuse"),))
    assert len(refused.value.faults) == 3
    assert "2020-04-10 to 2020-04-12" in str(refused.value)
    assert without_gaps(record(), (gap_policy("refuse"),))[1] == ()


def test_a_line_crosses_short_gaps_of_temperature_and_no_rain() -> None:
    whole = record()
    weather, filled = without_gaps(with_gap(100, 3), (gap_policy("line:3"),))
    assert weather.low[101] == pytest.approx((whole.low[99] + whole.low[103]) / 2.0)
    assert np.isnan(weather.rain[100:103]).all()
    assert {one.gap.column for one in filled} == {"tmin_c", "tmax_c"}
    assert "6 missing values filled in" in weather.source
    assert len(weather.missing_days) == 3
    longer, none = without_gaps(with_gap(100, 4), (gap_policy("line:3"),))
    assert none == ()
    assert np.isnan(longer.low[100:104]).all()


def test_other_years_give_their_mean_and_the_rain_of_the_most_alike() -> None:
    """Known: temperatures repeat every year; 2021's rain is nearest to 2020's in the days around."""
    whole = record()
    weather, filled = without_gaps(with_gap(100, 20), (gap_policy("other-years"),))
    assert weather.low[100:120] == pytest.approx(whole.low[100:120], abs=0.3)
    assert set(np.unique(weather.rain[100:120])) == {0.0, 2.0}
    assert any("2021" in one.how for one in filled)
    assert weather.missing_days == ()
    assert "60 missing values filled in" in weather.source


def test_ways_are_taken_one_after_the_other() -> None:
    weather, filled = without_gaps(with_gap(100, 2), (gap_policy("line:3"), gap_policy("other-years")))
    assert {one.how.split(",")[0] for one in filled if one.gap.column != "precip_mm"} == {"a straight line"}
    assert not np.isnan(weather.rain).any()


def test_a_filled_temperature_never_crosses_one_that_was_measured() -> None:
    whole = record()
    whole.high[100] = np.nan
    whole.low[100] = 40.0
    weather, _ = without_gaps(whole, (gap_policy("line:1"),))
    assert weather.low[100] == 40.0
    assert weather.high[100] == 40.0


@pytest.mark.parametrize("text", ["guess", "line", "line:0", "line:99", "refuse:3", "other-years:-1", "line:x"])
def test_a_way_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(InputFault, match="other-years"):
        gap_policy(text)
