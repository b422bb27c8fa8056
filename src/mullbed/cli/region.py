"""``mullbed region``: many gardens, many years."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from mullbed.cli.interrupt import best_so_far
from mullbed.cli.screen import JsonOption, PlainOption, Screen, today


def region(
    spec: Annotated[
        Path, typer.Argument(metavar="SPEC", help="The region file; docs/howto/run-a-region.md tells how to write one.")
    ],
    out: Annotated[
        Path,
        typer.Option("--out", metavar="FOLDER", help="Folder for data and report; the same again goes on with a run."),
    ] = Path("region"),
    threads: Annotated[
        int, typer.Option("--threads", metavar="NUMBER", min=0, max=512, help="Threads here; 0 for one a core.")
    ] = 0,
    processes: Annotated[
        int, typer.Option("--processes", metavar="NUMBER", min=0, max=512, help="Processes here instead of threads.")
    ] = 0,
    cluster: Annotated[
        str | None,
        typer.Option("--cluster", metavar="ADDRESS", help="A dask scheduler to run on, such as tcp://10.0.0.5:8786."),
    ] = None,
    netcdf: Annotated[bool, typer.Option("--netcdf", help="Write the data as one NetCDF file, too.")] = False,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Run many gardens over many years, and map them.

    Ways of laying, soils and climates side by side: nitrogen fed, nitrate at risk, layers that find room, water,
    carbon, each with its range, as maps, tables and a report. Stopped or killed, the same command goes on where it
    was; what comes out does not depend on how many threads, processes or machines there are.
    """
    from mullbed.reports.region_folder import write_region
    from mullbed.reports.region_text import region_document, region_text
    from mullbed.usecases.run_region import run_region

    screen = Screen(as_json, plain)

    def told(_sentence: str) -> None:
        screen.progress("Ending the chunks in hand; what is done is kept. Press Ctrl-C again to stop at once.")

    with best_so_far(told) as stop:
        result = run_region(
            spec,
            out,
            threads=threads or os.cpu_count() or 1,
            processes=processes,
            cluster=cluster,
            netcdf=netcdf,
            progress=screen.progress,
            stop=stop,
        )
    write_region(out, result, today())
    screen.progress(f"Written to {out}.")
    screen.show(lambda style: region_text(result, style), lambda: region_document(result))
