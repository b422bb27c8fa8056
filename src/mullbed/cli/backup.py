"""``mullbed backup`` and ``mullbed restore``: the whole record into one file, and back."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen, today
from mullbed.cli.signing import RecordOption


def backup(
    file: Annotated[
        Path | None,
        typer.Argument(metavar="FILE", help="The file to write; without it, one named for today in this folder."),
    ] = None,
    replace: Annotated[bool, typer.Option("--replace", help="Give up a file of that name that is there.")] = False,
    record: RecordOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Write the whole record with its photos into one file.

    Others may go on writing meanwhile: what is in the file is the record at one moment.
    """
    from mullbed.reports.backup_report import backup_document, backup_text
    from mullbed.usecases.back_up_record import back_up_record

    target = file or Path(f"mullbed-record-{today().isoformat()}.zip")
    told = back_up_record(target, datetime.now(UTC), record=record, replace=replace)
    Screen(as_json, plain).show(
        lambda style: backup_text(told, target, style), lambda: backup_document(told, target)
    )  # fmt: skip


def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A file that `mullbed backup` wrote.")],
    replace: Annotated[
        bool, typer.Option("--replace", help="Give up what the record holds; it is backed up beside FILE first.")
    ] = False,
    record: RecordOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Bring a backup back, after every part of it was checked.

    Only an empty record is filled, unless you say --replace.
    """
    from mullbed.reports.backup_report import restored_document, restored_text
    from mullbed.usecases.restore_record import restore_record

    now = datetime.now(UTC)
    keep = file.with_name(f"{file.stem}-before-{now:%Y%m%d-%H%M%S}.zip")
    done = restore_record(file, now, record=record, replace=replace, keep_before=keep)
    Screen(as_json, plain).show(
        lambda style: restored_text(done.told, done.place, done.before, done.kept, style),
        lambda: restored_document(done.told, done.place, done.before, done.kept),
    )
