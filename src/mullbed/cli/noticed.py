"""``mullbed noticed``: what was smelt, seen or felt on a bed, and what to do about it."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen, SeedOption, today
from mullbed.cli.signing import RecordOption, WhichOption, where


def noticed(
    garden: Annotated[
        Path | None, typer.Argument(metavar="GARDEN", help="The garden file; not needed with --list.")
    ] = None,
    bed: Annotated[str | None, typer.Option("--bed", metavar="NAME", help="The bed it was noticed on.")] = None,
    sign: Annotated[
        list[str] | None,
        typer.Option("--sign", metavar="SIGN", help="One thing noticed, such as sour; say it again for each."),
    ] = None,
    absent: Annotated[
        list[str] | None,
        typer.Option("--not", metavar="SIGN", help="A sign you looked for and did not find; say it again for each."),
    ] = None,
    know: Annotated[
        list[str] | None,
        typer.Option(
            "--know", metavar="FACT=ANSWER", help="One more look answered, such as roots=sound or soil_ph=7.8."
        ),
    ] = None,
    day: Annotated[
        datetime | None,
        typer.Option("--day", metavar="DAY", formats=["%Y-%m-%d"], help="Day it was noticed; today if not given."),
    ] = None,
    quick: Annotated[
        bool, typer.Option("--quick", help="Leave the daily model out: only what was laid, sown and noticed counts.")
    ] = False,
    list_all: Annotated[
        bool, typer.Option("--list", help="Show every sign with what to do first on it alone; needs no garden.")
    ] = False,
    as_done: Annotated[
        bool, typer.Option("--as-done", help="Take the garden, what was laid and what was seen from the record.")
    ] = False,
    record: RecordOption = None,
    which: WhichOption = None,
    seed: SeedOption = 1,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Tell what you noticed on a bed, and learn what to do.

    \b
    mullbed noticed garden.toml --bed "Gate Bed" --sign sour --sign slimy
    mullbed noticed --as-done --bed "Gate Bed" --sign sour

    Answers with the likeliest cause and its chance, what to do with amounts for this bed, what not to do, what to
    expect by when, and which look tells most for the least time.
    """
    from mullbed.errors import Fault, InputFault
    from mullbed.reports.diagnosis_card import diagnosis_document, diagnosis_text, signs_document, signs_text

    screen = Screen(as_json, plain)
    if list_all:
        from mullbed.usecases.list_signs import list_signs

        table = list_signs()
        screen.show(lambda style: signs_text(table, style), lambda: signs_document(table))
        return
    if (garden is None and not as_done) or bed is None:
        remedy = 'Write mullbed noticed garden.toml --bed "Gate Bed" --sign sour, or mullbed noticed --list.'
        raise InputFault([Fault("GARDEN and --bed", "not given", "a garden file and a bed, or --list", remedy)])
    from mullbed.usecases.diagnose_bed import diagnose_bed

    if not quick:
        screen.progress(f"Running {bed} to the day it was noticed ...")
    found = diagnose_bed(
        garden,
        bed,
        sign or (),
        day=day.date() if day is not None else today(),
        absent=absent or (),
        told=know or (),
        where=where(record, which) if as_done else None,
        quick=quick,
        seed=seed,
    )
    screen.show(
        lambda style: diagnosis_text(found.diagnosis, area=found.bed.area, units=found.garden.site.units, style=style),
        lambda: diagnosis_document(found.diagnosis, area=found.bed.area),
    )
