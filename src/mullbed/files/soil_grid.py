"""A grid of soils (NetCDF or Zarr): the cell a place lies in and those around it are read, never the whole.

xarray is loaded only here, when a grid is opened.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from mullbed.domain.soil_place import SoilAtPlace
from mullbed.errors import Fault, InputFault
from mullbed.files.soil_columns import TEXTURE, THINGS, SoilColumn, Values, column_of, heading_of, unit_factor
from mullbed.files.soil_estimate import Around, soil_estimate

if TYPE_CHECKING:
    import xarray

ENDINGS = (".nc", ".nc4", ".netcdf", ".h5", ".zarr")
AXES = (("latitude", "longitude"), ("lat", "lon"), ("y", "x"))
DEPTHS = ("depth", "depth_cm", "z")
UPPER = 25.0
"""Cells of a grid with depths count down to here. [cm]"""


def is_soil_grid(path: Path) -> bool:
    """Tell whether a path names a grid rather than a table."""
    return path.suffix.casefold() in ENDINGS or path.is_dir()


def soil_from_grid(
    path: Path, latitude: float, longitude: float, *, told: Mapping[str, tuple[str, str]]
) -> SoilAtPlace:
    """Return the soil of a place from its cell; the cells around it tell the range where the grid does not.

    Raises
    ------
    InputFault
        When the grid cannot be opened, lacks something, or does not hold the place.
    """
    grid = _opened(path)
    try:
        axes = next((pair for pair in AXES if all(name in grid.coords for name in pair)), None)
        if axes is None:
            allowed = ", ".join(" and ".join(pair) for pair in AXES)
            found = f"coordinates {', '.join(map(str, grid.coords))}"
            raise InputFault([Fault(path.name, found[:120], allowed, "Rename the two axes.")])
        block = _around(grid, axes, latitude, longitude, path.name)
        values, columns, depth = _values(block, axes, told, path.name)
        along = [block[axis].values.astype(float) for axis in axes]
        rows, sides = np.meshgrid(*along, indexing="ij")
        source = " ".join(str(grid.attrs.get("source") or grid.attrs.get("title") or path.name).split())
    finally:
        grid.close()
    return soil_estimate(
        Around(rows.ravel(), sides.ravel(), values),
        latitude,
        longitude,
        place=path.name,
        source=source,
        reach_km=float("inf"),
        depth_cm=depth,
        remarks=[f"{one.heading} is taken for {one.unit}, from its values." for one in columns if not one.told],
    )


def _opened(path: Path) -> xarray.Dataset:
    allowed = "a grid in NetCDF (.nc) or Zarr (a folder)"
    if not path.exists():
        raise InputFault([Fault(str(path), "no such file", allowed, "Check the path and its spelling.")])
    try:
        import xarray

        found: xarray.Dataset
        if path.is_dir():
            found = xarray.open_zarr(path, consolidated=False, chunks=None)
        else:
            found = xarray.open_dataset(path, engine="h5netcdf", chunks=None)
    except ImportError as error:
        remedy = "Install the package with the extra region."
        raise InputFault([Fault(str(path), f"{error.name} is not installed", "xarray", remedy)]) from error
    except (OSError, ValueError, KeyError) as error:
        told = " ".join(str(error).split())[:120]
        raise InputFault([Fault(str(path), told, allowed, "Check the path and the format.")]) from error
    return found


def _around(
    grid: xarray.Dataset, axes: tuple[str, str], latitude: float, longitude: float, place: str
) -> xarray.Dataset:
    """Return the three by three cells around a place, read."""
    chosen = {}
    for axis, wanted in zip(axes, (latitude, longitude), strict=True):
        along = grid[axis].values.astype(float)
        apart = np.abs(along - wanted) if axis == axes[0] else np.abs((along - wanted + 180.0) % 360.0 - 180.0)
        at = int(np.argmin(apart))
        step = float(np.abs(np.diff(along)).max()) if along.size > 1 else 1.0
        if apart[at] > 0.5 * step + 1e-9:
            allowed = f"{along.min():g} to {along.max():g}"
            raise InputFault([Fault(place, f"{axis} {wanted:g}", allowed, "Take a grid that holds the place.")])
        chosen[axis] = slice(max(0, at - 1), at + 2)
    return grid.isel(chosen).load()


def _values(
    block: xarray.Dataset, axes: tuple[str, str], told: Mapping[str, tuple[str, str]], place: str
) -> tuple[dict[str, Values], list[SoilColumn], tuple[float, float] | None]:
    """Return shares by thing, the columns they come from, and the depths they are for."""
    names = [str(name) for name in block.data_vars]
    unknown = [f"'{heading}'" for heading, _ in told.values() if heading not in names]
    if unknown:
        remedy = "Write a variable of the grid."
        raise InputFault([Fault("--column", ", ".join(unknown), ", ".join(names)[:160], remedy)])
    depth: tuple[float, float] | None = None
    axis = next((name for name in DEPTHS if name in block.dims), None)
    if axis is not None:
        down = block[axis].values.astype(float)
        upper = down <= UPPER
        if not upper.any():
            upper = down == down.min()
        block = block.isel({axis: np.flatnonzero(upper)}).mean(axis)
        depth = (0.0, float(down[upper].max()))
    values: dict[str, Values] = {}
    columns: list[SoilColumn] = []
    for thing in THINGS:
        middle: SoilColumn | None = None
        for name in (thing, f"{thing}_low", f"{thing}_high"):
            heading = heading_of(name, names, told)
            if heading is None:
                continue
            series = block[heading].transpose(*axes).values.astype(float).ravel()
            unit = str(block[heading].attrs.get("units", ""))
            if middle is None:
                if name != thing:
                    continue
                alike = [heading_of(one, names, told) for one in TEXTURE] if thing in TEXTURE else [heading]
                seen = np.concatenate([block[one].values.astype(float).ravel() for one in alike if one is not None])
                middle = column_of(thing, heading, unit if unit_factor(unit) else "", seen, place, told)
                columns.append(middle)
            values[name] = series * (unit_factor(unit) or middle.factor)
    silt = values.pop("silt", None)
    if silt is not None:
        for missing, other in (("sand", "clay"), ("clay", "sand")):
            if missing not in values and other in values:
                values[missing] = np.clip(1.0 - silt - values[other], 0.0, 1.0)
    if "sand" not in values or "clay" not in values:
        remedy = "Say which variable it is: --column clay=NAME:%."
        raise InputFault([Fault(place, "two of sand, silt and clay are not there", ", ".join(names)[:160], remedy)])
    return values, columns, depth
