"""Weather comes out of a dataset in our units, or is refused with everything that is wrong."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest
import xarray

from mullbed.errors import InputFault
from mullbed.weather.daily_file import read_daily_weather
from mullbed.weather.weather_dataset import station_text, weather_of_dataset

DAYS = np.array(["2026-05-01", "2026-05-02", "2026-05-04"], dtype="datetime64[ns]")


def dataset(**changes: object) -> xarray.Dataset:
    values = {
        "tasmin": ("time", [280.15, 281.15, np.nan], {"units": "K"}),
        "tasmax": ("time", [20.0, 21.0, 22.0], {"units": "degC"}),
        "pr": ("time", [0.0, 1.0 / 86400, 2.0 / 86400], {"units": "kg m-2 s-1"}),
        "rsds": ("time", [100.0, 200.0, 300.0], {"units": "W m-2"}),
    }
    return xarray.Dataset(values | changes, {"time": DAYS}, {"title": "three days"})  # type: ignore[arg-type]


def test_units_become_ours_and_days_left_out_are_missing() -> None:
    found = weather_of_dataset(dataset())
    assert (found.first_day, found.source) == (date(2026, 5, 1), "three days")
    np.testing.assert_allclose(found.low, [7.0, 8.0, np.nan, np.nan])
    np.testing.assert_allclose(found.rain, [0.0, 1.0, np.nan, 2.0])
    assert found.radiation is not None and found.wind is None
    np.testing.assert_allclose(found.radiation, [8.64, 17.28, np.nan, 25.92])  # 0.0864 MJ m-2 d-1 in a W m-2: known
    assert found.missing_days == (date(2026, 5, 3), date(2026, 5, 4))


def test_a_variable_is_found_by_its_standard_name_or_by_what_it_is_said_to_be_called() -> None:
    odd = dataset().rename({"tasmin": "a", "tasmax": "b"})
    odd["a"].attrs["standard_name"] = "minimum_air_temperature"
    assert weather_of_dataset(odd, names={"high": "b"}).high[0] == 20.0


def test_everything_wrong_is_told_at_once() -> None:
    wrong = dataset(tasmin=("time", [1.0, 2.0, 3.0], {"units": "furlong"})).drop_vars("pr")
    with pytest.raises(InputFault) as told:
        weather_of_dataset(wrong)
    assert {fault.value for fault in told.value.faults} == {"units 'furlong'", "no rain"}


def test_a_grid_and_hours_are_refused() -> None:
    grid = dataset().expand_dims(lat=[1.0, 2.0])
    with pytest.raises(InputFault, match="Choose one"):
        weather_of_dataset(grid)
    hours = dataset().assign_coords(time=np.array(["2026-05-01T00", "2026-05-01T06", "2026-05-02"], "datetime64[ns]"))
    with pytest.raises(InputFault, match="repeat"):
        weather_of_dataset(hours)


def test_a_station_file_reads_back_as_what_was_written(tmp_path: Path) -> None:
    found = weather_of_dataset(dataset(), source="a field\nbook")
    (tmp_path / "weather.csv").write_text(station_text(found), encoding="utf-8")
    again = read_daily_weather(tmp_path / "weather.csv")
    assert again.source == "a field book" and again.first_day == found.first_day
    for name in ("low", "high", "rain", "radiation"):
        np.testing.assert_allclose(getattr(again, name), getattr(found, name), rtol=1e-3)
    assert again.missing_days == found.missing_days
