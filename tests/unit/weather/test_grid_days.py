"""A place's weather out of a grid: that of its cell, in our units, without the rest of the grid."""

from __future__ import annotations

import tracemalloc
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from mullbed.errors import InputFault
from mullbed.weather.grid_days import is_grid, weather_at

xarray = pytest.importorskip("xarray")
pytest.importorskip("h5netcdf")

SIDE, DAYS = 100, 120


def dataset(axes: tuple[str, str] = ("latitude", "longitude")) -> xarray.Dataset:
    """Return a grid of ten thousand cells whose values tell row, column and day."""
    row, column = np.arange(SIDE)[None, :, None], np.arange(SIDE)[None, None, :]
    day = np.arange(DAYS)[:, None, None]
    low = (row * 0.1 + column * 0.01 + day * 0.001).astype("float32")
    dims = ("time", *axes)
    return xarray.Dataset(
        {
            "tasmin": (dims, low + 273.15, {"units": "K"}),
            "tasmax": (dims, low + 283.15, {"units": "K"}),
            "pr": (dims, np.broadcast_to(2.5 / 86400.0, low.shape).astype("float32"), {"units": "kg m-2 s-1"}),
        },
        coords={
            "time": np.arange("2020-01-01", "2020-04-30", dtype="datetime64[D]").astype("datetime64[ns]"),
            axes[0]: 60.0 - 0.25 * np.arange(SIDE),
            axes[1]: 5.0 + 0.25 * np.arange(SIDE),
        },
        attrs={"title": "invented grid"},
    )


@pytest.fixture(scope="module")
def netcdf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("grid") / "grid.nc"
    chunks = {name: {"chunksizes": (DAYS, 5, 5)} for name in ("tasmin", "tasmax", "pr")}
    dataset().to_netcdf(path, engine="h5netcdf", encoding=chunks)
    return path


def test_a_place_gets_the_values_of_its_cell_in_our_units(netcdf: Path) -> None:
    """Known: row 40 is 50 N, column 60 is 20 E; values are made of row, column and day."""
    weather = weather_at(netcdf, 50.04, 19.95)
    assert weather.first_day == date(2020, 1, 1)
    assert weather.rain.size == DAYS
    assert weather.low == pytest.approx(4.0 + 0.6 + 0.001 * np.arange(DAYS), abs=1e-3)
    assert weather.high - weather.low == pytest.approx(10.0, abs=1e-3)
    assert weather.rain == pytest.approx(2.5, abs=1e-4)
    assert "invented grid" in weather.source
    assert weather_at(netcdf, 50.04, 19.95, since=date(2020, 3, 1)).first_day == date(2020, 3, 1)


def test_ten_thousand_cells_are_never_loaded_whole(netcdf: Path) -> None:
    """Known: the three series of all cells take 14.4 MB; one cell may take a twentieth of that."""
    weather_at(netcdf, 50.0, 20.0)  # imports first
    tracemalloc.start()
    weather_at(netcdf, 41.0, 8.0)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 3 * SIDE * SIDE * DAYS * 4 / 20


def test_axes_are_found_by_other_names_and_variables_may_be_named(tmp_path: Path) -> None:
    path = tmp_path / "grid.nc"
    renamed = dataset(("lat", "lon")).isel(lat=slice(0, 4), lon=slice(0, 4)).rename(tasmin="coldest")
    renamed.to_netcdf(path, engine="h5netcdf")
    with pytest.raises(InputFault, match="no low"):
        weather_at(path, 60.0, 5.0)
    assert weather_at(path, 60.0, 5.0, columns={"tmin_c": "coldest"}).low[0] == pytest.approx(0.0, abs=1e-3)
    with pytest.raises(InputFault, match="tmin_c"):
        weather_at(path, 60.0, 5.0, columns={"coldest": "tmin_c"})


def test_a_zarr_folder_is_read_as_well(tmp_path: Path) -> None:
    pytest.importorskip("zarr")
    path = tmp_path / "grid.zarr"
    dataset().isel(latitude=slice(0, 6), longitude=slice(0, 6)).to_zarr(path, consolidated=False)
    assert is_grid(path)
    assert weather_at(path, 59.0, 5.5).low[0] == pytest.approx(0.42, abs=1e-3)


@pytest.mark.parametrize(("latitude", "longitude"), [(75.0, 20.0), (50.0, -60.0)])
def test_a_place_outside_the_grid_is_refused(latitude: float, longitude: float, netcdf: Path) -> None:
    with pytest.raises(InputFault, match="half a step"):
        weather_at(netcdf, latitude, longitude)


def test_what_is_no_grid_is_refused_in_a_sentence(tmp_path: Path) -> None:
    broken = tmp_path / "broken.nc"
    broken.write_bytes(b"not a grid")
    for path in (broken, tmp_path / "lost.nc"):
        with pytest.raises(InputFault, match="NetCDF"):
            weather_at(path, 1.0, 1.0)
    plain = tmp_path / "plain.nc"
    xarray.Dataset({"pr": (("time",), [1.0])}).to_netcdf(plain, engine="h5netcdf")
    with pytest.raises(InputFault, match="no coordinate latitude"):
        weather_at(plain, 1.0, 1.0)
