"""How fast a region is run: growth of time and memory, threads, processes, dask's cost, grids; prints JSON.

``python benchmarks/region_figures.py FOLDER``; words ``growth``, ``workers``, ``overhead``, ``grid`` run a part alone.
Runs that are compared take turns; medians are told with least and most. Times on the wall depend on who else uses the
machine.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from region_demo import write_demo

SIZES = (2, 20, 200, 2000)
"""Gardens; each is 500 seasons: with and without layers, ten years, 25 members."""
TURNS = 5
CHUNKS = 8
WAY = """
[[ways]]
name = "four layers"
[[ways.layers]]
lifts = ["dry leaves: 4 mm", "grass clippings: 2 mm"]
first = 2027-04-15
every = "4 weeks"
times = 4
"""


def small_spec(folder: Path, gardens: int) -> Path:
    """Write the demonstration with one way of four layers of two lifts, 203 days, 25 members."""
    path = write_demo(folder, gardens, members=25)
    text = path.read_text(encoding="utf-8").replace("weeks = 30", "weeks = 29")
    head, rest = text.split("[[ways]]", 1)
    path.write_text(head + WAY + "\n[weather." + rest.split("[weather.", 1)[1], encoding="utf-8")
    return path


def child(path: Path, out: Path) -> dict[str, float]:
    """Run the command in a process of its own; return its time on the wall, of the processor and its peak of memory."""
    words = [sys.executable, "-m", "mullbed", "region", str(path), "--out", str(out), "--threads", "2", "--json"]
    began = time.perf_counter()
    process = os.posix_spawn(
        sys.executable, words, os.environ, file_actions=[(os.POSIX_SPAWN_OPEN, 1, "/dev/null", 1, 0)]
    )
    _, status, used = os.wait4(process, 0)
    if status:
        raise SystemExit(f"{path} did not end well")
    wall = time.perf_counter() - began
    return {"wall": wall, "processor": used.ru_utime + used.ru_stime, "peak_mb": used.ru_maxrss / 1024.0}


def growth(folder: Path) -> dict[str, Any]:
    """Return time and memory from a thousand seasons to a million, and what each season more costs."""
    found = {}
    for gardens in SIZES:
        path = small_spec(folder / f"growth_{gardens}", gardens)
        found[gardens * 500] = child(path, path.parent / "out")
    sizes = list(found)
    between = [
        (found[more]["processor"] - found[less]["processor"]) / (more - less) * 1e6 for less, more in pairwise(sizes)
    ]
    return {
        "by_seasons": {
            str(size): {name: round(value, 1) for name, value in told.items()} for size, told in found.items()
        },
        "processor_microseconds_a_season_more": [round(one, 1) for one in between],
        "memory_growth_mb": round(found[sizes[-1]]["peak_mb"] - found[sizes[0]]["peak_mb"], 1),
        "largest_wall_seconds": round(found[sizes[-1]]["wall"], 1),
    }


class Pieces:
    """Chunks of about a second, all ready; results are thrown away."""

    def __init__(self, folder: Path) -> None:
        from mullbed.files.region_file import read_region
        from mullbed.region.chunk import run_chunk
        from mullbed.usecases.run_region import _chunk
        from mullbed.usecases.run_region.seasons import RegionSeasons

        spec = read_region(small_spec(folder / "pieces", 22 * CHUNKS))
        seasons = RegionSeasons(spec, {})
        self.work = run_chunk
        self.numbers = list(range(CHUNKS))
        self.make: Callable[[int], Any] = lambda number: _chunk(
            spec, seasons, slice(number * 22, number * 22 + 22), number
        )
        self.kept: list[int] = []
        self.work(self.make(0))

    def keep(self, number: int, _found: object) -> None:
        """Count a chunk."""
        self.kept.append(number)


def timed(work: Callable[[], None]) -> tuple[float, float]:
    """Return time on the wall and of this process. [s]"""
    wall, used = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - wall, time.process_time() - used


def told(values: list[float]) -> dict[str, float]:
    """Return median, least and most."""
    return {
        "median": round(statistics.median(values), 4),
        "least": round(min(values), 4),
        "most": round(max(values), 4),
    }


def workers(folder: Path) -> dict[str, Any]:
    """Return two threads against one and two processes against one, in turns; processes stand ready."""
    from distributed import Client, LocalCluster

    from mullbed.region.run import _on_cluster, _on_threads

    pieces = Pieces(folder)

    def threads(count: int) -> None:
        _on_threads(pieces.numbers, pieces.make, pieces.work, pieces.keep, count, lambda: False)

    thread_ratios, process_ratios = [], []
    clusters = [
        LocalCluster(n_workers=count, threads_per_worker=1, processes=True, dashboard_address=None) for count in (1, 2)
    ]
    clients = [Client(one, set_as_default=False) for one in clusters]

    def processes(client: Client) -> None:
        _on_cluster(client, pieces.numbers, pieces.make, pieces.work, pieces.keep, lambda: False)

    for client in clients:
        processes(client)
    for _ in range(TURNS):
        one, two = (timed(lambda count=count: threads(count))[0] for count in (1, 2))
        thread_ratios.append(one / two)
        one, two = (timed(lambda client=client: processes(client))[0] for client in clients)
        process_ratios.append(one / two)
    for client, cluster in zip(clients, clusters, strict=True):
        client.close()
        cluster.close()
    return {"two_threads_against_one": told(thread_ratios), "two_processes_against_one": told(process_ratios)}


def overhead(folder: Path) -> dict[str, Any]:
    """Return what dask costs beside a plain loop over the same chunks, in processor time on one thread."""
    from mullbed.region.run import _on_threads

    pieces = Pieces(folder)

    def plain() -> None:
        for number in pieces.numbers:
            pieces.keep(number, pieces.work(pieces.make(number)))

    def dask() -> None:
        _on_threads(pieces.numbers, pieces.make, pieces.work, pieces.keep, 1, lambda: False)

    ratios, seconds = [], []
    for _ in range(TURNS):
        alone, by_dask = timed(plain)[1], timed(dask)[1]
        ratios.append(by_dask / alone - 1.0)
        seconds.append(alone / CHUNKS)
    return {"dask_overhead": told(ratios), "processor_seconds_a_chunk": told(seconds)}


def grid(folder: Path) -> dict[str, Any]:
    """Return how much memory reading every one of 10,000 cells takes, block by block, of a grid on disk."""
    import xarray

    file, days, side = folder / "cells.zarr", 10 * 365, 100
    dims = ("time", "latitude", "longitude")
    times = np.datetime64("2010-01-01", "ns") + np.arange(days) * np.timedelta64(1, "D")
    places = {"latitude": 40.0 + 0.1 * np.arange(side), "longitude": 5.0 + 0.1 * np.arange(side)}
    for band in range(0, side, 10):  # made band by band, so that making it takes no memory either
        warmth = np.random.default_rng(band).normal(10.0, 5.0, (days, 10, side)).astype(np.float32)
        part = xarray.Dataset(
            {
                "low": (dims, warmth - 4, {"units": "degC"}),
                "high": (dims, warmth + 4, {"units": "degC"}),
                "rain": (dims, np.abs(warmth) / 5, {"units": "mm"}),
            },
            {"time": times, "latitude": places["latitude"][band : band + 10], "longitude": places["longitude"]},
        )
        if band == 0:
            pieces = {name: {"chunks": (days, 10, 10)} for name in ("low", "high", "rain")}
            part.to_zarr(file, mode="w", consolidated=False, zarr_format=2, encoding=pieces)
        else:
            part.to_zarr(file, append_dim="latitude", consolidated=False, zarr_format=2)
    size = sum(path.stat().st_size for path in file.rglob("*") if path.is_file()) / 1e6
    words = [sys.executable, __file__, str(folder), "read"]
    found = json.loads(subprocess.run(words, check=True, capture_output=True, text=True).stdout)["read"]
    return {
        "cells": side * side,
        "unpacked_mb": round(3 * 4 * days * side * side / 1e6),
        "packed_mb": round(size),
        **found,
    }


def own_peak() -> float:
    """Return the peak of this process alone; the usual figure begins with that of the one that started it. [MB]"""
    lines = Path("/proc/self/status").read_text(encoding="utf-8").splitlines()
    return int(next(line for line in lines if line.startswith("VmHWM")).split()[1]) / 1024.0


def read(folder: Path) -> dict[str, Any]:
    """Return how much memory more a process takes once it has read every cell, 25 at a time, and how long that is."""
    from mullbed.weather.grid_cells import WeatherGrid

    opened = WeatherGrid(folder / "cells.zarr")
    opened.read([(0, 0)])
    before, began = own_peak(), time.perf_counter()
    for row in range(0, 100, 5):
        for column in range(0, 100, 5):
            opened.read([(row + down, column + along) for down in range(5) for along in range(5)])
    more = own_peak() - before
    return {"more_mb": round(more, 1), "seconds": round(time.perf_counter() - began, 1)}


PARTS: dict[str, Callable[[Path], dict[str, Any]]] = {
    "growth": growth,
    "workers": workers,
    "overhead": overhead,
    "grid": grid,
}


def main() -> None:
    """Run what is asked for and print it."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("folder", type=Path)
    words.add_argument("parts", nargs="*", choices=[*PARTS, "read", []])
    asked = words.parse_args()
    document = {}
    for name in asked.parts or PARTS:
        before = os.getloadavg()[0]
        document[name] = ({**PARTS, "read": read})[name](asked.folder)
        document[name]["load"] = [round(before, 1), round(os.getloadavg()[0], 1)]
    json.dump(document, sys.stdout, indent=2)
    print()


if __name__ == "__main__":
    main()
