"""``mullbed bed``: one bed from the record."""

from __future__ import annotations

from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen, today
from mullbed.cli.signing import DayOption, RecordOption, WhichOption, day_typed, where


def bed(
    name: Annotated[str, typer.Argument(metavar="BED", help="The bed, as the garden file names it.")],
    day: DayOption = None,
    record: RecordOption = None,
    garden: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Show one bed: what lies there and what the roots get."""
    from mullbed.reports.terminal_bed import bed_document, bed_text
    from mullbed.usecases.show_bed import show_bed

    shown = show_bed(where(record, garden), name, day_typed(day) or today())
    Screen(as_json, plain).show(lambda style: bed_text(shown, style), lambda: bed_document(shown))
