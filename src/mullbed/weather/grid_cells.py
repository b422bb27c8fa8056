"""Daily weather on a grid of places, in NetCDF or Zarr: a few cells are read at a time, never the whole.

xarray is loaded only here, when a grid is opened.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from mullbed.domain.daily_weather import DailyWeather
from mullbed.errors import Fault, InputFault
from mullbed.weather.weather_dataset import WANTED, weather_of_dataset

if TYPE_CHECKING:
    import xarray

Cell = tuple[int, int]

SPARE_CELLS = 4
"""Cells that lie close are read as one block, as long as it holds at most so many times as many."""


class WeatherGrid:
    """An open grid; latitude and longitude are axes of their own."""

    def __init__(
        self,
        file: Path,
        *,
        names: Mapping[str, str] | None = None,
        latitude: str = "latitude",
        longitude: str = "longitude",
    ) -> None:
        """Open a grid without reading its weather.

        Raises
        ------
        InputFault
            When it cannot be opened, or lacks an axis or a series that is needed.
        """
        self.file = file
        self._names = dict(names or {})
        self._axes = (latitude, longitude)
        self._grid = _opened(file)
        faults = []
        for axis in (*self._axes, "time"):
            if axis not in self._grid.coords or self._grid[axis].ndim != 1:
                remedy = 'Name it in the region file: latitude = "lat".' if axis != "time" else "Rename the one it has."
                told = f"no coordinate {axis}"
                faults.append(Fault(str(file), told, "an axis of one dimension each for time and place", remedy))
        if faults:
            raise InputFault(faults)
        named = set(self._names.values())
        usual = {name for wanted in WANTED.values() for name in wanted.names}
        standard = {str(name) for name, one in self._grid.data_vars.items() if one.attrs.get("standard_name") in usual}
        kept = [name for name in map(str, self._grid.data_vars) if name in named | usual | standard]
        self._grid = self._grid[kept]
        self.source = " ".join(
            str(self._grid.attrs.get("source") or self._grid.attrs.get("title") or file.name).split()
        )

        self._places = [self._grid[axis].values.astype(float) for axis in self._axes]

    def cells(self) -> list[tuple[Cell, float, float]]:
        """Return every cell that has weather on the first day, with latitude and longitude."""
        latitudes, longitudes = self._places
        first = self._grid.isel(time=0)
        there = np.ones((latitudes.size, longitudes.size), dtype=bool)
        for one in first.data_vars.values():
            if set(self._axes) <= set(map(str, one.dims)):
                there &= np.isfinite(one.transpose(*self._axes).values)
        east = (longitudes + 180.0) % 360.0 - 180.0
        return [
            ((int(row), int(column)), float(latitudes[row]), float(east[column])) for row, column in np.argwhere(there)
        ]

    def nearest(self, latitude: float, longitude: float) -> Cell:
        """Return the cell nearest to a place.

        Raises
        ------
        InputFault
            When the place is farther outside the grid than half a step.
        """
        latitudes, longitudes = self._places
        apart = np.abs((longitudes - longitude + 180.0) % 360.0 - 180.0)
        row, column = int(np.argmin(np.abs(latitudes - latitude))), int(np.argmin(apart))
        for values, gap, axis in ((latitudes, abs(latitudes[row] - latitude), 0), (longitudes, apart[column], 1)):
            step = float(np.abs(np.diff(values)).max()) if values.size > 1 else 1.0
            if gap > 0.5 * step + 1e-9:
                told = f"{self._axes[axis]} {latitude if axis == 0 else longitude:g}"
                allowed = f"{values.min():g} to {values.max():g}, and half a step of {step:g}"
                raise InputFault([Fault(str(self.file), told, allowed, "Take a grid that holds the place.")])
        return row, column

    def read(self, cells: Sequence[Cell], since: date | None = None) -> list[DailyWeather]:
        """Return the weather of some cells, in their order; days before ``since`` are not read.

        Raises
        ------
        InputFault
            With everything that is missing or in units that are not known.
        """
        grid = self._grid
        if since is not None:
            grid = grid.sel(time=slice(np.datetime64(since), None))
        rows, columns = ([cell[axis] for cell in cells] for axis in (0, 1))
        top, left = min(rows), min(columns)
        box = (slice(top, max(rows) + 1), slice(left, max(columns) + 1))
        inside = (box[0].stop - top) * (box[1].stop - left)
        if inside <= SPARE_CELLS * len(set(cells)):
            block = grid.isel(dict(zip(self._axes, box, strict=True))).load()
            return [self._weather(block, row - top, column - left) for row, column in cells]
        return [self._weather(grid, *cell) for cell in cells]

    def latitude(self, cell: Cell) -> float:
        """Return the latitude of a cell. [degrees]"""
        return float(self._places[0][cell[0]])

    def last_day(self) -> date:
        """Return the last day of the grid."""
        return date.fromisoformat(str(self._grid["time"].values[-1].astype("datetime64[D]")))

    def close(self) -> None:
        """Close the file."""
        self._grid.close()

    def _weather(self, grid: xarray.Dataset, row: int, column: int) -> DailyWeather:
        one = grid.isel({self._axes[0]: row, self._axes[1]: column}).load()
        place = f"{self.source}, cell at {float(one[self._axes[0]]):g}, {float(one[self._axes[1]]):g}"
        return weather_of_dataset(one, names=self._names, source=place)


def _opened(file: Path) -> xarray.Dataset:
    allowed = "a grid in NetCDF (.nc) or Zarr (a folder)"
    try:
        import xarray

        found: xarray.Dataset
        if file.is_dir():
            found = xarray.open_zarr(file, consolidated=False, chunks=None)
        else:
            found = xarray.open_dataset(file, engine="h5netcdf", chunks=None)
    except ImportError as error:
        remedy = "Install the package with the extra [region]."
        raise InputFault(
            [Fault(str(file), f"{error.name} is not installed", "xarray and its readers", remedy)]
        ) from error
    except (OSError, ValueError, KeyError) as error:
        told = " ".join(str(error).split())[:120]
        raise InputFault([Fault(str(file), told, allowed, "Check the path and the format.")]) from error
    return found


def years_before(day: date, years: int, season_days: int) -> date:
    """Return a day early enough for so many seasons to end before another day."""
    return day - timedelta(days=366 * (years + 1) + season_days)
