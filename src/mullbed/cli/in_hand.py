"""``mullbed in-hand``: what is at the heap, a new count of it, and what a layer of it would do."""

from __future__ import annotations

from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption, Screen, today
from mullbed.cli.signing import AuthorOption, DayOption, RecordOption, WhichOption, day_typed, signature, where


def in_hand(
    count: Annotated[
        list[str] | None,
        typer.Option("--count", metavar="NAME=NUMBER", help="Containers of a heap that are there now, counted."),
    ] = None,
    bed: Annotated[
        str | None, typer.Option("--bed", metavar="NAME", help="Tell what a layer from it would do to this bed.")
    ] = None,
    take: Annotated[
        list[str] | None,
        typer.Option("--take", metavar="NAME=NUMBER", help="With --bed: containers to lay; the plan's if left out."),
    ] = None,
    day: DayOption = None,
    by: AuthorOption = None,
    record: RecordOption = None,
    garden: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Tell what is in hand, and what is held.

    \b
    mullbed in-hand
    mullbed in-hand --count "leaf stack=40"
    mullbed in-hand --bed "Gate Bed" --take "our lawn=2" --take "leaf stack=1"
    """
    from mullbed.reports.in_hand_words import in_hand_document, in_hand_text, preview_document, preview_text
    from mullbed.usecases.list_in_hand import count_in_hand, list_in_hand

    screen, place, on = Screen(as_json, plain), where(record, garden), day_typed(day) or today()
    for name, number in _pairs(count or (), "--count").items():
        count_in_hand(place, signature(by, on), name, number)
    if bed is None:
        found = list_in_hand(place, on)
        screen.show(lambda style: in_hand_text(found, style), lambda: in_hand_document(found))
        return
    from mullbed.usecases.preview_layer import preview_layer

    preview = preview_layer(place, bed, on, _pairs(take, "--take") if take else None)
    screen.show(lambda style: preview_text(preview, style), lambda: preview_document(preview))


def _pairs(texts: list[str] | tuple[()], option: str) -> dict[str, float]:
    """Return names and numbers of texts such as "leaf stack=40"."""
    from mullbed.errors import Fault, InputFault
    from mullbed.units import parse_number

    found = {}
    for text in texts:
        name, equals, number = text.rpartition("=")
        if not equals or not name.strip():
            raise InputFault([Fault(option, f"'{text}'", "NAME=NUMBER", f'Write {option} "leaf stack=4".')])
        found[name.strip()] = parse_number(number, option)
    return found
