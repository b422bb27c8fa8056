"""The report of a trial: one HTML file, its heading the verdict, its data beneath."""

# ruff: noqa: E501 - strings of SVG and HTML are kept whole, they read worse when broken

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from html import escape

from mullbed.domain.kept_trial import WorkOnBed
from mullbed.domain.trial import Contrast, MeasureResult, TrialPlan
from mullbed.domain.trial_answers import AnalysedTrial
from mullbed.reports import pigments
from mullbed.reports.ground_words import unit_words
from mullbed.reports.report_style import STYLE
from mullbed.reports.report_tables import table
from mullbed.reports.trial_pairs import pairs_chart, pairs_legend, pairs_sentence, raw_rows
from mullbed.reports.trial_words import (
    contrast_words,
    fairness_words,
    honesty,
    percent,
    relative,
    result_more,
    verdict_heading,
    ways_explained,
)
from mullbed.reports.words import number

_STYLE = "figure{margin:0 0 14px}section svg{width:100%;max-width:560px}"
_WIDTH = 360.0
_LEFT = 14.0


def trial_page(analysed: AnalysedTrial, work: Sequence[WorkOnBed] = ()) -> str:
    """Return the report as one page that needs no script and loads nothing; with work a table of hours and kg."""
    plan = analysed.result.plan
    heading = verdict_heading(analysed)
    honest = "".join(f"<p>{escape(sentence)}</p>" for sentence in honesty(analysed))
    measures = "".join(_measure(analysed, result) for result in analysed.result.results)
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        f"<title>{escape(plan.name)}</title><style>{STYLE}{_STYLE}</style></head><body>"
        f'<header><p class="top"><span>{escape(plan.name)}</span><span>{escape(plan.arrangement.value)}, '
        f"{plan.blocks} times</span></p><h1>{escape(heading)}</h1><p>{escape(plan.question)}</p>{honest}</header>"
        f"<main>{measures}{_work(work)}{_layout(plan)}{_method(analysed)}</main></body></html>\n"
    )


def _work(work: Sequence[WorkOnBed]) -> str:
    """Return hours and kilograms as a table."""
    if not work:
        return ""
    rows = [
        [
            escape(one.bed),
            f"{one.hours:.1f}",
            f"{one.harvested:.1f}",
            f"{one.harvested / one.area:.2f}" if one.area else "–",
            f"{one.harvested / one.hours:.2f}" if one.hours > 0.0 else "–",
        ]
        for one in work
    ]
    inner = table("", ("Bed", "Hours", "kg", "kg a square metre", "kg an hour"), rows)
    return f"<section><h2>Hours and kilograms</h2>{inner}</section>"


def _measure(analysed: AnalysedTrial, result: MeasureResult) -> str:
    """Return one measure: picture, sentences, table."""
    plan = analysed.result.plan
    rank = "It decides." if result.primary else "Looked at second."
    unit = unit_words(result.measure.unit)
    measured = f" Measured in {escape(unit)}." if unit else ""
    sentences = "".join(f"<p>{escape(sentence)}</p>" for sentence in result_more(analysed, result))
    return (
        f"<section><h2>{escape(result.measure.key.capitalize())}: {escape(result.verdict.value)}</h2>"
        f'<p class="quiet">{escape(rank)}{measured}</p>'
        f"{interval_chart(plan, result)}{sentences}{_pairs(plan, result)}{_table(plan, result)}{_data(plan, result)}</section>"
    )


