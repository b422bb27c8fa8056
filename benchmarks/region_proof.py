"""Run the region of 2,000 gardens whole, then again killed half-way and gone on with; compare the bytes.

One command: ``python benchmarks/region_proof.py FOLDER``. The first run is on two threads; the second is killed with
signal 9 while it runs on two threads and ends on two processes of a dask cluster. Needs the open data and the extra
[region]. Prints one JSON document; times are informational.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

from region_demo import write_demo


def digest(folder: Path) -> str:
    """Return one digest of all files of a folder and their names."""
    whole = hashlib.sha256()
    for path in sorted(one for one in folder.rglob("*") if one.is_file()):
        whole.update(path.relative_to(folder).as_posix().encode())
        whole.update(path.read_bytes())
    return whole.hexdigest()


def started(spec: Path, out: Path, *words: str) -> subprocess.Popen[bytes]:
    """Start the command as a grower would."""
    command = [sys.executable, "-m", "mullbed", "region", str(spec), "--out", str(out), "--json", *words]
    return subprocess.Popen(command, stdout=subprocess.DEVNULL)


def chunks_of(data: Path) -> tuple[int, int]:
    """Return how many chunks are kept, and of how many."""
    import zarr

    if not data.exists():
        return 0, 1
    checks = zarr.open_group(data, mode="r", zarr_format=2)["chunk_check"][:]  # type: ignore[index]
    return int((checks > 0).sum()), int(checks.size)  # type: ignore[operator, union-attr]


def run_whole(spec: Path, out: Path, *words: str) -> float:
    """Run to the end and return how long it took. [s]"""
    began = time.perf_counter()
    if started(spec, out, *words).wait() != 0:
        raise SystemExit("the run did not end well")
    return time.perf_counter() - began


def main() -> None:
    """Run, kill, go on, compare."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("folder", type=Path)
    words.add_argument("--gardens", type=int, default=2000)
    words.add_argument("--members", type=int, default=16)
    words.add_argument("--years", type=int, default=10)
    told = words.parse_args()
    spec = write_demo(told.folder, told.gardens, told.members, told.years)
    whole, killed = told.folder / "whole", told.folder / "killed"
    load = os.getloadavg()
    whole_seconds = run_whole(spec, whole, "--threads", "2")
    running = started(spec, killed, "--threads", "2")
    while running.poll() is None:
        done, chunks = chunks_of(killed / "region.zarr")
        if 2 * done >= chunks:
            break
        time.sleep(0.5)
    running.send_signal(signal.SIGKILL)
    ended = running.wait()
    kept, chunks = chunks_of(killed / "region.zarr")
    rest_seconds = run_whole(spec, killed, "--processes", "2")
    document = json.loads((whole / "region.json").read_text(encoding="utf-8"))
    json.dump(
        {
            "gardens": told.gardens,
            "runs": document["runs"],
            "chunks": chunks,
            "whole_seconds_two_threads": round(whole_seconds, 1),
            "runs_per_second": round(document["runs"] / whole_seconds),
            "ended_by_signal": -ended,
            "chunks_kept_at_the_kill": kept,
            "rest_seconds_two_processes": round(rest_seconds, 1),
            "same_bytes": digest(whole / "region.zarr") == digest(killed / "region.zarr"),
            "fingerprint": document["fingerprint"],
            "load_before_and_after": [round(one, 1) for one in (load[0], os.getloadavg()[0])],
        },
        sys.stdout,
        indent=2,
    )


if __name__ == "__main__":
    main()
