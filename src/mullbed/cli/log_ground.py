"""``mullbed log check`` and ``mullbed log laboratory``: what the ground and the laboratory said."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.log import BedArgument, CorrectsOption, WordsOption
from mullbed.cli.log_came_in import log
from mullbed.cli.screen import JsonOption, PlainOption, Screen
from mullbed.cli.signing import AuthorOption, DayOption, RecordOption, WhichOption, day_typed, signature, where

__all__ = ["log"]


@log.command("check")
def check(
    bed: BedArgument,
    name: Annotated[str, typer.Argument(metavar="CHECK", help="Which check; `mullbed ground` lists them.")],
    values: Annotated[
        list[str],
        typer.Argument(metavar="VALUE...", help='One a repeat: 9, "3:20" for a ring, "10YR 3/2", "few drops".'),
    ],
    bore: Annotated[
        str | None, typer.Option("--bore", metavar="LENGTH", help="Inner width of the ring; values are its times.")
    ] = None,
    strip: Annotated[
        str, typer.Option("--strip", metavar="UNIT", help="What a strip or report gives: nitrate or nitrate-N.")
    ] = "",
    depth: Annotated[
        str | None, typer.Option("--depth", metavar="LENGTH", help="How deep it was read, such as 15 cm.")
    ] = None,
    rain: Annotated[
        int | None, typer.Option("--days-since-rain", metavar="DAYS", min=0, help="Days since the last rain.")
    ] = None,
    operator: Annotated[str, typer.Option("--operator", metavar="NAME", help="Who read it, if not you.")] = "",
    day: DayOption = None,
    words: WordsOption = "",
    corrects: CorrectsOption = None,
    by: AuthorOption = None,
    record: RecordOption = None,
    garden: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Write down a field check with its repeats.

    \b
    mullbed log check Garlic worms 6 9 12 --days-since-rain 2
    mullbed log check Garlic infiltration 3:20 4:05 --bore "6 in"
    mullbed log check Garlic nitrate 50 60 --strip nitrate
    mullbed log check Garlic colour "10YR 3/2"
    """
    from mullbed.domain.record_seen import FieldChecked
    from mullbed.reports.kept_words import kept_document, kept_text
    from mullbed.reports.terminal_trial import scored_text
    from mullbed.reports.trial_document import scored_document
    from mullbed.units import Kind, parse_as
    from mullbed.usecases.log_line import Line, log_check
    from mullbed.usecases.score_check import score_check

    kept = log_check(
        Line(where(record, garden), signature(by), day_typed(day), corrects, words.strip()),
        name,
        values,
        bed=bed,
        bore=parse_as(bore, Kind.LENGTH, "--bore") if bore is not None else None,
        reads=strip,
        depth=parse_as(depth, Kind.LENGTH, "--depth") if depth is not None else None,
        days_since_rain=rain,
        operator=operator,
    )
    facts = kept.entry.facts
    if not isinstance(facts, FieldChecked):
        raise TypeError("a field check was kept as something else")
    scored = score_check(facts.check, facts.readings)
    Screen(as_json, plain).show(
        lambda style: kept_text(kept, kept.units, style) + scored_text(scored, style),
        lambda: dict(kept_document(kept, kept.units)) | {"scored": scored_document(scored)},
    )


@log.command("laboratory")
def laboratory(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="CSV or .xlsx: a row a sample, or a row a value.")],
    column: Annotated[
        list[str] | None,
        typer.Option("--column", metavar="OURS=THEIRS", help="A column's name there: bed=Parcel. Repeat it."),
    ] = None,
    bed: Annotated[str | None, typer.Option("--bed", metavar="BED", help="The bed, if no column says.")] = None,
    method: Annotated[
        list[str] | None,
        typer.Option("--method", metavar="VALUE=METHOD", help='"phosphorus=Bray 1", if no column says. Repeat it.'),
    ] = None,
    name: Annotated[str, typer.Option("--laboratory", metavar="NAME", help="Who measured it.")] = "",
    depth: Annotated[str, typer.Option("--depth", metavar="LENGTH", help="Lower edge, if no column says.")] = "15 cm",
    day: DayOption = None,
    by: AuthorOption = None,
    record: RecordOption = None,
    garden: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Write down a laboratory's table, sample by sample.

    \b
    mullbed log laboratory report.csv --column bed=Parcel
    mullbed log laboratory report.xlsx --method "phosphorus=Bray 1"

    Nothing is kept unless every row is understood. Read twice, it is kept once.
    """
    from mullbed.cli.columns import named_columns
    from mullbed.reports.laboratory_words import laboratory_document, laboratory_text
    from mullbed.units import Kind, parse_as
    from mullbed.usecases.take_in_laboratory import take_in_laboratory

    kept = take_in_laboratory(
        where(record, garden),
        signature(by),
        file,
        columns=named_columns(column, "--column", "bed=Parcel"),
        methods=named_columns(method, "--method", "phosphorus=Bray 1"),
        bed=bed,
        laboratory=name,
        depth=parse_as(depth, Kind.LENGTH, "--depth"),
        day=day_typed(day),
    )
    Screen(as_json, plain).show(lambda style: laboratory_text(kept, style), lambda: laboratory_document(kept))
