"""Signs that a record is not what it seems: each slip is found where it was made, clean records raise few."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from mullbed.domain.daily_weather import DailyWeather
from mullbed.weather.station_columns import understood
from mullbed.weather.station_days import station_days
from mullbed.weather.station_table import station_table
from mullbed.weather.suspicions import suspicions

LATITUDES = {
    "champion_nebraska_us": 40.4,
    "cordoba_ar": -31.4,
    "maricopa_arizona_us": 33.069,
    "cambridgeshire_uk": 52.2,
}


def opened(shared_data: Path, name: str) -> DailyWeather:
    path = shared_data / "weather" / f"{name}.csv"
    table = station_table(path.read_text(encoding="utf-8"), name)
    return station_days(table, understood(table), source=name, latitude=LATITUDES[name]).weather


@pytest.fixture(scope="module")
def maricopa(shared_data: Path) -> DailyWeather:
    return opened(shared_data, "maricopa_arizona_us")


@pytest.mark.parametrize(("name", "most"), [("cordoba_ar", 0), ("maricopa_arizona_us", 0), ("cambridgeshire_uk", 0)])
def test_clean_open_records_raise_no_suspicion(name: str, most: int, shared_data: Path) -> None:
    assert len(suspicions(opened(shared_data, name), LATITUDES[name])) <= most


def test_a_run_of_one_value_in_an_open_record_is_found(shared_data: Path) -> None:
    """Known by eye: in Nebraska both temperatures stand still for a week of February 1982."""
    found = suspicions(opened(shared_data, "champion_nebraska_us"), 40.4)
    assert {(one.column, one.first_day.year, one.first_day.month) for one in found} == {
        ("tmin_c", 1982, 2),
        ("tmax_c", 1982, 2),
    }


def changed(weather: DailyWeather, name: str, begin: int, end: int, change: object) -> DailyWeather:
    series = getattr(weather, name).copy()
    series[begin:end] = change(series[begin:end])  # type: ignore[operator]
    return replace(weather, **{name: series})


@pytest.mark.parametrize(
    ("name", "column", "begin", "end", "change", "said"),
    [
        ("low", "tmin_c", 400, 407, lambda values: np.full(values.size, 12.3), "12.3 on 7 days"),
        ("rain", "precip_mm", 400, 405, lambda values: np.full(values.size, 3.3), "3.3 on 5 days"),
        ("radiation", "srad", 400, 406, lambda values: np.full(values.size, 9.9), "9.9 on 6 days"),
        ("wind", "wind", 400, 410, lambda values: np.zeros(values.size), "0 on 10 days"),
        ("high", "tmax_c", 365, 396, lambda values: values * 1.8 + 32.0, "mean"),
        ("rain", "precip_mm", 365, 731, lambda values: values / 25.4, "inches in this year"),
        ("rain", "precip_mm", 0, 9999, lambda values: values / 25.4, "inches or centimetres"),
        ("rain", "precip_mm", 0, 9999, lambda values: values * 10.0, "tenths of a millimetre"),
        ("humidity", "humidity", 0, 9999, lambda values: values / 100.0, "a fraction"),
        ("wind", "wind", 0, 9999, lambda values: values * 9.0, "km/h"),
        ("radiation", "srad", 0, 9999, lambda values: values / 9.0, "kWh"),
        ("radiation", "srad", 0, 9999, lambda values: values / 0.0864 / 8.0, "top of the air"),
    ],
)
def test_a_slip_made_on_purpose_is_found(
    maricopa: DailyWeather, name: str, column: str, begin: int, end: int, change: object, said: str
) -> None:
    slipped = changed(maricopa, name, begin, end, change)
    found = [one for one in suspicions(slipped, 33.069) if one.column == column]
    assert any(said in one.found or said in one.may_be for one in found), found
    if end < 9999:
        assert all(
            maricopa.first_day + timedelta(days=begin) >= one.first_day - timedelta(days=31)
            and one.last_day <= maricopa.first_day + timedelta(days=end + 31)
            for one in found
        )


def test_a_month_in_fahrenheit_is_named_and_dated(maricopa: DailyWeather) -> None:
    slipped = changed(maricopa, "high", 365, 396, lambda values: values * 1.8 + 32.0)
    (found,) = [one for one in suspicions(slipped) if one.column == "tmax_c"]
    assert (found.first_day, found.last_day) == (date(2004, 1, 1), date(2004, 1, 31))
    assert "Fahrenheit" in found.may_be


def test_swapped_days_are_found(maricopa: DailyWeather) -> None:
    low, high = maricopa.low.copy(), maricopa.high.copy()
    low[10], high[10] = high[10], low[10]
    (found,) = suspicions(replace(maricopa, low=low, high=high))
    assert found.first_day == maricopa.first_day + timedelta(days=10)
    assert "swapped" in found.may_be
