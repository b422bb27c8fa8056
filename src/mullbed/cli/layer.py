"""``mullbed layer``: the next layer of one bed, from what is in hand."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

import typer

from mullbed.cli.screen import GARDEN, GardenArgument, JsonOption, PlainOption, Screen, SeedOption, today
from mullbed.cli.signing import RecordOption, WhichOption, where


def layer(
    bed: Annotated[str, typer.Option("--bed", metavar="NAME", help="Name of the bed.")],
    path: GardenArgument = GARDEN,
    day: Annotated[
        datetime | None,
        typer.Option(
            "--day", metavar="DATE", formats=["%Y-%m-%d"], help="Day to lay it, such as 2027-05-03; without it, today."
        ),
    ] = None,
    learn: Annotated[
        bool, typer.Option("--learn", help="Learn from the record: what was really laid, done, weighed and seen.")
    ] = False,
    record: RecordOption = None,
    garden: WhichOption = None,
    seed: SeedOption = 1,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Design the next layer of a bed from what is in hand.

    Tells whole containers, the order of the lifts, the cap, the water, and why.
    Goals pull against each other (what it feeds, moisture, thickness, ceilings); the answer says what was traded.
    """
    from mullbed.reports.json_documents import layer_document
    from mullbed.reports.learnt_text import layer_learning_sentences
    from mullbed.reports.terminal_layer import layer_text
    from mullbed.reports.traded import traded_document, traded_words
    from mullbed.usecases.design_layer import design_layer

    screen = Screen(as_json, plain)
    now = today()
    screen.progress(f"Trying layers for {bed} ...")
    designed = design_layer(
        path,
        bed,
        today=now,
        day=day.date() if day else None,
        seed=seed,
        where=where(record, garden) if learn else None,
        progress=screen.progress,
    )
    for sentence in layer_learning_sentences(designed.learnt, bed):
        screen.progress(sentence)
    screen.show(
        lambda style: layer_text(
            designed.planned,
            designed.garden.bed(bed),
            designed.forecast,
            units=designed.garden.site.units,
            made_on=now,
            carbon_to_nitrogen=designed.carbon_to_nitrogen,
            traded=[traded_words(one, designed.garden.site.units) for one in designed.traded],
            refusals=designed.design.refusals,
            set_aside=designed.design.set_aside,
            style=style,
        ),
        lambda: layer_document(
            designed.planned,
            carbon_to_nitrogen=designed.carbon_to_nitrogen,
            traded=[traded_document(one) for one in designed.traded],
            cautions_on=now,
            refusals=designed.design.refusals,
            set_aside=designed.design.set_aside,
        ),
    )
