"""``mullbed garden``: begin the record of a garden, write its file back, hand the record over, carry it on."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import GARDEN, JsonOption, PlainOption, Screen
from mullbed.cli.signing import AuthorOption, RecordOption, WhichOption, day_typed, signature, where

garden = typer.Typer(
    name="garden",
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Begin a garden's record, hand it over, carry it on.",
)

FileArgument = Annotated[Path, typer.Argument(metavar="FILE", help="The garden file.")]


@garden.command("new")
def new_garden(
    file: FileArgument = GARDEN,
    by: AuthorOption = None,
    record: RecordOption = None,
    which: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Begin the record of a garden from its file, or keep a new version of the file.

    What is in the file is kept whole, its weather too; a version before is never lost.
    """
    from mullbed.reports.garden_words import created_document, created_text
    from mullbed.usecases.create_garden import create_garden

    screen = Screen(as_json, plain)
    made = create_garden(file, where(record, which), signature(by))
    told = (made.id, made.garden, made.place, made.entries)
    screen.show(
        lambda style: created_text(*told, first=made.first, given_up=made.given_up, style=style),
        lambda: created_document(*told, first=made.first, given_up=made.given_up),
    )


@garden.command()
def write(
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FOLDER", help="Folder for the file and the weather it names.")
    ] = None,
    record: RecordOption = None,
    which: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Write the garden file back, losing nothing; without --out it is printed."""
    from mullbed.reports.garden_words import written_document, written_text
    from mullbed.usecases.write_garden import write_garden

    written = write_garden(where(record, which))
    paths: tuple[Path, ...] = ()
    if out is not None:
        from mullbed.reports.plan_folder import write_folder

        paths = write_folder(out, written.files)
    Screen(as_json, plain).show(
        lambda style: written_text(written.text, paths, as_given=written.as_given, style=style),
        lambda: written_document(written.text, paths, as_given=written.as_given),
    )


@garden.command("hand-over")
def hand_over_record(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Folder for the open files.")],
    record: RecordOption = None,
    which: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Hand the whole record over in open files.

    One JSON document that holds everything, a table for each kind (CSV), the beds as a map (GeoJSON), a calendar.
    """
    from mullbed.reports.garden_words import handed_over_document, handed_over_text
    from mullbed.reports.plan_folder import write_folder
    from mullbed.usecases.hand_over import hand_over

    done = hand_over(where(record, which))
    paths = write_folder(folder, done.files)
    told = (done.garden, done.entries, done.kinds, paths)
    Screen(as_json, plain).show(lambda style: handed_over_text(*told, style), lambda: handed_over_document(*told))


@garden.command("take-in")
def take_in_record(
    files: Annotated[
        list[Path], typer.Argument(metavar="FILE...", help="Open files of a record, or the folder they lie in.")
    ],
    by: AuthorOption = None,
    record: RecordOption = None,
    which: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Take open files in: what is new is kept, what was kept before stays.

    A row of a table without an id is a new line and gets one.
    """
    from mullbed.reports.garden_words import taken_in_document, taken_in_text
    from mullbed.usecases.take_in import take_in

    done = take_in(files, where(record, which), signature(by))
    Screen(as_json, plain).show(
        lambda style: taken_in_text(len(done.new), len(done.known), done.files, style),
        lambda: taken_in_document(done.new, done.known, done.files),
    )


@garden.command("next-year")
def carry_over(
    as_of: Annotated[
        str | None,
        typer.Option("--as-of", metavar="DATE", help="Day to carry over; without it, today or the season's last day."),
    ] = None,
    same_crops: Annotated[bool, typer.Option("--same-crops", help="Grow the same crops again, a year later.")] = False,
    by: AuthorOption = None,
    record: RecordOption = None,
    which: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Carry the garden into its next season.

    Layers, soil, stocks, containers, trial plots and the account of phosphorus and potassium go with it.
    """
    from mullbed.reports.garden_words import carried_document, carried_text
    from mullbed.usecases.next_year import next_year

    done = next_year(where(record, which), signature(by), as_of=day_typed(as_of), same_crops=same_crops)
    told = (done.garden, done.as_of, done.accounts, done.mineral_nitrogen, done.trials, done.entry.id)
    Screen(as_json, plain).show(lambda style: carried_text(*told, style), lambda: carried_document(*told))
