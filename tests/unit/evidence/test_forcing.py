"""Weather made from means and the drive it gives ([@mullbed_model] section 6.0 and check P58)."""

from __future__ import annotations

import numpy as np
import pytest

from mullbed.evidence.forcing import (
    Climate,
    daily_weather,
    drive,
    half_range_of_latitude,
    latitude_of_half_range,
    site_climate,
)

COOL, HOT, DRY = Climate(10, 9, 2, 40), Climate(25, 2, 5, 10), Climate(15, 8, 1.1, 30)


@pytest.mark.parametrize(("climate", "published"), [(COOL, 0.273), (HOT, 1.096), (DRY, 0.280)])
def test_the_first_of_three_years_has_the_drive_of_check_p58(climate: Climate, published: float) -> None:
    first = drive(daily_weather(climate, 1, 3)).surface[:365]
    assert first.mean() == pytest.approx(published, abs=0.001)


def test_rain_of_many_years_adds_up_to_the_rate_asked_for() -> None:
    assert daily_weather(COOL, 3, 40).rain.mean() == pytest.approx(2.0, rel=0.05)


def test_the_same_seed_gives_the_same_weather_and_another_does_not() -> None:
    assert np.array_equal(daily_weather(COOL, 5, 2).rain, daily_weather(COOL, 5, 2).rain)
    assert not np.array_equal(daily_weather(COOL, 5, 2).rain, daily_weather(COOL, 6, 2).rain)


def test_a_dry_place_has_a_smaller_drive_than_a_wet_one_of_the_same_warmth() -> None:
    wet = Climate(15, 8, 3.5, 30)
    assert drive(daily_weather(DRY, 1, 3)).surface.mean() < drive(daily_weather(wet, 1, 3)).surface.mean()


def test_latitude_and_half_range_suggest_each_other() -> None:
    assert half_range_of_latitude(latitude_of_half_range(9.0, south=True)) == pytest.approx(9.0)
    assert latitude_of_half_range(9.0, south=True) < 0.0
    assert half_range_of_latitude(0.0) == 1.0


def test_a_site_whose_warmest_month_is_january_lies_in_the_south() -> None:
    row = {f"t{month:02d}_c": str(20.0 + 5.0 * np.cos(2 * np.pi * (month - 1) / 12)) for month in range(1, 13)}
    found = site_climate({**row, "map_mm": "730"})
    assert found.latitude < 0.0
    assert found.rain == pytest.approx(2.0)


def test_frost_stops_the_drive() -> None:
    assert drive(daily_weather(Climate(-20, 2, 1, 65), 1, 1)).surface.max() == 0.0
