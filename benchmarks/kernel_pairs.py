"""Time the day loop and its twin in C, turn about in one process, and print one JSON line; started by run.py.

Processor time of the one thread that does the work: what other programs take does not count.
"""

from __future__ import annotations

import json
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import twin
from typical_bed import DAYS, typical_bed

MEMBERS, ROUNDS = 512, 15
KEPT = (
    "thickness",
    "soil_side_nitrogen",
    "ammonia_lost",
    "leached",
    "cover",
    "carbon_left",
    "mineral_nitrogen",
    "moisture",
)
#: Ways to build the fast twin; the fastest on this machine is the yardstick.
BUILDS = {
    "library exponential": twin.FAST,
    "own exponential": (*twin.FAST, "-DOWN_EXPONENTIAL"),
    "library exponential, 512-bit": (*twin.FAST, "-mprefer-vector-width=512"),
    "own exponential, 512-bit": (*twin.FAST, "-DOWN_EXPONENTIAL", "-mprefer-vector-width=512"),
}


def seconds(work: Callable[[], object]) -> float:
    """Return the processor time of this thread for one call."""
    began = time.thread_time()
    work()
    return time.thread_time() - began


def main() -> None:
    """Measure and print."""
    from mullbed.simulate.ensemble import draw_members
    from mullbed.simulate.run import run_packed

    case, packed = typical_bed()
    members = draw_members(case, MEMBERS, 1)

    def ours() -> object:
        return run_packed(packed, members, keep=KEPT)

    told: dict[str, object] = {"bed_days": MEMBERS * DAYS}
    outcome = run_packed(packed, members, keep=KEPT, tolerance=1e-9)
    told["worst_balance"] = max(outcome.balance.carbon, outcome.balance.nitrogen, outcome.balance.water)
    with tempfile.TemporaryDirectory() as folder:
        works: dict[str, Callable[[], object]] = {"ours": ours}
        if twin.compiler() is not None:
            for place, (name, flags) in enumerate({**BUILDS, "scalar": twin.SCALAR}.items()):
                library = twin.build(Path(folder), flags, f"twin{place}")
                works[name] = lambda library=library: twin.run_twin(library, packed, members, KEPT)
            theirs = twin.run_twin(library, packed, members, KEPT)["ledgers"]
            scale = np.abs(outcome.ledgers).max(axis=0) + 1e-12
            told["largest_difference"] = float((np.abs(theirs - outcome.ledgers) / scale).max())
        taken: dict[str, list[float]] = {name: [] for name in works}
        for work in works.values():
            work()
        for _ in range(ROUNDS):
            for name, work in works.items():
                taken[name].append(seconds(work))
    told["seconds"] = taken
    fast = [name for name in BUILDS if name in taken]
    told["fastest"] = min(fast, key=lambda name: statistics.median(taken[name])) if fast else None
    json.dump(told, sys.stdout)


if __name__ == "__main__":
    main()
