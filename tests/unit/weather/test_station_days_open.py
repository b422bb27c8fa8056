"""Open station tables as their networks print them, read without naming a column, against the networks' own figures.

Reference evapotranspiration can be compared at Maricopa alone: the table of McLean county holds none, and that of
Greeley tells the tall reference, which is not ours.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np

from mullbed.domain.daily_weather import DailyWeather
from mullbed.weather.evaporative_demand import evaporative_demand
from mullbed.weather.station_columns import understood
from mullbed.weather.station_days import station_days
from mullbed.weather.station_table import station_table

NETWORK = 0.01
"""[mm d-1] The last digit the network prints."""


def opened(path: Path, wind_height: float, leave_out: tuple[str, ...] = ()) -> DailyWeather:
    table = station_table(path.read_text(encoding="utf-8"), path.name)
    columns = understood(table, dict.fromkeys(leave_out, ((), "")))
    return station_days(table, columns, source=path.name, wind_height=wind_height).weather


def test_evapotranspiration_at_maricopa_is_what_the_network_prints(shared_data: Path) -> None:
    """Published: et0_reference_mm of the Arizona network; dew point and wind at 3 m come through the reader."""
    path = shared_data / "et0_daily_maricopa_az_2003_2005.csv"
    weather = opened(path, 3.0, leave_out=("et0",))
    demand, _ = evaporative_demand(weather, 33.069, 361.0)
    rows = csv.DictReader(line for line in path.read_text(encoding="utf-8").splitlines() if line[:1] != "#")
    printed = np.array([float(row["et0_reference_mm"]) for row in rows])
    assert weather.reference_evaporation is None
    assert printed.size == 1096
    assert float(np.max(np.abs(demand - printed))) < NETWORK


def test_lowest_and_highest_humidity_come_close_to_the_dew_point(shared_data: Path) -> None:
    """Known: the joined humidity of the two ends gives the demand of the dew point within a few per cent."""
    path = shared_data / "et0_daily_maricopa_az_2003_2005.csv"
    by_dew, _ = evaporative_demand(opened(path, 3.0, ("et0",)), 33.069, 361.0)
    by_ends, _ = evaporative_demand(opened(path, 3.0, ("et0", "dew_point")), 33.069, 361.0)
    plain, _ = evaporative_demand(opened(path, 3.0, ("et0", "dew_point", "humidity")), 33.069, 361.0)
    assert abs(float(np.mean(by_ends / by_dew)) - 1.0) < 0.03
    assert float(np.std(by_ends - by_dew)) < 0.1 * float(np.std(plain - by_dew))


def test_stations_with_humidity_are_read_whole(shared_data: Path) -> None:
    for name, days in (("et0_daily_mclean_il_2015.csv", 365), ("et0_daily_greeley_co_2022.csv", 333)):
        weather = opened(shared_data / name, 2.0)
        assert weather.rain.size == days
        assert weather.reference_evaporation is None
        assert weather.humidity is not None
        assert weather.wind is not None
        demand, _ = evaporative_demand(weather, 40.4, 230.0)
        assert 700.0 < float(np.nansum(demand)) < 1500.0
