"""Weather on a grid: cells are read a few at a time, the sea is left out, and a garden takes its nearest cell."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from mullbed.errors import InputFault
from mullbed.usecases.run_region import run_region
from mullbed.weather.grid_cells import WeatherGrid

xarray = pytest.importorskip("xarray")

DAYS = 3 * 366
SPEC = """
name = "Cells"
gardens = "every cell"
members = 4
[season]
first_day = 2027-05-01
weeks = 4
years = 2
[weather.model]
grid = "grid.zarr"
latitude = "lat"
longitude = "lon"
low = "coldest"
[soils.loam]
texture = "loam"
[[ways]]
name = "one"
[[ways.layers]]
lifts = ["straw: 20 mm"]
days = [2027-05-03]
"""


def grid_of(rows: int, columns: int) -> xarray.Dataset:
    """Return invented weather; each cell a little warmer than the one before, the first of the last row is sea."""
    chances = np.random.default_rng(5)
    times = np.datetime64("2014-01-01", "ns") + np.arange(DAYS) * np.timedelta64(1, "D")
    yearly = 10.0 - 9.0 * np.cos(2.0 * np.pi * np.arange(DAYS) / 365.25)
    warmth = yearly[:, None, None] + 0.1 * np.arange(rows * columns).reshape(rows, columns)
    rain = chances.exponential(2.0, (DAYS, rows, columns))
    warmth[:, -1, 0] = np.nan
    dims = ("time", "lat", "lon")
    kelvin = 273.15
    return xarray.Dataset(
        {
            "coldest": (dims, warmth - 4.0 + kelvin, {"units": "K"}),
            "high_of_day": (dims, warmth + 4.0 + kelvin, {"units": "K", "standard_name": "maximum_air_temperature"}),
            "pr": (dims, rain / 86400.0, {"units": "kg m-2 s-1"}),
            "cloud": (dims, rain * 0.0, {"units": "1"}),
        },
        {"time": times, "lat": 51.0 - 0.25 * np.arange(rows), "lon": 7.0 + 0.25 * np.arange(columns)},
        {"source": "our own invention"},
    )


def opened(file: Path) -> WeatherGrid:
    return WeatherGrid(file, names={"low": "coldest"}, latitude="lat", longitude="lon")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with a grid of twelve cells as Zarr and NetCDF, and a region on every cell."""
    made = tmp_path_factory.mktemp("grid")
    grid = grid_of(3, 4)
    grid.to_zarr(made / "grid.zarr", consolidated=False, zarr_format=2)
    grid.to_netcdf(made / "grid.nc", engine="h5netcdf")
    (made / "region.toml").write_text(SPEC, encoding="utf-8")
    return made


@pytest.mark.parametrize("name", ["grid.zarr", "grid.nc"])
def test_cells_are_read_in_our_units_near_or_far_apart(folder: Path, name: str) -> None:
    grid = opened(folder / name)
    near = grid.read([(0, 1), (0, 2)], date(2015, 1, 1))
    far = grid.read([(0, 0), (2, 3)])
    grid.close()
    assert near[0].first_day == date(2015, 1, 1)
    assert far[0].first_day == date(2014, 1, 1)
    np.testing.assert_allclose(far[1].low - far[0].low, 1.1)  # known: eleven cells on, a tenth of a degree each
    np.testing.assert_allclose(near[1].high - near[0].high, 0.1)
    assert far[0].low[0] == pytest.approx(10.0 - 9.0 - 4.0)
    assert 1.5 < far[0].rain.mean() < 2.5  # known: drawn with a mean of 2 mm a day
    assert near[0].source.startswith("our own invention, cell at 51, 7.25")


def test_the_sea_is_no_cell_and_a_place_finds_its_nearest(folder: Path) -> None:
    grid = opened(folder / "grid.zarr")
    assert len(grid.cells()) == 11
    assert (2, 0) not in [cell for cell, _, _ in grid.cells()]
    assert grid.nearest(50.8, 7.3) == (1, 1)
    with pytest.raises(InputFault, match="half a step"):
        grid.nearest(52.0, 7.3)
    grid.close()


def test_only_the_pieces_of_the_wanted_cells_are_read(tmp_path: Path) -> None:
    pieces = {name: {"chunks": (DAYS, 2, 2)} for name in ("coldest", "high_of_day", "pr", "cloud")}
    file = tmp_path / "wide.zarr"
    grid_of(8, 8).to_zarr(file, consolidated=False, zarr_format=2, encoding=pieces)
    for name in pieces:  # whatever else is read is not what it should be
        for piece in (file / name).glob("0.*"):
            if piece.name != "0.1.2" or name == "cloud":
                piece.write_bytes(b"spoilt")
    grid = opened(file)
    (found,) = grid.read([(2, 5)])
    assert np.isfinite(found.low).all()
    with pytest.raises(Exception, match=r"(?i)decompress|codec|blosc|zstd|invalid|magic"):
        grid.read([(0, 0)])
    grid.close()


def test_what_is_no_grid_is_told(folder: Path, tmp_path: Path) -> None:
    with pytest.raises(InputFault, match="a grid in NetCDF"):
        opened(tmp_path / "nowhere.nc")
    with pytest.raises(InputFault, match="no coordinate latitude"):
        WeatherGrid(folder / "grid.nc")


def test_every_cell_becomes_a_garden_like_one_listed_at_its_place(folder: Path, tmp_path: Path) -> None:
    every = run_region(folder / "region.toml", tmp_path / "every", threads=1)
    assert every.complete
    assert len(every.spec.gardens) == 11
    cell = next(garden for garden in every.spec.gardens if garden.cell == (1, 2))
    listed = tmp_path / "region.toml"
    listed.write_text(
        SPEC.replace("every cell", "gardens.csv").replace("grid.zarr", str(folder / "grid.zarr")), "utf-8"
    )
    (tmp_path / "gardens.csv").write_text(f"name,latitude,longitude\n{cell.name},50.76,7.44\n", encoding="utf-8")
    one = run_region(listed, tmp_path / "one", threads=1)
    np.testing.assert_array_equal(one.figures[0], every.figures[every.spec.gardens.index(cell)])
