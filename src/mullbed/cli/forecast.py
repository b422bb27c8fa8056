"""``mullbed forecast``: what lies on the beds, run forward."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import GARDEN, GardenArgument, JsonOption, PlainOption, Screen, SeedOption, today


def forecast(
    garden: GardenArgument = GARDEN,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", metavar="FOLDER", help="Folder for forecast.json, forecast.csv and forecast.html with charts."
        ),
    ] = None,
    bed: Annotated[
        str | None, typer.Option("--bed", metavar="NAME", help="Run only this bed; without it, all of them.")
    ] = None,
    members: Annotated[
        int,
        typer.Option(
            "--members", metavar="NUMBER", min=16, max=4096, help="How many possible seasons are run for each bed."
        ),
    ] = 200,
    seed: SeedOption = 1,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Run what lies on your beds forward through possible seasons.

    Shows what 8 of 10 seasons lie between: how thick the cover stays, how warm and moist, what it gives to the soil
    and what is lost.
    """
    from mullbed.reports.json_documents import forecast_document
    from mullbed.reports.terminal_forecast import forecast_text
    from mullbed.usecases.forecast_garden import forecast_garden

    screen = Screen(as_json, plain)
    seen = forecast_garden(garden, bed=bed, members=members, seed=seed, progress=screen.progress)
    if out is not None:
        from mullbed.reports.document_text import rendered
        from mullbed.reports.forecast_csv import forecast_csv
        from mullbed.reports.forecast_report import forecast_html
        from mullbed.reports.plan_folder import write_folder

        now, units = today(), seen.garden.site.units
        files = {
            "forecast.json": rendered(forecast_document(seen.forecasts, seen.balance)),
            "forecast.csv": forecast_csv(seen.forecasts),
            "forecast.html": forecast_html(
                seen.forecasts, seen.balance, garden=seen.garden.site.name, units=units, planned_from=now, made_on=now
            ),
        }
        write_folder(out, files)
    screen.show(
        lambda style: forecast_text(seen.forecasts, seen.balance, units=seen.garden.site.units, style=style),
        lambda: forecast_document(seen.forecasts, seen.balance),
    )
