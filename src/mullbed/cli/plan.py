"""``mullbed plan``: the season, planned, rehearsed and written to six files."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import GARDEN, GardenArgument, JsonOption, PlainOption, Screen, SeedOption, today


def plan(
    garden: GardenArgument = GARDEN,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="FOLDER",
            help="Folder for plan.json, layers.csv, gather.csv, calendar.ics, cards.pdf and report.html; "
            "all six are written, or none.",
        ),
    ] = None,
    seed: SeedOption = 1,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Plan the season: what to lay on which bed, and when.

    Possible layers of what you have and expect are run through the daily model, the best set is chosen within your
    ceilings, labour and water, and the whole plan is rehearsed once more. Every layer says why.
    """
    from mullbed.reports.json_documents import plan_document
    from mullbed.reports.terminal_plan import plan_text
    from mullbed.usecases.make_season_plan import make_season_plan

    screen = Screen(as_json, plain)
    now = today()
    made = make_season_plan(garden, seed=seed, progress=screen.progress)
    if out is not None:
        from mullbed.reports.plan_folder import write_folder
        from mullbed.reports.plan_outputs import plan_outputs

        screen.progress("Drawing cards and report ...")
        write_folder(out, plan_outputs(made.plan, made.garden, made_on=now))
    screen.show(
        lambda style: plan_text(
            made.plan,
            made.garden,
            units=made.garden.site.units,
            made_on=now,
            style=style,
            written_to=str(out) if out is not None else None,
        ),
        lambda: plan_document(made.plan, made.garden),
    )
