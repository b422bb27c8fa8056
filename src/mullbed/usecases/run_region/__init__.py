"""Run a region: many gardens, ways of laying, years of weather and members; kept on disk chunk by chunk.

Reads the region file, its table of gardens, soils and weather; writes the Zarr folder it is given and, where asked, the
same as NetCDF. A run that was stopped or killed is gone on with by the same call. Raises InputFault when something
given is at fault, BalanceError or DirectionError when the books of a run do not close.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from mullbed.domain.region import RegionResult, RegionSpec
from mullbed.errors import Fault, InputFault
from mullbed.files.region_file import read_region
from mullbed.region.archive import RegionArchive, open_archive, write_netcdf
from mullbed.region.chunk import Chunk, ChunkGarden, ChunkResult, run_chunk
from mullbed.region.pace import Pace, seconds_of, time_words
from mullbed.region.run import run_pieces
from mullbed.usecases.run_region.grids import opened_grids, with_cells
from mullbed.usecases.run_region.identity import inputs_of
from mullbed.usecases.run_region.seasons import RegionSeasons
from mullbed.usecases.run_region.totals import totals

DATA = "region.zarr"
NETCDF = "region.nc"
CHUNK_DAYS = 3_500_000
"""Days run in a chunk, about a second of one core. Fixed, so that what is kept does not depend on the machine."""
MOST_IN_CHUNK = 256
"""[gardens]"""


def run_region(
    path: Path,
    folder: Path,
    *,
    threads: int = 1,
    processes: int = 0,
    cluster: str | None = None,
    netcdf: bool = False,
    progress: Callable[[str], None] = lambda sentence: None,
    stop: Callable[[], bool] = lambda: False,
) -> RegionResult:
    """Return what the region came to, after running what is not yet in the folder.

    Parameters
    ----------
    path : Path
        The region file.
    folder : Path
        Holds the data; made where it is not there.
    threads, processes : int
        In this process, or so many processes of their own.
    cluster : str, optional
        Address of a dask scheduler.
    netcdf : bool
        Also write the data as one NetCDF file, once all is done.
    progress : callable
    stop : callable
        Asked before every chunk; chunks in flight are ended and kept.

    Raises
    ------
    InputFault
        With every fault of what was given.
    """
    _need_libraries()
    spec = read_region(path)
    grids = opened_grids(spec)
    try:
        spec = with_cells(spec, grids)
        seasons = RegionSeasons(spec, grids)
        per_chunk = _gardens_per_chunk(spec)
        sources = "; ".join(sorted({used.source for used in seasons.used()}))
        archive = open_archive(folder / DATA, spec, inputs_of(spec), per_chunk, sources)
        found = archive.done()
        left = [number for number in range(archive.chunks) if number not in set(found)]
        progress(_before(spec, archive, len(found)))

        def make(number: int) -> Chunk:
            return _chunk(spec, seasons, archive.place(number), number)

        pace = Pace(max(1, len(left)), progress)
        if left and not stop():
            progress(_estimate(make(left[0]), left, archive, threads, processes, cluster))
            pace = Pace(len(left), progress)

            def keep(number: int, result: ChunkResult) -> None:
                archive.keep(number, result)
                pace.count()

            run_pieces(left, make, run_chunk, keep, threads=threads, processes=processes, cluster=cluster, stop=stop)
        seconds = pace.seconds
        result = totals(spec, archive, seasons.used(), folder, seconds, len(found))
    finally:
        for grid in grids.values():
            grid.close()
    if netcdf and result.complete:
        progress(f"Writing {folder / NETCDF}.")
        write_netcdf(folder / DATA, folder / NETCDF)
    return result


def _need_libraries() -> None:
    """Refuse early, in a sentence, where the extra libraries are not installed."""
    from importlib.util import find_spec

    absent = [name for name in ("dask", "distributed", "xarray", "zarr", "h5netcdf") if find_spec(name) is None]
    if absent:
        remedy = "Install the package with its extra: pip install 'mullbed[region]'."
        raise InputFault([Fault("this installation", f"without {', '.join(absent)}", "the extra [region]", remedy)])


def _gardens_per_chunk(spec: RegionSpec) -> int:
    fitting = CHUNK_DAYS // (spec.runs_per_garden * spec.days)
    return max(1, min(MOST_IN_CHUNK, fitting, len(spec.gardens)))


def _chunk(spec: RegionSpec, seasons: RegionSeasons, place: slice, number: int) -> Chunk:
    gardens = spec.gardens[place]
    weathers, which = seasons.of(gardens)
    return Chunk(
        number=number,
        gardens=tuple(
            ChunkGarden(garden.name, spec.soils[garden.soil], weather)
            for garden, weather in zip(gardens, which, strict=True)
        ),
        weathers=weathers,
        ways=spec.ways,
        crop=spec.crop,
        kept_moist=spec.kept_moist,
        thickest_cover=spec.thickest_cover,
        members=spec.members,
        seed=spec.seed,
    )


def _before(spec: RegionSpec, archive: RegionArchive, found: int) -> str:
    gardens, chunks = len(spec.gardens), archive.chunks
    told = (
        f"{gardens:,} gardens, {len(spec.way_names)} ways, {spec.years} years of weather, {spec.members} members: "
        f"{gardens * spec.runs_per_garden:,} seasons of {spec.days} days in {chunks:,} chunk{'s'[: chunks != 1]}."
    )
    return f"{told} There already: {found:,}." if found else told


def _estimate(
    first: Chunk, left: list[int], archive: RegionArchive, threads: int, processes: int, cluster: str | None
) -> str:
    """Return how long it will take, from a trial of one garden on this machine."""
    seconds = seconds_of(run_chunk, replace(first, gardens=first.gardens[:1]))
    gardens = sum(archive.place(number).stop - archive.place(number).start for number in left)
    alone = seconds * gardens
    if cluster is not None:
        return f"About {time_words(alone)} of one core of this machine, shared by the workers of the cluster."
    workers = processes or max(1, threads)
    where = f"{workers} {'process' if processes else 'thread'}{'' if workers == 1 else 'es' if processes else 's'}"
    return f"About {time_words(alone / workers)} on {where}. Stop it when you like: what is done is kept."
