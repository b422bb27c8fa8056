"""The report of a trial as parts of a sheet: verdict, charts, data behind, layout, fairness, changes, method."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from mullbed.domain.bed import Bed
from mullbed.domain.garden import UnitSystem
from mullbed.domain.kept_trial import WorkOnBed
from mullbed.domain.trial import MeasureResult
from mullbed.domain.trial_answers import AnalysedTrial
from mullbed.language import say
from mullbed.reports.ground_words import unit_words
from mullbed.reports.sheet import Grid, Part, Picture, Sheet, SheetPart, Words
from mullbed.reports.trial_map import trial_map_svg
from mullbed.reports.trial_page import chances_words, difference_words, interval_chart
from mullbed.reports.trial_pairs import pairs_chart, pairs_legend, pairs_sentence, raw_rows
from mullbed.reports.trial_words import (
    contrast_words,
    fairness_words,
    honesty,
    result_more,
    verdict_heading,
    ways_explained,
)
from mullbed.reports.words import capital, day_words, number


def trial_sheet(
    analysed: AnalysedTrial,
    made_on: date,
    *,
    beds: Sequence[Bed] = (),
    units: UnitSystem = UnitSystem.METRIC,
    work: Sequence[WorkOnBed] = (),
) -> Sheet:
    """Return the whole report; with beds their map, with work a table of hours and kilograms."""
    plan = analysed.result.plan
    parts: list[SheetPart] = [Words(plan.question), *(Words(one) for one in honesty(analysed))]
    for result in analysed.result.results:
        parts += _measure(analysed, result)
    if work:
        parts += work_parts(work)
    names = {one.code: one.name for one in plan.treatments}
    rows = tuple((one.code, f"{one.block}", f"{one.position}", names[one.treatment], one.bed) for one in plan.plots)
    parts.append(Part(say("Where each way lay")))
    drawn = trial_map_svg(plan, beds, units) if beds else ""
    if drawn:
        parts.append(Picture(drawn, say("Drawn by lot, so that nobody's favourite bed got the favourite way.")))
    parts += [Words(one) for one in ways_explained(plan)]
    heads = (say("Plot"), say("Block"), say("Place"), say("Way"), say("Bed"))
    parts.append(Grid(say("All plots"), heads, rows))
    parts.append(Part(say("How it was worked out")))
    fair = say("Fair means here: {what}.", what=say(plan.fairness.value))
    parts.append(Words(f"{fair} {fairness_words(plan.fairness)}"))
    parts += [Words(f"{capital(_name(one))}: {one.method}") for one in analysed.result.results]
    parts.append(Words(say("Beliefs start from no difference, give or take half the control.")))
    if plan.seal:
        parts.append(Words(say("Seal of the locked plan: {seal}", seal=plan.seal[:16]), quiet=True))
    return Sheet(plan.name, (plan.name, day_words(made_on, year=True)), verdict_heading(analysed), tuple(parts))


def _measure(analysed: AnalysedTrial, result: MeasureResult) -> list[SheetPart]:
    """Return one measure: its interval, its pairs, sentences, tables."""
    plan = analysed.result.plan
    parts: list[SheetPart] = [Part(f"{capital(_name(result))}: {say(result.verdict.value)}")]
    chart, closing, _ = interval_chart(plan, result).partition("</svg>")
    if closing:
        sentence = " ".join(capital(contrast_words(plan, one)) for one in result.contrasts)
        parts.append(Picture(chart + closing, sentence))
    parts += [Words(one) for one in result_more(analysed, result)[len(result.contrasts) if closing else 0 :]]
    pairs = pairs_chart(plan, result)
    if pairs:
        parts += [Picture(pairs, pairs_sentence(plan, result)), Words(pairs_legend(result), quiet=True)]
    names = {one.code: one.name for one in plan.treatments}
    first = result.contrasts[0]
    unit = unit_words(result.measure.unit)
    means = [(f"{names[first.control]} ({say('control')})", number(first.control_mean), "", "")]
    means += [
        (names[one.treatment], number(one.treatment_mean), difference_words(one), chances_words(one))
        for one in result.contrasts
    ]
    mean = say("Mean") + (f", {unit}" if unit else "")
    heads = (say("Way"), mean, say("Difference"), say("Chance of so much by luck"))
    parts.append(Grid(f"{capital(_name(result))}: {say('means')}", heads, tuple(means)))
    value = say("Value") + (f", {unit}" if unit else "") + (say(" (before)") if result.baseline else "")
    data_heads = (say("Plot"), say("Season"), say("Block"), say("Way"), value)
    parts.append(Grid(f"{capital(_name(result))}: {say('the data behind it')}", data_heads, raw_rows(plan, result)))
    return parts


def work_parts(work: Sequence[WorkOnBed]) -> list[SheetPart]:
    """Return hours and kilograms bed by bed as a table."""
    rows = []
    for one in work:
        square = f"{one.harvested / one.area:.2f}" if one.area else "–"
        hour = f"{one.harvested / one.hours:.2f}" if one.hours > 0.0 else "–"
        rows.append((one.bed, f"{one.hours:.1f}", f"{one.harvested:.1f}", square, hour))
    heads = (say("Bed"), say("Hours"), say("kg"), say("kg a square metre"), say("kg an hour"))
    return [Part(say("Hours and kilograms")), Grid(say("By bed"), heads, tuple(rows))]


def _name(result: MeasureResult) -> str:
    return result.measure.key.replace("_", " ")
