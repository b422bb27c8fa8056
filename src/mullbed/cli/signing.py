"""Who types, when, and into which record: the options every command of the record shares."""

from __future__ import annotations

import getpass
import os
from datetime import UTC, date, datetime
from typing import Annotated

import typer

from mullbed.cli.screen import today
from mullbed.domain.signing import Signature, Where
from mullbed.errors import Fault, InputFault

RecordOption = Annotated[
    str | None,
    typer.Option(
        "--record",
        metavar="PLACE",
        envvar="MULLBED_RECORD",
        show_envvar=True,
        help="The record: a file, or postgresql://...; without it, your own.",
    ),
]
WhichOption = Annotated[
    str | None,
    typer.Option(
        "--garden",
        metavar="NAME",
        envvar="MULLBED_GARDEN",
        show_envvar=True,
        help="Which garden, where the record holds more than one.",
    ),
]
AuthorOption = Annotated[
    str | None,
    typer.Option(
        "--by",
        metavar="NAME",
        envvar="MULLBED_AUTHOR",
        show_envvar=True,
        help="Who writes it; without it, your user name.",
    ),
]
DayOption = Annotated[
    str | None,
    typer.Option("--day", metavar="DATE", help="Day it was, such as 2027-05-03 or yesterday; without it, today."),
]


def signature(author: str | None, today_is: date | None = None) -> Signature:
    """Return who writes, at this moment."""
    name = (author or _user()).strip()
    return Signature(name or "unknown", datetime.now(UTC), today_is or today(), lambda: os.urandom(10))


def where(record: str | None, garden: str | None) -> Where:
    """Return which record and garden."""
    return Where(record, garden)


def day_typed(text: str | None) -> date | None:
    """Return the day that was typed; None for none.

    Raises
    ------
    InputFault
        When it is no day.
    """
    if text is None or text.strip().casefold() == "today":
        return None
    if text.strip().casefold() == "yesterday":
        return date.fromordinal(today().toordinal() - 1)
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        remedy = "Write year-month-day, such as 2027-05-03."
        raise InputFault([Fault("--day", f"'{text}'", "a day", remedy)]) from None


def _user() -> str:
    try:
        return getpass.getuser()
    except (KeyError, OSError, ImportError):
        return "unknown"
