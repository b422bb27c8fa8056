"""``mullbed plan``: the season, planned, rehearsed and written to six files."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.interrupt import best_so_far
from mullbed.cli.screen import GARDEN, GardenArgument, JsonOption, PlainOption, Screen, SeedOption, today
from mullbed.cli.signing import AuthorOption, DayOption, RecordOption, WhichOption, day_typed, signature, where
from mullbed.cli.wishes import wishes_typed


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
    as_done: Annotated[
        bool,
        typer.Option(
            "--as-done",
            help="Plan on from today with what was really laid, used, sown and picked, as the record tells; "
            "the garden is that of the record, and the plan is kept in it.",
        ),
    ] = False,
    not_on: Annotated[
        list[str] | None,
        typer.Option(
            "--not-on", metavar="BED:DAYS", help='Leave a bed alone: "Gate Bed: 2027-06-07..2027-06-13", or one day.'
        ),
    ] = None,
    keep: Annotated[
        list[str] | None,
        typer.Option("--keep", metavar="BED:DAY", help='Keep a layer of the plan so far: "Gate Bed: 2027-06-12".'),
    ] = None,
    first: Annotated[
        list[str] | None,
        typer.Option("--first", metavar="SUPPLY", help="Use this before others; say it again for more."),
    ] = None,
    day: DayOption = None,
    record: RecordOption = None,
    which: WhichOption = None,
    by: AuthorOption = None,
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
    wishes = wishes_typed(not_on or [], keep or [], first or [], as_done)
    with best_so_far(screen.progress) as stop:
        made = make_season_plan(
            garden,
            seed=seed,
            where=where(record, which) if as_done else None,
            today=day_typed(day) or now,
            signed=signature(by, day_typed(day) or now) if as_done else None,
            wishes=wishes,
            progress=screen.progress,
            stop=stop,
        )
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
            changes=made.changes,
        ),
        lambda: plan_document(made.plan, made.garden, made.changes),
    )
