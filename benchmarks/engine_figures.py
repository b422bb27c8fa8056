"""The engine's own figures, each ``{value, unit, low, high, how}``: against C, per bed-day, threads, growth, start.

Ratios are taken between runs turn about in one process; where other programs may be at work, processor time is
used and said so. Low and high are the smallest and largest of the rounds.
"""

from __future__ import annotations

import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
Figure = dict[str, object]
THOUSAND, MILLION = 16, 15_625  # beds of 64 members
FIRST = """
import sys
sys.path.insert(0, sys.argv[1])
from typical_bed import typical_bed
from mullbed.simulate.ensemble import draw_members
from mullbed.simulate.run import run_packed
case, packed = typical_bed()
run_packed(packed, draw_members(case, 64, 1), keep=("thickness",))
"""


def figure(values: Sequence[float], unit: str, how: str, digits: int = 4) -> Figure:
    """Return the median of rounds with the smallest and the largest."""
    told = [round(one, digits) for one in (statistics.median(values), min(values), max(values))]
    return {"value": told[0], "unit": unit, "low": told[1], "high": told[2], "how": how}


def script(name: str, *words: str, **surroundings: str) -> Any:
    """Run a script of this folder in a process of its own and return what it told."""
    done = subprocess.run(
        [sys.executable, str(HERE / name), *words],
        env={**os.environ, **surroundings},
        capture_output=True,
        text=True,
        check=True,
    )
    return json.loads(done.stdout)


def widest_vectors() -> dict[str, str]:
    """Return the surroundings that let numba use 512-bit vectors where it holds them back; empty where it does not."""
    import llvmlite.binding as llvm

    features = llvm.get_host_cpu_features()
    if not features.get("avx512f") or not features.get("prefer-256-bit"):
        return {}
    features["prefer-256-bit"] = False
    return {"NUMBA_CPU_NAME": llvm.get_host_cpu_name(), "NUMBA_CPU_FEATURES": features.flatten()}


def against_c() -> dict[str, Figure]:
    """Compare the day loop with its twin in C, at numba's own vector width and at the widest."""
    usual = script("kernel_pairs.py")
    wider = widest_vectors()
    found: dict[str, Figure] = {}
    ours = usual["seconds"]["ours"]
    how = "typical bed (4 sublayers, 8 cohorts, 200 days, books kept, 8 outputs a day), 512 members, one thread"
    found["bed_days_per_second"] = figure([usual["bed_days"] / one for one in ours], "1/s", f"{how}, processor time", 0)
    found["microseconds_per_bed_day"] = figure(
        [1e6 * one / usual["bed_days"] for one in ours], "us", f"{how}, processor time"
    )
    found["worst_balance"] = figure([usual["worst_balance"]], "1", f"{how}: largest relative error", 18)
    if usual["fastest"] is None:
        return found
    told = script("kernel_pairs.py", **wider) if wider else usual
    words = "rounds turn about in one process, processor time; the twin in C of the same equations, fastest build here:"
    for key, one in (("kernel_vs_c_default", usual), ("kernel_vs_c", told)):
        theirs, mine = one["seconds"][one["fastest"]], one["seconds"]["ours"]
        width = "512-bit vectors allowed" if one is told and wider else "processor features untouched"
        if one is told and not wider:
            width += " (numba uses the widest vectors of this processor unasked)"
        found[key] = figure(
            [c / m for c, m in zip(theirs, mine, strict=True)],
            "1",
            f"{how}; {words} {one['fastest']}, gcc -O3 -march=native -ffast-math; {width}",
        )
    pairs = zip(usual["seconds"]["scalar"], usual["seconds"][usual["fastest"]], strict=True)
    found["c_vs_its_scalar"] = figure(
        [slow / fast for slow, fast in pairs],
        "1",
        "the fast build of the twin against its own -O2 build without vectors",
    )
    found["twin_difference"] = figure(
        [usual["largest_difference"]],
        "1",
        "largest difference of a ledger from the twin's, per largest of its column",
        18,
    )
    return found


def threads() -> dict[str, Figure]:
    """Compare one thread with two, turn about."""
    from typical_bed import typical_bed

    from mullbed.simulate.ensemble import draw_members
    from mullbed.simulate.run import run_packed

    case, packed = typical_bed()
    members = draw_members(case, 2048, 1)

    def wall(count: int) -> float:
        began = time.perf_counter()
        run_packed(packed, members, every=200, threads=count, keep=("thickness",))
        return time.perf_counter() - began

    wall(2)
    pairs = [(wall(1), wall(2)) for _ in range(150)]
    ratios = [one / two for one, two in pairs]
    value = min(one for one, _ in pairs) / min(two for _, two in pairs)
    how = (
        "2,048 members, wall time, 150 pairs turn about: least of one thread over least of two, because other programs "
        f"can only add; low is the median pair, high the largest; load of the machine {os.getloadavg()[0]:.1f}"
    )
    return {
        "threads_2_vs_1": {
            "value": round(value, 3),
            "unit": "1",
            "low": round(statistics.median(ratios), 3),
            "high": round(max(ratios), 3),
            "how": how,
        }
    }


