"""``mullbed forecast``: what lies on the beds, run forward."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import GARDEN, GardenArgument, JsonOption, PlainOption, Screen, SeedOption, today
from mullbed.cli.signing import AuthorOption, RecordOption, WhichOption, signature, where


def forecast(
    path: GardenArgument = GARDEN,
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
    learn: Annotated[
        bool, typer.Option("--learn", help="Learn from the record: what was really laid, done, read and seen.")
    ] = False,
    keep: Annotated[
        bool, typer.Option("--keep", help="Keep the forecast in the record, for mullbed honest to hold it against.")
    ] = False,
    record: RecordOption = None,
    garden: WhichOption = None,
    by: AuthorOption = None,
    seed: SeedOption = 1,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Run what lies on your beds forward through possible seasons.

    Shows what 8 of 10 seasons lie between: how thick the cover stays, how warm and moist, what it gives to the soil
    and what is lost.
    """
    from mullbed.reports.json_documents import forecast_document
    from mullbed.reports.learnt_text import learning_sentences
    from mullbed.reports.terminal_forecast import forecast_text
    from mullbed.usecases.forecast_garden import forecast_garden

    screen = Screen(as_json, plain)
    seen = forecast_garden(
        path,
        bed=bed,
        members=members,
        seed=seed,
        where=where(record, garden) if learn or keep else None,
        learn=learn,
        today=today(),
        signed=signature(by) if keep else None,
        progress=screen.progress,
    )
    taught = learning_sentences(seen.learnt, seen.check)
    if out is not None:
        from mullbed.reports.document_text import rendered
        from mullbed.reports.forecast_csv import forecast_csv
        from mullbed.reports.forecast_report import forecast_html
        from mullbed.reports.plan_folder import write_folder

        now, units = today(), seen.garden.site.units
        files = {
            "forecast.json": rendered(forecast_document(seen.forecasts, seen.balance, taught)),
            "forecast.csv": forecast_csv(seen.forecasts),
            "forecast.html": forecast_html(
                seen.forecasts, seen.balance, garden=seen.garden.site.name, units=units, planned_from=now, made_on=now
            ),
        }
        write_folder(out, files)
    screen.show(
        lambda style: forecast_text(
            seen.forecasts, seen.balance, units=seen.garden.site.units, taught=taught, style=style
        ),
        lambda: forecast_document(seen.forecasts, seen.balance, taught),
    )
