"""The file of a trial: TOML as the grower writes it, JSON once plots are drawn and sealed."""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any

from mullbed.domain.field_check import FieldCheck
from mullbed.domain.trial import Arrangement, Deviation, Fairness, Measure, Plot, Scale, Treatment, TrialPlan, Way
from mullbed.errors import Fault, InputFault
from mullbed.files.plain_text import read_plain_text
from mullbed.files.reading import Table
from mullbed.files.toml_root import toml_root

FORMAT = "mullbed-trial-1"


def read_trial(path: Path, checks: dict[str, FieldCheck]) -> tuple[TrialPlan, tuple[Deviation, ...]]:
    """Return the plan of a TOML file, or the drawn plan of a JSON file with what was done otherwise since.

    Raises
    ------
    InputFault
        With every fault of the file.
    """
    text = read_plain_text(path, "a trial file (TOML or JSON)")
    if path.suffix.casefold() == ".json":
        return trial_from_text(text, str(path))
    return _from_toml(text, str(path), checks), ()


def _from_toml(text: str, place: str, checks: dict[str, FieldCheck]) -> TrialPlan:
    """Return the plan a grower wrote."""
    root = toml_root(text, place)
    reading = root.reading
    name = root.text("name", required='Write name = "..." for the trial.')
    question = root.text("question", required='Write question = "Do layers ...?"')
    arrangement = root.word("arrangement", Arrangement) or Arrangement.PAIRS
    fairness = root.word("fairness", Fairness)
    if fairness is None and not root.has("fairness"):
        root.missing("fairness", " | ".join(Fairness), "Say what the ways have in common.")
    treatments = tuple(one for table in root.tables("treatments") if (one := _treatment(table)) is not None)
    control = root.text("control", required="Give the code of the treatment the others meet.")
    blocks = root.whole("blocks", 2, 200, "pairs or blocks")
    if blocks is None and not root.has("blocks"):
        root.missing("blocks", "2 to 200", "Ask mullbed trial power how many pairs would show something.")
    measures = tuple(kept for table in root.tables("measures") if (kept := _measure(table, checks)) is not None)
    alpha = root.number("alpha", 0.001, 0.499, "")
    correlation = root.number("correlation", 0.0, 0.99, "")
    worthwhile = root.number("worthwhile", 0.001, 5.0, "of the control", required="Smallest difference worth having.")
    seed = root.whole("seed", 0, 2**32 - 1, "")
    seasons = root.whole("seasons", 1, 20, "")
    beds = tuple(str(bed) for bed in root.raw("beds") or ())
    root.no_others()
    reading.raise_faults()
    if name is None or question is None or fairness is None or control is None or blocks is None or worthwhile is None:
        raise InputFault(reading.faults)
    return TrialPlan(
        name=name,
        question=question,
        treatments=treatments,
        control=control,
        arrangement=arrangement,
        fairness=fairness,
        blocks=blocks,
        measures=measures,
        alpha=0.05 if alpha is None else alpha,
        correlation=0.3 if correlation is None else correlation,
        worthwhile=worthwhile,
        seed=1 if seed is None else seed,
        plots=(),
        beds=beds,
        seasons=1 if seasons is None else seasons,
    )


def _treatment(table: Table) -> Treatment | None:
    """Return one treatment."""
    code = table.text("code", required='Write code = "A".')
    way = table.word("way", Way)
    words = table.text("words") or ""
    if way is None and not table.has("way"):
        table.missing("way", " | ".join(Way), "Say how these plots are treated.")
    table.no_others()
    return Treatment(code, way, words) if code and way else None


def _measure(table: Table, checks: dict[str, FieldCheck]) -> Measure | None:
    """Return one measure; a known field check brings unit, scale and variation."""
    key = table.text("key", required='Write key = "harvest".')
    known = checks.get(key or "")
    unit = table.text("unit") or (known.unit if known else None)
    scale = table.word("scale", Scale) or (known.scale if known else None)
    variation = table.number("variation", 0.001, 2.99, "of the mean")
    stays = known.ground_stays if known else True
    if table.has("ground_stays"):
        stays = table.flag("ground_stays")
    if key and known is None and (unit is None or scale is None or variation is None):
        allowed = f"one of {', '.join(checks)}, or unit, scale and variation of its own"
        table.fault("key", f"'{key}'", allowed, "Give unit, scale and variation beside it.")
    table.no_others()
    if key is None or unit is None or scale is None:
        return None
    if variation is not None:
        return Measure(key, unit, scale, variation, "own repeats", stays)
    return Measure(key, unit, scale, known.variation, "from memory", stays) if known else None


def trial_text(plan: TrialPlan, deviations: tuple[Deviation, ...] = ()) -> str:
    """Return a drawn plan as JSON text that reads back the same."""
    content = {"format": FORMAT, "plan": asdict(plan), "deviations": [asdict(one) for one in deviations]}
    return json.dumps(content, ensure_ascii=False, indent=2, default=str) + "\n"


def trial_from_text(text: str, place: str) -> tuple[TrialPlan, tuple[Deviation, ...]]:
    """Return a drawn plan and what was done otherwise, from JSON text; raises InputFault where it is none."""
    try:
        content = json.loads(text)
        if content["format"] != FORMAT:
            raise ValueError(f"format {content['format']!r}")
        plan: dict[str, Any] = content["plan"]
        read = TrialPlan(
            **{
                **plan,
                "treatments": tuple(Treatment(**{**one, "way": Way(one["way"])}) for one in plan["treatments"]),
                "arrangement": Arrangement(plan["arrangement"]),
                "fairness": Fairness(plan["fairness"]),
                "measures": tuple(Measure(**{**one, "scale": Scale(one["scale"])}) for one in plan["measures"]),
                "plots": tuple(Plot(**one) for one in plan["plots"]),
                "beds": tuple(plan["beds"]),
                "locked_on": date.fromisoformat(plan["locked_on"]) if plan["locked_on"] else None,
            }
        )
        deviations = tuple(
            Deviation(date.fromisoformat(one["day"]) if one["day"] else None, one["what"], one["why"])
            for one in content["deviations"]
        )
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        told = " ".join(str(error).split())[:80] or type(error).__name__
        fault = Fault(place, told, f"a file that mullbed trial lay-out wrote ({FORMAT})", "Draw the layout again.")
        raise InputFault([fault]) from error
    return read, deviations
