"""``mullbed learnt``: what the record taught of beds and buckets."""

from __future__ import annotations

from typing import Annotated

import typer

from mullbed.cli.screen import GARDEN, GardenArgument, JsonOption, PlainOption, Screen, SeedOption, today
from mullbed.cli.signing import RecordOption, WhichOption, where


def learnt(
    path: GardenArgument = GARDEN,
    particles: Annotated[
        int,
        typer.Option(
            "--particles", metavar="NUMBER", min=64, max=8192, help="How many possibilities each bed is held against."
        ),
    ] = 1024,
    record: RecordOption = None,
    garden: WhichOption = None,
    seed: SeedOption = 1,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Tell what your notes taught of beds and containers.

    An entry that fits nothing is taken for a slip: it is named, kept, and moves nothing.
    """
    from mullbed.reports.learnt_document import learnt_document
    from mullbed.reports.learnt_text import learnt_text
    from mullbed.usecases.learn_from_record import learn_from_record

    screen = Screen(as_json, plain)
    found = learn_from_record(
        path, where(record, garden), today=today(), seed=seed, particles=particles, progress=screen.progress
    )
    screen.show(
        lambda style: learnt_text(found.learnt, units=found.garden.site.units, style=style),
        lambda: learnt_document(found.learnt),
    )
