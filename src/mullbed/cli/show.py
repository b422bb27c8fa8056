"""``mullbed show``: sheets to show and to teach with."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen, today
from mullbed.cli.signing import RecordOption, WhichOption, where

show = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Show and teach: claims and lessons as sheets.")

OutOption = Annotated[
    Path | None, typer.Option("--out", metavar="FOLDER", help="Folder for the sheets as HTML and PDF.")
]


@show.command("claims")
def claims(out: OutOption = None, as_json: JsonOption = False, plain: PlainOption = False) -> None:
    """Show what people say of layers, and how it stands."""
    from mullbed.reports.teaching_sheets import claims_document, claims_sheet, sheets_text, write_sheets
    from mullbed.usecases.list_claims import list_claims

    found = list_claims()
    sheets = [claims_sheet(found, today())]
    if out is not None:
        write_sheets(out, "claims", sheets, today())
    Screen(as_json, plain).show(lambda style: sheets_text(sheets, style), lambda: claims_document(found))


@show.command("lesson")
def lesson(
    name: Annotated[
        str | None, typer.Argument(metavar="LESSON", help="Which lesson; leave it out to see them all.")
    ] = None,
    out: OutOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Show lessons of half an hour each."""
    from mullbed.reports.teaching_sheets import lesson_sheet, lessons_document, sheets_text, write_sheets
    from mullbed.usecases.show_lesson import show_lesson

    found = show_lesson(name)
    sheets = [lesson_sheet(one, today()) for one in found]
    if out is not None:
        write_sheets(out, "lessons", sheets, today())
    Screen(as_json, plain).show(lambda style: sheets_text(sheets, style), lambda: lessons_document(found))


@show.command("before-after")
def before_after(
    bed: Annotated[str, typer.Argument(metavar="BED", help="Which bed.")],
    out: OutOption = None,
    record: RecordOption = None,
    garden: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Show a bed at first and now, with its photographs."""
    from mullbed.reports.before_after import before_after_document, before_after_sheet
    from mullbed.reports.teaching_sheets import sheets_text, write_sheets
    from mullbed.usecases.show_before_after import show_before_after

    found = show_before_after(where(record, garden), bed)
    sheets = [before_after_sheet(found, today())]
    if out is not None:
        write_sheets(out, "before-after", sheets, today())
    Screen(as_json, plain).show(lambda style: sheets_text(sheets, style), lambda: before_after_document(found))
