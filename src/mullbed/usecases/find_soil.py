"""Find the soil of a place in a table or a grid, with ranges and what was assumed.

Reads the file. Raises InputFault when it is at fault or tells nothing near the place.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from mullbed.domain.soil_place import SoilAtPlace
from mullbed.errors import Fault, InputFault
from mullbed.files.soil_columns import told_columns
from mullbed.files.soil_grid import is_soil_grid, soil_from_grid
from mullbed.files.soil_table import soil_from_table

REACH_KM = 10.0
"""Soil of a place farther off says little about this one. Judgement. [km]"""


def find_soil(
    path: Path, latitude: float, longitude: float, *, columns: Sequence[str] = (), reach_km: float = REACH_KM
) -> SoilAtPlace:
    """Return the soil of a place.

    Parameters
    ----------
    path : Path
        A table (CSV), or a grid in NetCDF or Zarr.
    latitude, longitude : float
        North and east positive. [degrees]
    columns : sequence of str
        What columns are, such as "organic_carbon=SOC:g/kg".
    reach_km : float
        Rows of a table farther off are not looked at. [km]

    Raises
    ------
    InputFault
        When the file or what was told is at fault, or nothing is near.
    """
    faults = []
    if not -90.0 <= latitude <= 90.0:
        faults.append(Fault("--latitude", f"{latitude:g}", "-90 to 90 degrees", "North is positive."))
    if not -180.0 <= longitude <= 180.0:
        faults.append(Fault("--longitude", f"{longitude:g}", "-180 to 180 degrees", "East is positive."))
    if not 0.0 < reach_km <= 1000.0:
        faults.append(Fault("--reach", f"{reach_km:g}", "above 0 to 1000 km", "Choose within these."))
    if faults:
        raise InputFault(faults)
    told = told_columns(columns)
    if is_soil_grid(path):
        return soil_from_grid(path, latitude, longitude, told=told)
    return soil_from_table(path, latitude, longitude, told=told, reach_km=reach_km)
