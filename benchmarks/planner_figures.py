"""How quickly plans of 12, 100 and 1,000 beds are proven, beside one model of the whole given to the solver alone.

Outcomes are ready before the clock starts; making them is told as ``plan_N_outcome_seconds``. Memory is the largest of
the process so far: sizes are run from small to large. Run alone: ``python benchmarks/planner_figures.py``.
"""

from __future__ import annotations

import json
import resource
import sys
import time
from pathlib import Path

from plan_instances import Instance, instance

RESULTS = Path(__file__).resolve().parent / "results" / "latest.json"
GAP, SCARCE_GAP, SCARCE = 0.01, 0.03, 0.2
#: Beds of the problems, and up to how many the whole is also given to the solver as one model, and its seconds.
SIZES, ONE_MODEL_BEDS, ONE_MODEL_SECONDS = (12, 100, 1000), 100, 60.0
#: Beds of the garden in which one bed is planned anew.
AGAIN_BEDS = 12


def in_rounds(problem: Instance, gap: float) -> dict[str, float]:
    """Return gap, seconds and rounds of a plan made in rounds of pricing."""
    from mullbed.plan.choose import solved
    from mullbed.plan.solve import Effort

    began = time.perf_counter()
    _, solution = solved(problem.terms, problem.offers, Effort(gap=gap))
    return {"gap": round(solution.gap, 4), "seconds": round(time.perf_counter() - began, 1)}


def one_bed_again(problem: Instance, gap: float) -> dict[str, float]:
    """Return gap and seconds of planning one bed anew while all others keep their layers."""
    from mullbed.plan.choose import solved
    from mullbed.plan.solve import Effort

    chosen, _ = solved(problem.terms, problem.offers, Effort(gap=0.05))
    kept = dict(enumerate(chosen))
    del kept[len(kept) // 2]
    began = time.perf_counter()
    _, solution = solved(problem.terms, problem.offers, Effort(gap=gap), kept=kept)
    return {"gap": round(solution.gap, 4), "seconds": round(time.perf_counter() - began, 1)}


def as_one_model(problem: Instance, gap: float) -> dict[str, float]:
    """Return gap and seconds of the same problem as one model; a gap of 1 stands for no plan at all."""
    from mullbed.plan.choice_model import built
    from mullbed.plan.solve import Effort, SolverFailed, minimised

    began = time.perf_counter()
    choice = built(problem.terms, problem.offers)
    try:
        solution = minimised(choice.model, Effort(gap=gap, nodes=10**9, seconds=ONE_MODEL_SECONDS))
        reached = solution.gap if solution is not None else 1.0
    except SolverFailed:
        reached = 1.0
    return {"gap": round(reached, 4), "seconds": round(time.perf_counter() - began, 1)}


def planner_figures(sizes: tuple[int, ...] = SIZES) -> dict[str, float]:
    """Return the planner's figures by name."""
    in_rounds(instance(3), GAP)  # compiles the search
    found: dict[str, float] = {}
    for beds in sizes:
        problem = instance(beds)
        told = in_rounds(problem, GAP)
        scarce = in_rounds(instance(beds, SCARCE), SCARCE_GAP)
        found |= {
            f"plan_{beds}_gap": told["gap"],
            f"plan_{beds}_seconds": told["seconds"],
            f"plan_{beds}_outcome_seconds": round(problem.outcome_seconds, 1),
            f"plan_{beds}_kinds": problem.kinds,
            f"plan_{beds}_scarce_gap": scarce["gap"],
            f"plan_{beds}_scarce_seconds": scarce["seconds"],
            f"plan_{beds}_peak_memory_mb": round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0),
        }
        if beds == AGAIN_BEDS:
            again = one_bed_again(problem, GAP)
            found |= {f"plan_{beds}_one_again_gap": again["gap"], f"plan_{beds}_one_again_seconds": again["seconds"]}
        if beds <= ONE_MODEL_BEDS:
            alone = as_one_model(problem, GAP)
            found |= {f"plan_{beds}_one_model_gap": alone["gap"], f"plan_{beds}_one_model_seconds": alone["seconds"]}
        print({name: value for name, value in found.items() if name.startswith(f"plan_{beds}_")}, flush=True)
    return found


if __name__ == "__main__":
    figures = planner_figures(tuple(int(word) for word in sys.argv[1:]) or SIZES)
    document = json.loads(RESULTS.read_text(encoding="utf-8"))
    document |= figures
    RESULTS.write_text(json.dumps(document, indent=2) + "\n", encoding="utf-8")
