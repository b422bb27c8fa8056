"""The chart of pairs: every plot as it was read, joined to its neighbours of the same pair or block."""

# ruff: noqa: E501 - strings of SVG are kept whole, they read worse when broken

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from html import escape

from mullbed.domain.trial import MeasureResult, TrialPlan
from mullbed.language import say
from mullbed.reports import pigments
from mullbed.reports.ground_words import unit_words
from mullbed.reports.words import capital, number

_WIDTH = 360.0
_TOP = 22.0
_HIGH = 210.0
_LEFT = 58.0
_RIGHT = 22.0


def pair_rows(plan: TrialPlan, result: MeasureResult) -> list[tuple[str, int, dict[str, float]]]:
    """Return season, block and value by treatment, seasons in the order read; lost plots are left out."""
    plots = {plot.code: plot for plot in plan.plots}
    found: dict[tuple[str, int], dict[str, list[float]]] = {}
    for code, season, value in result.plot_values:
        plot = plots[code]
        found.setdefault((season, plot.block), {}).setdefault(plot.treatment, []).append(value)
    return [
        (season, block, {code: math.fsum(values) / len(values) for code, values in inside.items()})
        for (season, block), inside in found.items()
    ]


def pairs_chart(plan: TrialPlan, result: MeasureResult) -> str:
    """Return one line a pair or block from the control to each other way; an empty text where nothing was read."""
    rows = pair_rows(plan, result)
    every = [value for _, _, inside in rows for value in inside.values() if math.isfinite(value)]
    if not every:
        return ""
    codes = [plan.control, *(one.code for one in plan.treatments if one.code != plan.control)]
    names = {one.code: one.name for one in plan.treatments}
    ticks = _ticks(min(0.0, *every) if min(every) < 0.2 * max(every) else min(every), max(every))
    low, high = ticks[0], max(ticks[-1], *every)
    step = (_WIDTH - _LEFT - _RIGHT) / max(1, len(codes) - 1)

    def x(code: str) -> float:
        return _LEFT + 14.0 + codes.index(code) * (step - 28.0 / max(1, len(codes) - 1))

    def y(value: float) -> float:
        return _TOP + _HIGH - (value - low) / (high - low) * _HIGH if high > low else _TOP + _HIGH / 2

    grid = "".join(
        f'<path d="M{_LEFT - 6:.0f} {y(tick):.1f}H{_WIDTH - 4:.0f}" stroke="{pigments.SLATE}" stroke-width=".8"/>'
        f'<text x="{_LEFT - 10:.0f}" y="{y(tick) + 6:.1f}" text-anchor="end" font-size="17">{number(tick)}</text>'
        for tick in ticks
    )
    lines = "".join(_line(inside, codes, x, y) for _, _, inside in rows)
    means = "".join(
        f'<path d="M{x(code) - 13:.1f} {y(mean):.1f}h26" stroke="{pigments.INK}" stroke-width="6"/>'
        for code in codes
        if (mean := _mean([inside[code] for _, _, inside in rows if code in inside])) is not None
    )
    labels = "".join(
        f'<text x="{x(code):.1f}" y="{_TOP + _HIGH + 24 + 20 * line:.0f}" text-anchor="{_anchor(codes, code)}" font-size="18" font-weight="700">{escape(words)}</text>'
        for code in codes
        for line, words in enumerate(_lines(names[code], 13 if len(codes) <= 2 else 10))
    )
    sentence = pairs_sentence(plan, result)
    return (
        f'<svg class="chart" viewBox="0 0 {_WIDTH:.0f} {_TOP + _HIGH + 74:.0f}" role="img" font-family="{pigments.NARROW}" fill="{pigments.INK}">'
        f"<title>{escape(result.measure.key.replace('_', ' '))}, {escape(say('pair by pair'))}</title><desc>{escape(sentence)}</desc>{grid}{lines}{means}{labels}</svg>"
    )


def pairs_sentence(plan: TrialPlan, result: MeasureResult) -> str:
    """Return in how many pairs each way came out above the control."""
    rows = pair_rows(plan, result)
    names = {one.code: one.name for one in plan.treatments}
    told = []
    for treatment in plan.treatments:
        if treatment.code == plan.control:
            continue
        both = [inside for _, _, inside in rows if treatment.code in inside and plan.control in inside]
        above = sum(1 for inside in both if inside[treatment.code] > inside[plan.control])
        told.append(
            say(
                "{way} stood above {control} in {above} of {whole}.",
                way=names[treatment.code],
                control=names[plan.control],
                above=above,
                whole=len(both),
            )
        )
    return " ".join(capital(one) for one in told)


def pairs_legend(result: MeasureResult) -> str:
    """Return what the chart's marks are."""
    unit = unit_words(result.measure.unit)
    return say("Each line is one pair or block in one season; thick bars are means.") + (f" [{unit}]" if unit else "")


def raw_rows(plan: TrialPlan, result: MeasureResult) -> tuple[tuple[str, ...], ...]:
    """Return the data behind: season, block, plot, way and value."""
    plots = {plot.code: plot for plot in plan.plots}
    names = {one.code: one.name for one in plan.treatments}
    baseline = dict(result.baseline)
    rows = []
    for code, season, value in result.plot_values:
        plot = plots[code]
        before = f" ({number(baseline[code])})" if code in baseline else ""
        rows.append((code, season, str(plot.block), names[plot.treatment], f"{value:.4g}{before}"))
    return tuple(rows)


def _line(
    inside: dict[str, float], codes: Sequence[str], x: Callable[[str], float], y: Callable[[float], float]
) -> str:
    points = [(x(code), y(inside[code])) for code in codes if code in inside]
    path = "M" + "L".join(f"{one:.1f} {two:.1f}" for one, two in points)
    dots = "".join(
        f'<circle cx="{one:.1f}" cy="{two:.1f}" r="5.5" fill="{pigments.LIMONITE}" stroke="{pigments.INK}" stroke-width="2"/>'
        for one, two in points
    )
    return f'<path d="{path}" fill="none" stroke="{pigments.INK}" stroke-width="1.8"/>{dots}'


def _mean(values: Sequence[float]) -> float | None:
    return math.fsum(values) / len(values) if values else None


def _anchor(codes: Sequence[str], code: str) -> str:
    return "start" if code == codes[0] else "end" if code == codes[-1] else "middle"


def _lines(name: str, most: int) -> list[str]:
    """Return a name in up to three short lines."""
    lines = [""]
    for word in name.split():
        if lines[-1] and len(lines[-1]) + 1 + len(word) > most:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines if len(lines) <= 3 else [*lines[:2], lines[2][: most - 1] + "…"]


def _ticks(low: float, high: float) -> list[float]:
    """Return round numbers around a range, four or so."""
    span = high - low if high > low else abs(high) or 1.0
    rough = span / 3.0
    size = 10.0 ** math.floor(math.log10(rough))
    step = next(size * one for one in (1.0, 2.0, 5.0, 10.0) if size * one >= rough)
    first = math.floor(low / step)
    last = math.ceil(high / step)
    return [step * count for count in range(first, last + 1)]
