"""``mullbed serve``: the page for phone and desk."""

from __future__ import annotations

import json
import sys
from typing import Annotated

import typer

from mullbed.cli.screen import JsonOption, PlainOption
from mullbed.cli.signing import AuthorOption, RecordOption, WhichOption, day_typed, signature, where


def serve(
    port: Annotated[int, typer.Option("--port", metavar="NUMBER", min=1, max=65535, help="Door to listen at.")] = 8437,
    share: Annotated[
        bool, typer.Option("--share", help="Let others on this network in; everybody then signs in.")
    ] = False,
    name: Annotated[
        list[str] | None,
        typer.Option("--name", metavar="HOST", help="A host name it is reached by, besides this machine's own."),
    ] = None,
    behind: Annotated[
        bool, typer.Option("--behind-https", help="A proxy of your own stands before it and speaks https.")
    ] = False,
    workers: Annotated[
        int, typer.Option("--workers", metavar="NUMBER", min=1, max=64, help="Server processes that share the record.")
    ] = 1,
    listen: Annotated[
        str | None, typer.Option("--listen", metavar="ADDRESS", help="Where to listen, for a page people sign in to.")
    ] = None,
    proxy: Annotated[
        str, typer.Option("--proxy", metavar="ADDRESS", help="With --behind-https: where your proxy comes from.")
    ] = "127.0.0.1",
    log: Annotated[
        bool, typer.Option("--log", help="Tell each answer as a line of JSON, with nothing of anybody in it.")
    ] = False,
    day: Annotated[
        str | None,
        typer.Option("--day", metavar="DATE", help="Take this as the day, to look ahead or back; usually left out."),
    ] = None,
    by: AuthorOption = None,
    record: RecordOption = None,
    garden: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Show the garden on a page for phone and desk.

    \b
    mullbed serve
    mullbed serve --share

    It listens on this machine alone unless it is shared.
    """
    del plain
    from mullbed.web.serving import Door, run_server

    door = Door(
        port, share=share, names=tuple(name or ()), secure=behind, listen=listen, proxy=proxy, workers=workers, log=log
    )
    run_server(
        where(record, garden),
        signature(by).author,
        door,
        say=lambda sentence: print(sentence, file=sys.stderr, flush=True),
        announce=(lambda told: print(json.dumps(told), flush=True)) if as_json else lambda _: None,
        today=day_typed(day),
        warm=_warm,
    )


def _warm() -> None:
    """Load the engine while the first page is already shown."""
    from mullbed.usecases.warm_up import warm_up

    warm_up()
