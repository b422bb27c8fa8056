"""``mullbed round``: today's walk, bed by bed."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen, SeedOption, today
from mullbed.cli.signing import AuthorOption, DayOption, RecordOption, WhichOption, day_typed, signature, where


def walk(
    day: DayOption = None,
    everything: Annotated[
        bool, typer.Option("--all", help="Tell every bed in full, not only the first three.")
    ] = False,
    fresh: Annotated[
        bool, typer.Option("--fresh", help="Run the forecast anew first, from what was really done; takes a minute.")
    ] = False,
    seed: SeedOption = 1,
    by: AuthorOption = None,
    record: RecordOption = None,
    garden: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Walk round your beds: what to do, to look at, and to leave.

    Tells from the record and from the plan and forecast kept in it; the most urgent bed comes first.
    """
    from mullbed.reports.round_list import round_document, round_text
    from mullbed.usecases.walk_round import walk_round

    screen = Screen(as_json, plain)
    place = where(record, garden)
    if fresh:
        from mullbed.usecases.forecast_garden import forecast_garden
        from mullbed.usecases.write_garden import write_garden

        with TemporaryDirectory() as folder:
            written = write_garden(place)
            for name, text in written.files.items():
                (Path(folder) / name).write_text(text, encoding="utf-8")
            forecast_garden(
                Path(folder) / "garden.toml",
                where=place,
                today=day_typed(day) or today(),
                signed=signature(by, day_typed(day) or today()),
                seed=seed,
                progress=screen.progress,
            )
    walked = walk_round(place, day_typed(day) or today())
    screen.show(
        lambda style: round_text(walked.walk, units=walked.units, style=style, everything=everything),
        lambda: round_document(walked.walk, walked.units),
    )
