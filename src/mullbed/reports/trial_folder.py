"""What a drawn trial is written as: the plan, a table for readings, plot labels and field sheets."""

from __future__ import annotations

import csv
import json
from collections.abc import Sequence
from datetime import date
from importlib import resources
from io import StringIO
from pathlib import Path

from mullbed.domain.bed import Bed
from mullbed.domain.garden import UnitSystem
from mullbed.domain.trial import Plot, Reading, TrialPlan
from mullbed.domain.trial_answers import TrialDesign
from mullbed.errors import Fault, InputFault
from mullbed.reports import pigments
from mullbed.reports.ground_words import unit_words
from mullbed.reports.pdf import square_code, typeset
from mullbed.reports.plan_folder import write_folder
from mullbed.reports.trial_map import trial_map_svg
from mullbed.reports.trial_picture import layout_words, strips_svg
from mullbed.reports.trial_words import fairness_words, ways_explained
from mullbed.reports.words import day_words

_FORMULA = ('"', "=", "+", "-", "@", "\t", "\r")
LINES = {"paired strips": "pair", "randomised blocks": "block", "Latin square": "row"}


def write_trial_folder(folder: Path, design: TrialDesign, *, plan_text: str, made_on: date) -> tuple[Path, ...]:
    """Write trial.json, plots.csv and sheets.pdf, whole or not at all; raises InputFault where it can't."""
    return write_folder(
        folder,
        {"trial.json": plan_text, "plots.csv": plots_csv(design.plan), "sheets.pdf": sheets_pdf(design, made_on)},
    )


def write_page(path: Path, page: str | bytes) -> None:
    """Write one page of HTML or a print; raises InputFault where it can't."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(page.encode("utf-8") if isinstance(page, str) else page)
    except OSError as error:
        fault = Fault(str(path), error.strerror or "not writable", "a file that can be written", "Choose another.")
        raise InputFault([fault]) from error


def plots_csv(plan: TrialPlan) -> str:
    """Return an empty table of readings: every plot and measure, blind, in walking order."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(["plot", "measure", "unit", "season", "value", "day", "operator", "note"])
    for measure in plan.measures:
        for plot in plan.plots:
            writer.writerow([plot.code, measure.key, measure.unit, "", "", "", "", ""])
    return out.getvalue()


def readings_csv(plan: TrialPlan, readings: Sequence[Reading]) -> str:
    """Return every reading as it was made, with the way of its plot; what a spreadsheet would run stands in quotes."""
    plots = {plot.code: plot for plot in plan.plots}
    units = {one.key: one.unit for one in plan.measures}
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    heads = ("plot", "block", "place", "treatment", "measure", "unit", "season", "day", "value", "operator", "note")
    writer.writerow(heads)
    for one in readings:
        plot = plots.get(one.plot)
        lies = (plot.block, plot.position, plot.treatment) if plot is not None else ("", "", "")
        value = "lost" if one.value is None else f"{one.value:.10g}"
        day = one.day.isoformat() if one.day is not None else ""
        season, operator, note = (_harmless(text) for text in (one.season, one.operator, one.note))
        row = [one.plot, *lies, one.measure, units.get(one.measure, ""), season, day, value, operator, note]
        writer.writerow(row)
    return out.getvalue()


def _harmless(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula."""
    return json.dumps(text, ensure_ascii=False) if text.startswith(_FORMULA) else text


def sheets_pdf(
    design: TrialDesign, made_on: date, *, beds: Sequence[Bed] = (), units: UnitSystem = UnitSystem.METRIC
) -> bytes:
    """Return a sheet for whoever lays, field sheets for whoever reads, and plot labels as PDF."""
    return typeset(_source(), sheet_book(design, made_on, beds=beds, units=units), made_on)


def sheet_book(
    design: TrialDesign, made_on: date, *, beds: Sequence[Bed] = (), units: UnitSystem = UnitSystem.METRIC
) -> dict[str, object]:
    """Return the words of field sheets and labels.

    The first sheet names the ways and is for whoever lays; all others are blind.
    """
    plan = design.plan
    names = {one.code: one.name for one in plan.treatments}
    checks = {check.key: check for check in design.checks}
    sheets = []
    for measure in plan.measures:
        check = checks.get(measure.key)
        sheets.append(
            {
                "title": f"{check.name if check else measure.key.capitalize()}",
                "below": f"{plan.name}. Printed {day_words(made_on, year=True)}. Whoever reads needn't know the ways.",
                "steps": list(check.steps) if check else [f"Read {measure.key} on every plot the same way."],
                "spoils": "; ".join(check.spoils) + "." if check else "",
                "columns": [_column(reading, measure.unit) for reading in ("1", "2", "3")],
                "rows": [{"plot": plot.code, "place": _place(plan, plot)} for plot in plan.plots],
                "foot": f"How many: {check.repeats}." if check else "Several readings of a plot are averaged.",
            }
        )
    labels = [
        {
            "code": plot.code,
            "way": names[plot.treatment],
            "place": _place(plan, plot),
            "address": f"mullbed:plot:{plot.code}",
            "code_picture": square_code(f"mullbed:plot:{plan.seal[:8] or plan.seed}:{plot.code}"),
        }
        for plot in plan.plots
    ]
    blind = [{**label, "way": ""} for label in labels]
    return {
        "title": f"Trial: {plan.name}",
        "fonts": list(pigments.PRINT_FONTS),
        "plan": {
            "title": f"{plan.name}: for whoever lays",
            "below": f"{plan.question} Printed {day_words(made_on, year=True)}. Don't show it to whoever reads.",
            "ways": ways_explained(plan),
            "fair": f"Fair means here: {plan.fairness.value}. {fairness_words(plan.fairness)}",
            "guard": "Between plots leave half a step that gets what its plot gets and is never read.",
            "map": _picture(trial_map_svg(plan, beds, units) or strips_svg(plan)),
            "words": layout_words(plan),
            "locked": f"Locked on {day_words(plan.locked_on, year=True)}, seal {plan.seal[:12]}."
            if plan.locked_on
            else "Not locked yet: lock it before the first reading.",
        },
        "map": _picture(trial_map_svg(plan, beds, units, blind=True) or strips_svg(plan, blind=True)),
        "map_words": layout_words(plan, blind=True),
        "sheets": sheets,
        "labels": [*labels, *blind],
    }


def _column(reading: str, unit: str) -> str:
    return f"{reading} [{unit_words(unit)}]" if unit_words(unit) else reading


def _picture(svg: str) -> str:
    """Return a picture as the print reads it."""
    return svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)


def _place(plan: TrialPlan, plot: Plot) -> str:
    """Return where a plot lies."""
    side = "side" if plan.arrangement.value == "paired strips" else "place"
    place = f"{LINES[plan.arrangement.value]} {plot.block}, {side} {plot.position}"
    return f"{plot.bed}, {place}" if plot.bed else place


def _source() -> bytes:
    return resources.files("mullbed.reports").joinpath("trial_sheets.typ").read_bytes()