def interval_chart(plan: TrialPlan, result: MeasureResult) -> str:
    """Return the intervals of all contrasts as SVG: the control is the thick line, stripes the difference not worth having."""
    rows = [(one, *relative(one)) for one in result.contrasts]
    rows = [row for row in rows if all(math.isfinite(value) for value in row[1:])]
    if not rows:
        return ""
    reach = 1.15 * max(plan.worthwhile, *(abs(value) for row in rows for value in row[2:]))
    high = 56.0 + 72.0 * len(rows)
    names = {one.code: one.name for one in plan.treatments}

    def x(share: float) -> float:
        return _LEFT + (share + reach) / (2 * reach) * (_WIDTH - _LEFT - 14)

    low_edge, high_edge = x(-plan.worthwhile), x(plan.worthwhile)
    stripes = "".join(
        f'<path d="M{position:.1f} 8V{high - 40:.0f}" stroke="{pigments.OCHRE}" stroke-width="3"/>'
        for position in _stripes(low_edge, high_edge)
    )
    parts = [_row(names[one.treatment], 52.0 + 72.0 * index, x, values) for index, (one, *values) in enumerate(rows)]
    step = _step(reach)
    ticks = "".join(
        f'<path d="M{x(share):.1f} {high - 40:.0f}v7" stroke="{pigments.INK}" stroke-width="1.8"/>'
        f'<text x="{x(share):.1f}" y="{high - 14:.0f}" text-anchor="middle" font-size="17">{_signed(share)}</text>'
        for share in (step * count for count in range(-9, 10))
        if abs(share) <= reach
    )
    sentence = " ".join(contrast_words(plan, one) for one in result.contrasts)
    return (
        f'<svg viewBox="0 0 {_WIDTH:.0f} {high:.0f}" role="img" font-family="{pigments.NARROW}" '
        f'fill="{pigments.INK}"><title>{escape(result.measure.key)} against the control</title><desc>{escape(sentence)}</desc>'
        f'{stripes}<path d="M{x(0):.1f} 4V{high - 40:.0f}" stroke="{pigments.INK}" stroke-width="4.5"/>'
        f'<path d="M{_LEFT:.0f} {high - 40:.0f}H{_WIDTH - 14:.0f}" stroke="{pigments.INK}" stroke-width="1.4"/>{ticks}'
        f'{"".join(parts)}</svg><p class="quiet">Thick line: the control. Stripes: differences not worth having. '
        f"Bar: where the true difference lies, {round(100 * (1 - plan.alpha))} times in 100.</p>"
    )


def _row(name: str, y: float, x: Callable[[float], float], values: list[float]) -> str:
    """Return one interval with its name."""
    middle, low, high = values
    return (
        f'<text x="0" y="{y - 22:.0f}" font-size="19" font-weight="700" stroke="{pigments.KAOLIN}" stroke-width="5" paint-order="stroke">{escape(name[:40])}</text>'
        f'<path d="M{x(low):.1f} {y:.0f}H{x(high):.1f}" stroke="{pigments.INK}" stroke-width="7" stroke-linecap="round"/>'
        f'<circle cx="{x(middle):.1f}" cy="{y:.0f}" r="10" fill="{pigments.LIMONITE}" stroke="{pigments.INK}" stroke-width="3"/>'
    )


def _stripes(low: float, high: float) -> list[float]:
    """Return where the stripes of a band stand."""
    count = max(1, int((high - low) / 6))
    return [low + (high - low) * (index + 0.5) / count for index in range(count)]


def _step(reach: float) -> float:
    """Return a round distance between marks."""
    for step in (0.05, 0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 5.0):
        if reach / step <= 2.9:
            return step
    return reach / 4


def _signed(share: float) -> str:
    """Return a share as a signed percentage."""
    return f"{'+' if share > 0 else '−' if share < 0 else ''}{number(abs(100 * share))} %"


def _pairs(plan: TrialPlan, result: MeasureResult) -> str:
    """Return every pair as it was read."""
    chart = pairs_chart(plan, result)
    if not chart:
        return ""
    return f'<figure>{chart}<figcaption>{escape(pairs_sentence(plan, result))} <span class="quiet">{escape(pairs_legend(result))}</span></figcaption></figure>'


