"""What every command shares at the screen: results to standard output, progress to standard error, one style.

Reads NO_COLOR, TERM and whether the output is a terminal. Imports nothing heavy.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from mullbed.domain.garden import UnitSystem

if TYPE_CHECKING:
    from mullbed.reports.terminal_style import Style

JsonOption = Annotated[
    bool,
    typer.Option("--json", help="Print one JSON document and nothing else; docs/reference/json.md tells its keys."),
]
PlainOption = Annotated[
    bool,
    typer.Option("--plain", help="Print plain ASCII without colour, for a screen reader, a log or a small printer."),
]
UnitsOption = Annotated[UnitSystem, typer.Option("--units", help="Units to show numbers in.")]
GardenArgument = Annotated[
    Path,
    typer.Argument(
        metavar="GARDEN", help="The garden file; docs/howto/describe-your-garden.md tells how to write one."
    ),
]
GARDEN = Path("garden.toml")
SeedOption = Annotated[
    int,
    typer.Option(
        "--seed",
        metavar="NUMBER",
        min=0,
        max=2**32 - 1,
        help="Number the chances are drawn from: the same seed, the same answer; another shows what hangs on chance.",
    ),
]


@dataclass(frozen=True, slots=True)
class Screen:
    """How one command shows its result."""

    as_json: bool = False
    plain: bool = False

    def style(self) -> Style:
        """Return what the terminal can show: colour only on a terminal where NO_COLOR is not set."""
        from mullbed.reports.terminal_style import Style

        dumb = os.environ.get("TERM") == "dumb"
        colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR") and not self.plain and not dumb
        return Style(colour=colour, plain=self.plain or not _can_show(sys.stdout.encoding))

    def show(self, text: Callable[[Style], str], document: Callable[[], Mapping[str, object]]) -> None:
        """Print a result: its document where JSON was asked for, else its text; only the one shown is made."""
        if self.as_json:
            from mullbed.reports.document_text import rendered

            sys.stdout.write(rendered(document()))
        else:
            sys.stdout.write(text(self.style()))
        sys.stdout.flush()

    def progress(self, sentence: str) -> None:
        """Tell on standard error what is being done."""
        print(sentence, file=sys.stderr, flush=True)


def today() -> date:
    """Return the day it is here; the command line is the only place that reads the clock."""
    return datetime.now().astimezone().date()


def _can_show(encoding: str | None) -> bool:
    """Return whether the cut and the half signs can be written in an encoding."""
    try:
        "━▒½≈".encode(encoding or "ascii")
    except (LookupError, UnicodeEncodeError):
        return False
    return True
