"""Run many beds of 64 members, keeping summaries only, and print one JSON line; started by run.py.

``many_beds.py 16 15625`` runs 16 beds, then 15,625, then 16 again: a thousand member-seasons, a million, a thousand.
Times and the peak of memory are told; the smaller size is run many times on either side of the larger one.
"""

from __future__ import annotations

import json
import resource
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
from typical_bed import DAYS, typical_bed

MEMBERS = 64
KEPT = (
    "thickness",
    "soil_side_nitrogen",
    "ammonia_lost",
    "leached",
    "cover",
    "carbon_left",
    "mineral_nitrogen",
    "drained",
)
THREADS = 2
REPEATS = 25


def summary(number: int, packed: Any, case: Any) -> Any:
    """Draw the members of one bed, run its season, return mean, 10th and 90th percentile of what is kept."""
    from mullbed.simulate.ensemble import draw_members
    from mullbed.simulate.run import run_packed

    members = draw_members(case, MEMBERS, 1, place=f"bed {number}")
    daily = run_packed(packed, members, every=DAYS, keep=KEPT).daily
    last = np.stack([daily[name][:, -1] for name in KEPT])
    ordered = np.sort(last, axis=1)
    low, high = ordered[:, MEMBERS // 10], ordered[:, -1 - MEMBERS // 10]
    return np.stack((last.mean(axis=1), low, high)).astype(np.float32)


def season(beds: int) -> dict[str, float]:
    """Run so many beds on two threads."""
    case, packed = typical_bed()
    kept = np.empty((beds, 3, len(KEPT)), dtype=np.float32)

    def work(piece: range) -> None:
        for number in piece:
            kept[number] = summary(number, packed, case)

    wall, used = time.perf_counter(), time.process_time()
    with ThreadPoolExecutor(THREADS) as pool:
        list(pool.map(work, [range(first, beds, THREADS) for first in range(THREADS)]))
    wall, used = time.perf_counter() - wall, time.process_time() - used
    assert np.isfinite(kept).all()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    return {"member_seasons": beds * MEMBERS, "wall": wall, "processor": used, "peak_mb": peak}


def main() -> None:
    """Measure both sizes and print; the first run of all warms up."""
    small, large = (int(word) for word in sys.argv[1:])
    season(small)
    before = [season(small) for _ in range(REPEATS)]
    most = season(large)
    after = [season(small) for _ in range(REPEATS)]
    json.dump({"small": before + after, "large": most, "peak_before_mb": before[-1]["peak_mb"]}, sys.stdout)


if __name__ == "__main__":
    main()