def growth() -> dict[str, Figure]:
    """Run a thousand and a million member-seasons of 200 days."""
    told = script("many_beds.py", str(THOUSAND), str(MILLION))
    large = told["large"]
    per = large["processor"] / large["member_seasons"]
    ratios = [per / (one["processor"] / one["member_seasons"]) for one in told["small"]]
    how = "beds of 64 members drawn anew, 200 days, mean and 10th and 90th percentile of 8 outputs kept, 2 threads"
    million = large["wall"] * 1e6 / large["member_seasons"]
    quiet = 1e6 * per / 2.0
    return {
        "growth_1e6_vs_1e3": figure(
            ratios,
            "1",
            f"{how}: processor time per member-season at 1,000,000 over that at 1,024, run 50 times before and after",
        ),
        "million_member_seasons_seconds": {
            "value": round(million, 1),
            "unit": "s",
            "low": round(quiet, 1),
            "high": round(million, 1),
            "how": f"{how}; low is processor time over two cores, what an idle machine would take",
        },
        "memory_growth_mb": figure(
            [large["peak_mb"] - told["peak_before_mb"]],
            "MB",
            f"{how}: peak memory of the process, from 1,024 to 1,000,000",
            1,
        ),
    }


def reforecast() -> dict[str, Figure]:
    """Run 1,024 members again, weigh them by an observation, draw them anew, take quantiles."""
    import numpy as np
    from typical_bed import typical_bed

    from mullbed.simulate.ensemble import draw_members
    from mullbed.simulate.run import run_packed

    case, packed = typical_bed()
    members = draw_members(case, 1024, 1)
    chance = np.random.default_rng(1)

    def once() -> None:
        daily = run_packed(packed, members, keep=("thickness", "soil_side_nitrogen", "ammonia_lost")).daily
        weights = np.exp(-0.5 * ((daily["thickness"][:, 60] - 0.05) / 0.01) ** 2) + 1e-12
        weights /= weights.sum()
        places = np.searchsorted(np.cumsum(weights), (np.arange(1024) + chance.random()) / 1024.0)
        chosen = np.minimum(places, 1023)
        for values in daily.values():
            np.sort(values[chosen], axis=0)[[102, 512, 921]]

    def timed(clock: Callable[[], float]) -> float:
        began = clock()
        once()
        return 1000.0 * (clock() - began)

    once()
    taken = sorted(timed(time.process_time) for _ in range(40))
    walls = sorted(timed(time.perf_counter) for _ in range(40))
    how = "season of 200 days run again, weights, resampling, daily quantiles of 3 outputs, one thread; 40 times"
    return {
        "reforecast_1024_p95_ms": {
            "value": round(taken[37], 1),
            "unit": "ms",
            "low": round(taken[0], 1),
            "high": round(walls[37], 1),
            "how": f"{how}: 95th percentile of processor time; low is the least, high that percentile on the wall",
        }
    }


def starts() -> dict[str, Figure]:
    """Run a whole first simulation in a fresh process, with an empty cache and with a full one."""
    with tempfile.TemporaryDirectory() as folder:
        surroundings = {**os.environ, "XDG_CACHE_HOME": folder, "PYTHONPYCACHEPREFIX": f"{folder}/bytecode"}
        surroundings.pop("PYTHONDONTWRITEBYTECODE", None)

        def once() -> tuple[float, float]:
            before = resource.getrusage(resource.RUSAGE_CHILDREN)
            began = time.perf_counter()
            subprocess.run([sys.executable, "-c", FIRST, str(HERE)], env=surroundings, check=True)
            wall = time.perf_counter() - began
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            return wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime

        compiled, used = once()
        rounds = [once() for _ in range(7)]
    how = "whole process: garden read, weather, 64 members of a typical bed run"
    return {
        "compile_seconds": {
            "value": round(used, 2),
            "unit": "s",
            "low": round(used, 2),
            "high": round(compiled, 2),
            "how": f"{how}, empty cache and no bytecode: processor time; high is on the wall of the machine as it was",
        },
        "first_simulation_seconds": {
            "value": round(statistics.median(one for _, one in rounds), 2),
            "unit": "s",
            "low": round(min(one for _, one in rounds), 2),
            "high": round(statistics.median(wall for wall, _ in rounds), 2),
            "how": f"{how}, loop cached: median processor time of 7; high is the median on the wall",
        },
    }


FIGURES = (against_c, threads, reforecast, starts, growth)


def engine_figures() -> dict[str, Figure]:
    """Measure everything and print each figure as it comes."""
    found: dict[str, Figure] = {}
    for measure in FIGURES:
        for key, told in measure().items():
            found[key] = told
            print(f"{key}: {told['value']} {told['unit']} ({told['low']} to {told['high']})", flush=True)
    return found
