"""``mullbed outlook``: where the soil is going over the years."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import GARDEN, GardenArgument, JsonOption, PlainOption, Screen, SeedOption, today
from mullbed.cli.signing import RecordOption, WhichOption, where


def outlook(
    path: GardenArgument = GARDEN,
    plan: Annotated[
        Path | None,
        typer.Option("--plan", metavar="FILE", help="plan.json of mullbed plan: its layers are laid again every year."),
    ] = None,
    kept: Annotated[
        bool, typer.Option("--kept", help="Take garden, kept plan, layers really laid and soil tests from the record.")
    ] = False,
    bed: Annotated[str | None, typer.Option("--bed", metavar="NAME", help="Only this bed; without it, all.")] = None,
    years: Annotated[
        int, typer.Option("--years", metavar="NUMBER", min=1, max=20, help="How many years ahead, 1 to 20.")
    ] = 10,
    members: Annotated[
        int, typer.Option("--members", metavar="NUMBER", min=16, max=2048, help="How many possible courses are run.")
    ] = 128,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", metavar="FOLDER", help="Folder for outlook.html, outlook.pdf, outlook.csv, outlook.json."
        ),
    ] = None,
    record: RecordOption = None,
    garden: WhichOption = None,
    seed: SeedOption = 1,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Look your soil ahead over one to twenty years.

    Organic matter, the nitrogen the ground gives, water for plants and bulk density, if this year's layers are laid
    again every year; beside it what happens if nothing is laid, and what your soil tests say. Phosphorus and
    potassium are added up.
    """
    from mullbed.reports.outlook_sheet import outlook_document, outlook_text
    from mullbed.usecases.look_at_soil_ahead import look_at_soil_ahead

    screen = Screen(as_json, plain)
    seen = look_at_soil_ahead(
        path,
        plan_file=plan,
        where=where(record, garden) if kept else None,
        bed=bed,
        years=years,
        members=members,
        seed=seed,
        progress=screen.progress,
    )
    units = seen.garden.site.units
    if out is not None:
        from mullbed.reports.outlook_folder import write_outlook

        write_outlook(
            out, seen.outlooks, units, garden=seen.garden.site.name, from_plan=seen.from_plan, made_on=today()
        )
        screen.progress(f"Written to {out}.")
    screen.show(
        lambda style: outlook_text(seen.outlooks, units, from_plan=seen.from_plan, style=style),
        lambda: outlook_document(seen.outlooks, from_plan=seen.from_plan),
    )
