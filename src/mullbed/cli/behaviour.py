"""``mullbed behaviour``: what is expected of beds, beside what the model does."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen, SeedOption


def behaviour(
    only: Annotated[
        str | None, typer.Option("--case", metavar="NAME", help="Run only this case; without it, all.")
    ] = None,
    members: Annotated[
        int | None, typer.Option("--members", metavar="NUMBER", min=8, max=4096, help="Members of every run.")
    ] = None,
    seed: SeedOption = 1,
    report: Annotated[
        Path | None, typer.Option("--report", metavar="FOLDER", help="Folder for BEHAVIOUR.md and its charts.")
    ] = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Show how beds behave in the model, beside what is expected.

    Twelve situations, from clippings in a warm month to twenty years. Every expectation was written down with its
    source before it was run; where the model differs, that is told.
    """
    from mullbed.reports.behaviour_text import behaviour_document, behaviour_text
    from mullbed.usecases.show_behaviour import show_behaviour

    screen = Screen(as_json, plain)
    found = show_behaviour(only=only, members=members, seed=seed, progress=screen.progress)
    if report is not None:
        from mullbed.reports.behaviour_page import behaviour_files
        from mullbed.reports.plan_folder import write_folder

        write_folder(report, behaviour_files(found))
    screen.show(lambda style: behaviour_text(found, style), lambda: behaviour_document(found))
