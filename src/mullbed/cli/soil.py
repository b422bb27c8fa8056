"""``mullbed soil``: the soil of a place out of a table or a map."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen


def soil(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="A table of soils by place (CSV), or a grid in NetCDF or Zarr.")
    ],
    latitude: Annotated[float, typer.Option("--latitude", metavar="DEGREES", help="North positive.")],
    longitude: Annotated[float, typer.Option("--longitude", metavar="DEGREES", help="East positive.")],
    column: Annotated[
        list[str] | None,
        typer.Option("--column", metavar="OURS=HEADING:UNIT", help="Say what a column is: organic_carbon=SOC:g/kg."),
    ] = None,
    reach: Annotated[
        float, typer.Option("--reach", metavar="KM", help="Rows of a table farther off are not looked at.")
    ] = 10.0,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Find a place's soil in a table or a map.

    Sand, clay and organic matter with their ranges, from the nearest row or cell and those around it, and the lines a
    garden file takes. What you measure in the garden beats it.

    \b
    mullbed soil soils.csv --latitude 48.2 --longitude 16.4
    """
    from mullbed.reports.soil_place import soil_document, soil_text
    from mullbed.usecases.find_soil import find_soil

    found = find_soil(file, latitude, longitude, columns=column or (), reach_km=reach)
    Screen(as_json, plain).show(lambda style: soil_text(found, style), lambda: soil_document(found))
