"""One garden's trial to be joined with others: what was compared and read, without names, places, beds or remarks."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from mullbed.domain.kept_trial import WorkOnBed
from mullbed.domain.trial import Fairness, Measure, Scale, Treatment, Way
from mullbed.domain.trial_answers import AnalysedTrial
from mullbed.errors import Fault, InputFault
from mullbed.files.plain_text import read_plain_text

FORMAT = "mullbed-trial-block-1"


@dataclass(frozen=True, slots=True)
class SharedBlock:
    """One garden as one block."""

    question: str
    treatments: tuple[Treatment, ...]
    control: str
    fairness: Fairness
    measures: tuple[Measure, ...]
    alpha: float
    worthwhile: float
    values: tuple[tuple[str, str, str, float], ...]
    """Measure, season, treatment and the mean of the garden's plots. [unit]"""
    pairs: int
    """Pairs or blocks the means rest on."""
    locked: bool
    seal_held: bool
    changed: int
    """How many deviations were written down."""
    hours: float | None
    harvested: float | None
    """[kg]"""
    area: float | None
    """Of the beds the trial lies on. [m2]"""


def shared_text(analysed: AnalysedTrial, work: Sequence[WorkOnBed] = ()) -> str:
    """Return an analysed trial as the text of its file: means by way and season, nobody's name, no place, no day."""
    plan = analysed.result.plan
    treatment = {plot.code: plot.treatment for plot in plan.plots}
    values = []
    for result in analysed.result.results:
        sums: dict[tuple[str, str], list[float]] = {}
        for code, season, value in result.plot_values:
            sums.setdefault((season, treatment[code]), []).append(value)
        values += [
            {
                "measure": result.measure.key,
                "season": season,
                "treatment": code,
                "mean": _mean(inside, result.measure.scale),
                "plots": len(inside),
            }
            for (season, code), inside in sums.items()
        ]
    content: dict[str, Any] = {
        "format": FORMAT,
        "question": plan.question,
        "treatments": [{"code": one.code, "way": one.way.value} for one in plan.treatments],
        "control": plan.control,
        "fairness": plan.fairness.value,
        "measures": [
            {"key": one.key, "unit": one.unit, "scale": one.scale.value, "variation": one.variation}
            for one in plan.measures
        ],
        "alpha": plan.alpha,
        "worthwhile": plan.worthwhile,
        "blocks": len({plot.block for plot in plan.plots}),
        "values": values,
        "locked": analysed.locked,
        "seal_held": analysed.seal_holds,
        "changed": len(analysed.result.deviations) + len(analysed.seen),
        "hours": math.fsum(one.hours for one in work) if work else None,
        "kilograms": math.fsum(one.harvested for one in work) if work else None,
        "square_metres": math.fsum(one.area for one in work if one.area) or None if work else None,
    }
    return json.dumps(content, ensure_ascii=False, indent=2) + "\n"


def read_shared(path: Path) -> SharedBlock:
    """Return one garden's file; raises InputFault where it is none."""
    try:
        plain: Any = json.loads(read_plain_text(path, "a garden's trial (JSON)"))
        if plain["format"] != FORMAT:
            raise ValueError(f"format {plain['format']!r}")
        values = tuple(
            (str(one["measure"]), str(one["season"]), str(one["treatment"]), _finite(one["mean"]))
            for one in plain["values"]
        )
        return SharedBlock(
            str(plain["question"])[:300],
            tuple(Treatment(str(one["code"]), Way(one["way"])) for one in plain["treatments"]),
            str(plain["control"]),
            Fairness(plain["fairness"]),
            tuple(
                Measure(str(one["key"]), str(one["unit"]), Scale(one["scale"]), _finite(one["variation"]), "gardens")
                for one in plain["measures"]
            ),
            _finite(plain["alpha"]),
            _finite(plain["worthwhile"]),
            values,
            int(plain["blocks"]),
            plain["locked"] is True,
            plain["seal_held"] is True,
            int(plain["changed"]),
            *(
                None if plain[name] is None else _finite(plain[name])
                for name in ("hours", "kilograms", "square_metres")
            ),
        )
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        told = " ".join(str(error).split())[:80] or type(error).__name__
        fault = Fault(str(path), told, f"a file of mullbed trial pass-on ({FORMAT})", "Ask for it again.")
        raise InputFault([fault]) from error


def _mean(values: Sequence[float], scale: Scale) -> float:
    """Return the mean of plots; the geometric one where plots are compared by ratios."""
    if scale is Scale.LOG and min(values) > 0.0:
        return math.exp(math.fsum(math.log(one) for one in values) / len(values))
    return math.fsum(values) / len(values)


def _finite(value: Any) -> float:
    number = float(value)
    if not math.isfinite(number):
        raise ValueError("a number that is none")
    return number
