"""Daily weather of one place out of a grid in NetCDF or Zarr: of its cell alone, whatever the grid's size."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from mullbed.domain.daily_weather import DailyWeather
from mullbed.errors import Fault, InputFault
from mullbed.weather.gaps import FIELDS
from mullbed.weather.grid_cells import WeatherGrid

AXES = (("latitude", "longitude"), ("lat", "lon"), ("y", "x"))
"""What the two axes of a place are called in files."""
ENDINGS = (".nc", ".nc4", ".netcdf", ".h5", ".zarr")


def is_grid(file: Path) -> bool:
    """Tell whether a path names a grid rather than a table."""
    return file.suffix.casefold() in ENDINGS or file.is_dir()


def weather_at(
    file: Path,
    latitude: float,
    longitude: float,
    *,
    columns: Mapping[str, str] | None = None,
    since: date | None = None,
) -> DailyWeather:
    """Return the daily weather of the cell a place lies in.

    Only the chunks of the file that hold this cell are read.

    Parameters
    ----------
    file : Path
        NetCDF, or a Zarr folder, with axes for latitude, longitude and whole days; units in the attribute "units".
    latitude, longitude : float
        North and east positive. [degrees]
    columns : mapping, optional
        Column of ours, such as "tmin_c", to the name of a variable that is called otherwise than usual.
    since : date, optional
        Days before it are not read.

    Raises
    ------
    InputFault
        When the grid cannot be opened, lacks something, or does not hold the place.
    """
    fields = {column: name for name, column in FIELDS.items()}
    unknown = [column for column in columns or {} if column not in fields]
    if unknown:
        allowed = ", ".join(fields)
        raise InputFault([Fault("--column", f"'{one[:30]}'", allowed, "Choose one of these.") for one in unknown])
    names = {fields[column]: variable for column, variable in (columns or {}).items()}
    grid = _opened(file, names)
    try:
        (found,) = grid.read([grid.nearest(latitude, longitude)], since)
    finally:
        grid.close()
    return found


def _opened(file: Path, names: Mapping[str, str]) -> WeatherGrid:
    """Return the grid, its axes found by their usual names."""
    if not file.exists():
        raise InputFault([Fault(str(file), "no such file", "a grid in NetCDF or Zarr", "Check path and spelling.")])
    refused: InputFault | None = None
    for latitude, longitude in AXES:
        try:
            return WeatherGrid(file, names=names, latitude=latitude, longitude=longitude)
        except InputFault as fault:
            refused = refused or fault
            if not any("no coordinate" in one.value for one in fault.faults):
                raise
    raise refused or InputFault([])
