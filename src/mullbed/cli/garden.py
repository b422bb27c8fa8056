"""``mullbed garden``: begin the record of a garden, write its file back, hand the record over, carry it on."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import GARDEN, JsonOption, PlainOption, Screen
from mullbed.cli.signing import AuthorOption, RecordOption, WhichOption, signature, where

garden = typer.Typer(
    name="garden",
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Keep a garden: begin its record, hand it over, carry it into the next year.",
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
