"""A trial in the terminal: its size, its layout, its verdict."""

from __future__ import annotations

from mullbed.domain.field_check import FieldCheck, ScoredCheck
from mullbed.domain.kept_trial import KeptTrial
from mullbed.domain.trial import MeasureResult, TrialPlan
from mullbed.domain.trial_answers import AnalysedTrial, TrialDesign, TrialSize
from mullbed.reports.ground_words import unit_words
from mullbed.reports.terminal_style import Style, columns, paragraph
from mullbed.reports.trial_words import (
    design_answer,
    design_more,
    honesty,
    percent,
    result_more,
    size_answer,
    size_more,
    verdict_heading,
)
from mullbed.reports.words import EVIDENCE_WORDS, number


def size_text(size: TrialSize, style: Style) -> str:
    """Return what so many pairs can show."""
    lines = [style.bold(line) for line in paragraph(size_answer(size), indent=0)]
    for sentence in size_more(size):
        lines += ["", *paragraph(sentence)]
    return style.finished(lines)


def design_text(design: TrialDesign, style: Style) -> str:
    """Return a drawn layout, block by block in walking order."""
    plan = design.plan
    lines = [style.bold(line) for line in paragraph(design_answer(design), indent=0)]
    lines += [*paragraph(plan.question, indent=0), ""]
    lines += layout_lines(plan)
    lines.append("")
    for sentence in design_more(design):
        lines += paragraph(sentence)
    return style.finished(lines)


def layout_lines(plan: TrialPlan) -> list[str]:
    """Return the plots in walking order, one block a row, then what the codes mean."""
    rows: list[tuple[str, ...]] = []
    for block in sorted({plot.block for plot in plan.plots}):
        inside = [plot for plot in plan.plots if plot.block == block]
        bed = inside[0].bed if len({plot.bed for plot in inside}) == 1 else ""
        cells = "  ".join(f"{plot.code} {plot.treatment}" for plot in inside)
        rows.append((f"{_line_word(plan)} {block}", cells, bed))
    lines = columns(rows)
    lines.append("")
    lines += columns([(one.code, one.name) for one in plan.treatments])
    return lines


def _line_word(plan: TrialPlan) -> str:
    """Return what one line of plots is called."""
    return {"paired strips": "pair", "randomised blocks": "block", "Latin square": "row"}[plan.arrangement.value]


def analysis_text(analysed: AnalysedTrial, style: Style) -> str:
    """Return the verdict, then every measure, then the method."""
    lines = [style.bold(line) for line in paragraph(verdict_heading(analysed), indent=0)]
    for sentence in honesty(analysed):
        lines += paragraph(sentence, indent=0)
    for result in analysed.result.results:
        lines += ["", *_measure_lines(analysed, result, style)]
    return style.finished(lines)


def _measure_lines(analysed: AnalysedTrial, result: MeasureResult, style: Style) -> list[str]:
    """Return one measure: means, contrast, sentences, numbers for a statistician."""
    rank = "decides" if result.primary else "looked at second"
    unit = f" [{unit_words(result.measure.unit)}]" if unit_words(result.measure.unit) else ""
    lines = [style.bold(f"{result.measure.key}{unit}, {rank}: {result.verdict.value}")]
    means: list[tuple[str, ...]] = []
    names = {one.code: one.name for one in analysed.result.plan.treatments}
    first = result.contrasts[0]
    means.append((first.control, names[first.control], number(first.control_mean)))
    means += [(one.treatment, names[one.treatment], number(one.treatment_mean)) for one in result.contrasts]
    lines += columns(means, right=frozenset({2}))
    for sentence in result_more(analysed, result):
        lines += paragraph(sentence)
    for one in result.contrasts:
        told = f"{one.treatment} - {one.control}: t {one.statistic:.2f}, {one.degrees:.0f} df, p {one.chance:.3g}"
        if one.corrected_chance is not None:
            told += f", corrected {one.corrected_chance:.3g}"
        if one.permutation_chance is not None and one.permutation_floor is not None:
            told += f"; by turned signs {one.permutation_chance:.3g} (floor {one.permutation_floor:.3g})"
        lines += [style.quiet(line) for line in paragraph(told + ".")]
    if result.overall_chance is not None:
        lines += [style.quiet(line) for line in paragraph(f"All treatments at once: p {result.overall_chance:.3g}.")]
    if result.least_significant is not None and len(result.contrasts) > 1:
        lines += paragraph(f"Least significant difference {result.least_significant:.3g} {result.measure.unit}.")
    lines += [style.quiet(line) for line in paragraph(result.method)]
    return lines


def trials_text(trials: tuple[KeptTrial, ...], style: Style) -> str:
    """Return every kept trial with how far it is."""
    if not trials:
        return style.finished(["No trial is kept yet. Plan one: mullbed trial keep trial.toml"])
    rows: list[tuple[str, ...]] = [("trial", "locked", "plots", "readings")]
    for one in trials:
        plan = one.design.plan
        locked = plan.locked_on.isoformat() if plan.locked_on else "no"
        rows.append((plan.name, locked, f"{len(plan.plots)}", f"{len(one.readings)}"))
    return style.finished(columns(rows, indent=0))


def checks_text(checks: tuple[FieldCheck, ...], style: Style) -> str:
    """Return every field check with its unit and how far plots treated alike differ."""
    lines = [style.bold("Field checks")]
    rows: list[tuple[str, ...]] = [("check", "unit", "plots alike differ by", "what it is")]
    for check in checks:
        spread = f"{percent(check.variation_low)} to {percent(check.variation_high)}"
        rows.append((check.key, unit_words(check.unit), spread, f"{check.name}; {check.repeats}"))
    lines += columns(rows)
    lines += paragraph("The differences between plots are from memory: your own repeats are better.")
    return style.finished(lines)


def scored_text(scored: ScoredCheck, style: Style) -> str:
    """Return one scored check: the number, its range, its class, what spoils it."""
    check = scored.check
    lines = [
        style.bold(f"{check.name}: {number(scored.value)} {unit_words(check.unit)}".rstrip())
        + f" ({number(scored.low)} to {number(scored.high)}, 8 in 10)"
    ]
    if scored.classes:
        words = " or ".join(one.word for one in scored.classes)
        lines += paragraph(f"{words[:1].upper()}{words[1:]} ({EVIDENCE_WORDS[check.classes_evidence]}).")
    if scored.repeats < 3:
        lines += paragraph(f"From {scored.repeats}; read {check.repeats} for a range of your own.")
    lines += paragraph(f"Spoiled by: {'; '.join(check.spoils)}.")
    if check.note:
        lines += paragraph(check.note)
    return style.finished(lines)
