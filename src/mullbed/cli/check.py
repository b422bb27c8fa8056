"""``mullbed check``: what a mix or a rule of thumb implies."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen, SeedOption, UnitsOption
from mullbed.domain.garden import UnitSystem


def check(
    lift: Annotated[
        list[str],
        typer.Option(
            "--lift",
            metavar="RESIDUE:AMOUNT",
            help="One residue and how much of it, from the soil up; say it again for each. The amount is a depth "
            "(25mm, 1 in), a volume (40 L, 10 gal), a mass (3 kg, 5 lb) or containers (2 buckets).",
        ),
    ],
    area: Annotated[str, typer.Option(metavar="AREA", help="Area it is laid on: 1m2, 32 sq ft, 1.2 m x 2.4 m.")],
    water: Annotated[
        str, typer.Option(metavar="WATER", help="Water poured over each layer: a depth (2mm) or a volume (9 L).")
    ] = "0 mm",
    repeat: Annotated[str | None, typer.Option(metavar="TIME", help="Time between layers: 3.5 weeks, 20 days.")] = None,
    season: Annotated[
        str | None, typer.Option(metavar="TIME", help="How long layers are laid: 26 weeks. Needs --repeat.")
    ] = None,
    garden: Annotated[
        Path | None,
        typer.Option(metavar="GARDEN", help="A garden file, for its weather and soil; without it a stated mild year."),
    ] = None,
    units: UnitsOption = UnitSystem.METRIC,
    seed: SeedOption = 1,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Check a mix or a rule of thumb before you lay it.

    \b
    mullbed check --lift "dry leaves:25mm" --lift "grass clippings:50mm" --lift "dry leaves:12mm" \\
        --area 1m2 --water 2mm --repeat "3.5 weeks" --season "26 weeks"

    Tells whether it feeds or robs, when, and what is lost. The answer comes from the daily model, never from a
    C:N rule alone.
    """
    from mullbed.reports.json_documents import check_document
    from mullbed.reports.terminal_check import check_text
    from mullbed.usecases.check_mix import check_mix

    screen = Screen(as_json, plain)
    screen.progress("Running the mix through the daily model ...")
    found = check_mix(lift, area, water=water, repeat=repeat, season=season, garden=garden, seed=seed)
    screen.show(lambda style: check_text(found, units=units, style=style), lambda: check_document(found))
