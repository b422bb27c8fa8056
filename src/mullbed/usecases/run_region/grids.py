"""Gardens on grids of weather: each finds its nearest cell, or every cell becomes a garden."""

from __future__ import annotations

from dataclasses import replace

from mullbed.domain.region import RegionGarden, RegionSpec
from mullbed.errors import Fault, InputFault
from mullbed.weather.grid_cells import WeatherGrid

CELL_AREA = 10.0
"""Beds that stand for a cell; judgement. [m2]"""


def opened_grids(spec: RegionSpec) -> dict[str, WeatherGrid]:
    """Return the grids a region names, opened without reading them.

    Raises
    ------
    InputFault
        With every grid that cannot be opened.
    """
    grids: dict[str, WeatherGrid] = {}
    faults: list[Fault] = []
    for key, told in spec.grids.items():
        try:
            grids[key] = WeatherGrid(
                told.file, names=dict(told.names), latitude=told.latitude, longitude=told.longitude
            )
        except InputFault as fault:
            faults.extend(fault.faults)
    if faults:
        for grid in grids.values():
            grid.close()
        raise InputFault(faults)
    return grids


def with_cells(spec: RegionSpec, grids: dict[str, WeatherGrid]) -> RegionSpec:
    """Return the region with every garden of a grid in its cell, and with a garden a cell where none is listed.

    Raises
    ------
    InputFault
        With every garden that lies outside of its grid.
    """
    if not spec.gardens:
        ((key, grid),) = grids.items()
        soil = next(iter(spec.soils))
        gardens = tuple(
            RegionGarden(f"{latitude:.4f} {longitude:.4f}", latitude, longitude, key, soil, key, CELL_AREA, cell)
            for cell, latitude, longitude in grid.cells()
        )
        if not gardens:
            raise InputFault([Fault(str(grid.file), "no cell with weather", "at least one", "Check its first day.")])
        return replace(spec, gardens=gardens)
    faults: list[Fault] = []
    placed: list[RegionGarden] = []
    for garden in spec.gardens:
        found = garden
        if garden.weather in grids:
            try:
                found = replace(garden, cell=grids[garden.weather].nearest(garden.latitude, garden.longitude))
            except InputFault as fault:
                faults.extend(replace(one, place=f"{garden.name}: {one.place}") for one in fault.faults)
        placed.append(found)
    if faults:
        raise InputFault(faults[:60])
    return replace(spec, gardens=tuple(placed))