def _data(plan: TrialPlan, result: MeasureResult) -> str:
    """Return what the analysis rests on, plot by plot."""
    heads = ("Plot", "Season", "Block", "Way", ", ".join(filter(None, ("Value", unit_words(result.measure.unit)))))
    rows = [[escape(cell) for cell in row] for row in raw_rows(plan, result)]
    inner = table("", heads, rows)
    return f"<details><summary>The data behind it</summary><div class='scroll' tabindex='0' role='region' aria-label='The data behind it'>{inner}</div></details>"


def _table(plan: TrialPlan, result: MeasureResult) -> str:
    """Return means and tests as a table."""
    names = {one.code: one.name for one in plan.treatments}
    first = result.contrasts[0]
    mean = escape(", ".join(filter(None, ("Mean", unit_words(result.measure.unit)))))
    rows = [
        f"<tr><th scope='row'>{escape(names[first.control])} (control)</th><td class='num'>{number(first.control_mean)}</td><td></td><td></td></tr>"
    ]
    for one in result.contrasts:
        rows.append(
            f"<tr><th scope='row'>{escape(names[one.treatment])}</th><td class='num' data-label='Mean'>{number(one.treatment_mean)}</td>"
            f"<td class='num' data-label='Difference'>{difference_words(one)}</td><td data-label='Chance'>{escape(chances_words(one))}</td></tr>"
        )
    return (
        "<details><summary>All values as a table</summary><div class='scroll' tabindex='0'><table class='stack'><thead><tr><th>Way</th>"
        f"<th>{mean}</th><th>Difference</th><th>Chance of so much by luck</th></tr></thead>"
        f"<tbody>{''.join(rows)}</tbody></table></div></details>"
    )


def difference_words(one: Contrast) -> str:
    """Return a difference with its interval."""
    share, low, high = relative(one)
    return f"{percent(share)} ({percent(low)} to {percent(high)})"


def chances_words(one: Contrast) -> str:
    """Return the p values of a contrast in words a statistician reads."""
    told = f"p {one.chance:.3g} (t {one.statistic:.2f}, {one.degrees:.0f} df)"
    if one.corrected_chance is not None:
        told += f", corrected {one.corrected_chance:.3g}"
    if one.permutation_chance is not None:
        told += f"; by turned signs {one.permutation_chance:.3g}"
    return told


def _layout(plan: TrialPlan) -> str:
    """Return which plot had which way."""
    names = {one.code: one.name for one in plan.treatments}
    rows = "".join(
        f"<tr><th scope='row'>{escape(plot.code)}</th><td data-label='Block'>{plot.block}</td><td data-label='Place'>{plot.position}</td>"
        f"<td data-label='Way'>{escape(names[plot.treatment])}</td><td data-label='Bed'>{escape(plot.bed)}</td></tr>"
        for plot in plan.plots
    )
    return (
        "<section><h2>Where each way lay</h2><p>Drawn by chance, so that nobody's favourite bed got the favourite way.</p>"
        "<details><summary>All plots</summary><div class='scroll' tabindex='0'><table class='stack'><thead><tr><th>Plot</th><th>Block</th>"
        f"<th>Place</th><th>Way</th><th>Bed</th></tr></thead><tbody>{rows}</tbody></table></div></details></section>"
    )


def _method(analysed: AnalysedTrial) -> str:
    """Return what was computed."""
    plan = analysed.result.plan
    lines = "".join(f"<li>{escape(one.measure.key)}: {escape(one.method)}</li>" for one in analysed.result.results)
    ways = "".join(f"<p>{escape(one)}</p>" for one in ways_explained(plan))
    seal = f"<p>Seal of the locked plan: {escape(plan.seal[:16])}</p>" if plan.seal else ""
    return (
        f"<section><h2>How it was worked out</h2><p>Fair means here: {escape(plan.fairness.value)}. {escape(fairness_words(plan.fairness))}</p>{ways}<ul>{lines}</ul>"
        f"<p>Beliefs start from no difference, give or take half the control.</p>{seal}</section>"
    )
