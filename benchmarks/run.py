"""Measure every subject and write benchmarks/results/latest.json: medians, spreads, ratios, peak memory.

Times are informational; a slow machine fails nothing. Name words to run a part: ``run.py engine start``; the word
``figures`` runs the engine's figures (against C, threads, growth, start) alone.
"""

from __future__ import annotations

import json
import os
import platform
import resource
import statistics
import sys
import time
from pathlib import Path

from engine_figures import engine_figures
from subjects import RATIOS, SUBJECTS, Subject

RESULTS = Path(__file__).resolve().parent / "results" / "latest.json"
MEBIBYTE = 1024.0 if sys.platform != "darwin" else 1024.0**2


def peak_memory(who: int) -> float:
    """Return the largest memory used so far by this process or by its children. [MB]"""
    return resource.getrusage(who).ru_maxrss / MEBIBYTE


def measured(subject: Subject) -> dict[str, object]:
    """Return the median of several runs after one that warms the caches."""
    if subject.repeats > 1:
        subject.once()
    seconds = []
    for _ in range(subject.repeats):
        began = time.perf_counter()
        subject.once()
        seconds.append(time.perf_counter() - began)
    return {
        "median_seconds": round(statistics.median(seconds), 4),
        "least_seconds": round(min(seconds), 4),
        "most_seconds": round(max(seconds), 4),
        "repeats": subject.repeats,
        "promised_seconds": subject.limit_seconds,
        "peak_memory_mb": round(peak_memory(resource.RUSAGE_SELF)),
        "peak_memory_of_commands_mb": round(peak_memory(resource.RUSAGE_CHILDREN)),
    }


def main() -> None:
    """Measure, print and write."""
    wanted = sys.argv[1:]
    results: dict[str, dict[str, object]] = {}
    for subject in SUBJECTS:
        if wanted and not any(word in subject.name for word in wanted):
            continue
        results[subject.name] = measured(subject)
        told = results[subject.name]
        promised = f", promised {subject.limit_seconds} s" if subject.limit_seconds else ""
        print(f"{subject.name}: {told['median_seconds']} s (median of {subject.repeats}{promised})", flush=True)
    ratios = {}
    for larger, smaller, expected in RATIOS:
        if larger in results and smaller in results:
            ratio = float(str(results[larger]["median_seconds"])) / float(str(results[smaller]["median_seconds"]))
            ratios[f"{larger} / {smaller}"] = {"ratio": round(ratio, 2), "linear": expected}
            print(f"{larger} takes {ratio:.2f} times {smaller}; linear is {expected:g}")
    figures = engine_figures() if not wanted or "figures" in wanted else {}
    document = {
        "python": platform.python_version(),
        "machine": f"{platform.machine()}, {os.cpu_count()} cores",
        "results": results,
        "ratios": ratios,
        **figures,
    }
    if not wanted:
        RESULTS.parent.mkdir(exist_ok=True)
        RESULTS.write_text(json.dumps(document, indent=2) + "\n", encoding="utf-8")
        print(f"Written to {RESULTS.relative_to(Path.cwd()) if RESULTS.is_relative_to(Path.cwd()) else RESULTS}")


if __name__ == "__main__":
    main()
