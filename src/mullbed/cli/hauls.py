"""``mullbed hauls``: who brings what to which garden."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen


def hauls(
    file: Annotated[
        Path,
        typer.Argument(
            metavar="FILE",
            help="The neighbourhood file; docs/howto/share-residues-in-a-neighbourhood.md tells how to write one.",
        ),
    ],
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FOLDER", help="Folder for hauls.csv and hauls.json.")
    ] = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Share a neighbourhood's residues among its gardens.

    Households and parks give, gardens take: who brings what to whom in which week, at the worth a container has to
    each garden, the cost of hauls, and the gardens' ceilings of nitrogen and phosphorus. What must wait for a bean
    test is not brought.
    """
    from mullbed.reports.neighbourhood_report import hauls_csv, sharing_document, sharing_text
    from mullbed.usecases.share_residues import share_residues

    screen = Screen(as_json, plain)
    found = share_residues(file, progress=screen.progress)
    if out is not None:
        from mullbed.reports.document_text import rendered
        from mullbed.reports.plan_folder import write_folder

        write_folder(out, {"hauls.csv": hauls_csv(found), "hauls.json": rendered(sharing_document(found))})
        screen.progress(f"Written to {out}.")
    screen.show(lambda style: sharing_text(found, style), lambda: sharing_document(found))
