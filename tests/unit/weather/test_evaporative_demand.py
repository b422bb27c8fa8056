"""Reference evapotranspiration for every day, from what the record has."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from mullbed.domain.daily_weather import DailyWeather
from mullbed.domain.spread import Evidence
from mullbed.weather.evaporative_demand import demand_from_temperature, evaporative_demand, penman_monteith


def days(**columns: list[float]) -> DailyWeather:
    """Return three days of July with the columns given."""
    series = {name: np.array(values) for name, values in columns.items()}
    return DailyWeather(
        date(2021, 7, 6),
        series["low"],
        series["high"],
        np.zeros(3),
        series.get("radiation"),
        series.get("humidity"),
        series.get("wind"),
        series.get("given"),
        "made up",
        Evidence.MEASURED,
    )


LOW, HIGH = [12.3, 12.3, 12.3], [21.5, 21.5, 21.5]


def test_penman_monteith_gives_the_worked_example_of_brussels() -> None:
    # published: Allen et al. 1998, FAO-56, example 18: 6 July, 50 deg 48' N, 100 m, radiation 22.07, wind 2.078,
    # vapour pressure 1.409 of 1.997 kPa, so mean humidity 70.6 %; 3.9 mm
    demand = penman_monteith(12.3, 21.5, 22.07, 100 * 1.409 / 1.997, 2.078, 41.09, 100.0)
    assert demand == pytest.approx(3.9, abs=0.05)


def test_hargreaves_gives_the_worked_example() -> None:
    # published: Allen et al. 1998, FAO-56, example 20: July, 45 deg 43' N, 26.6 and 14.8 degC, 5.0 mm
    demand, radiation = demand_from_temperature(np.array([14.8]), np.array([26.6]), np.array([196]), 45.72)
    assert demand[0] == pytest.approx(5.0, abs=0.1)
    assert radiation[0] == pytest.approx(0.16 * (26.6 - 14.8) ** 0.5 * 40.6, rel=0.01)


def test_the_file_s_own_figure_goes_before_any_equation() -> None:
    demand, _ = evaporative_demand(days(low=LOW, high=HIGH, given=[1.0, np.nan, 2.0]), 50.8)
    assert demand[0] == 1.0
    assert demand[2] == 2.0
    assert 3.0 < demand[1] < 5.0


def test_penman_monteith_is_used_only_on_days_that_have_everything() -> None:
    measured = days(low=LOW, high=HIGH, radiation=[22.0, 22.0, np.nan], humidity=[70, np.nan, 70], wind=[2.0, 2.0, 2.0])
    demand, radiation = evaporative_demand(measured, 50.8, 100.0)
    hargreaves, estimated = evaporative_demand(days(low=LOW, high=HIGH), 50.8)
    assert demand[0] != hargreaves[0]
    assert demand[1] == hargreaves[1]
    assert radiation[1] == 22.0
    assert radiation[2] == estimated[2]


def test_a_day_without_temperature_stays_missing() -> None:
    demand, radiation = evaporative_demand(days(low=[12.0, np.nan, 12.0], high=HIGH), 50.8)
    assert np.isnan(demand[1])
    assert np.isnan(radiation[1])
    assert not np.isnan(demand[[0, 2]]).any()


def test_drier_air_and_more_wind_ask_for_more_water() -> None:
    moist = penman_monteith(12.0, 24.0, 20.0, 85.0, 2.0, 41.0, 0.0)
    assert penman_monteith(12.0, 24.0, 20.0, 50.0, 2.0, 41.0, 0.0) > moist
    assert penman_monteith(12.0, 24.0, 20.0, 50.0, 5.0, 41.0, 0.0) > penman_monteith(
        12.0, 24.0, 20.0, 50.0, 2.0, 41.0, 0.0
    )
