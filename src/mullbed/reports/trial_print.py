"""The report of a trial as print: the verdict, each measure with its picture, the layout, the method."""

from __future__ import annotations

from datetime import date

from mullbed.domain.trial_answers import AnalysedTrial
from mullbed.reports.sheet import Grid, Part, Picture, Sheet, SheetPart, Words, sheets_pdf
from mullbed.reports.trial_page import interval_chart
from mullbed.reports.trial_words import contrast_words, honesty, result_more, verdict_heading
from mullbed.reports.words import day_words


def trial_pdf(analysed: AnalysedTrial, made_on: date) -> bytes:
    """Return the report as PDF."""
    plan = analysed.result.plan
    parts: list[SheetPart] = [Words(plan.question), *(Words(one) for one in honesty(analysed))]
    for result in analysed.result.results:
        parts.append(Part(f"{result.measure.key.capitalize()}: {result.verdict.value}"))
        chart, closing, _ = interval_chart(plan, result).partition("</svg>")
        if closing:
            parts.append(Picture(chart + closing, " ".join(contrast_words(plan, one) for one in result.contrasts)))
        parts += [Words(one) for one in result_more(analysed, result)]
        parts.append(Words(result.method, quiet=True))
    names = {one.code: one.name for one in plan.treatments}
    rows = tuple((one.code, f"{one.block}", f"{one.position}", names[one.treatment], one.bed) for one in plan.plots)
    parts += [Part("Where each way lay"), Grid("", ("Plot", "Block", "Place", "Way", "Bed"), rows)]
    parts.append(Words(f"Fair means here: {plan.fairness.value}."))
    sheet = Sheet(plan.name, (plan.name, day_words(made_on, year=True)), verdict_heading(analysed), tuple(parts))
    return sheets_pdf([sheet], made_on)
