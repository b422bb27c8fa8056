"""Years of soil in one picture: stripes for 8 in 10 with the layers, a thin band without, tests as rings."""

# ruff: noqa: E501 - strings of SVG are kept whole, they read worse when broken

from __future__ import annotations

from collections.abc import Callable
from html import escape
from zlib import crc32

import numpy as np

from mullbed.domain.forecast import Band
from mullbed.domain.soil_outlook import SoilOutlook, SoilThing
from mullbed.reports import pigments
from mullbed.reports.charts import axis_numbers
from mullbed.reports.words import evenly

WIDTH, HIGH, LEFT, TOP, SIZE = 640.0, 220.0, 58.0, 14.0, 17.0


def outlook_chart(
    outlook: SoilOutlook,
    thing: SoilThing,
    turn: Callable[[float], float],
    *,
    title: str,
    sentence: str,
    wide: float = WIDTH,
) -> str:
    """Return one thing over the years as SVG, so wide that its words can be read on a sheet or on a phone."""
    planned, bare = outlook.planned[thing], outlook.bare[thing]
    first = outlook.days[0]
    spans = [(day - first).days / 365.25 for day in outlook.days]
    last = max(spans[-1], 1.0)
    met = [one for one in outlook.tests if one.test.thing is thing]
    values = [
        np.array([turn(float(value)) for value in part])
        for one in (planned, bare)
        for part in (one.p10, one.p50, one.p90)
    ]
    if thing is SoilThing.ORGANIC_MATTER:
        values += [np.array([turn(float(value)) for value in part]) for part in (outlook.rule.p10, outlook.rule.p90)]
    values.append(np.array([turn(one.test.value) for one in met] or [np.nan]))
    ticks = axis_numbers(values)
    low, top = ticks[0], ticks[-1]

    def x(years: float) -> float:
        return LEFT + years / last * (wide - LEFT - 14)

    def y(value: float) -> float:
        return TOP + HIGH - (value - low) / (top - low) * HIGH

    def points(series: np.ndarray, order: list[int]) -> str:
        return "L".join(f"{x(spans[at]):.1f} {y(turn(float(series[at]))):.1f}" for at in order)

    def there(band: Band) -> list[int]:
        return [at for at in range(len(spans)) if np.isfinite(band.p50[at])]

    texts = evenly([top, *ticks])[1:]
    rules = "".join(
        f'<path d="M{LEFT:.0f} {y(tick):.1f}H{wide - 14:.0f}" stroke="{pigments.SLATE}" stroke-width="0.8"/>'
        f'<text x="{LEFT - 7:.0f}" y="{y(tick) + 6:.1f}" text-anchor="end" font-size="{SIZE:.0f}">{text}</text>'
        for tick, text in zip(ticks, texts, strict=True)
    )
    step = max(1, round(len(spans) * 90.0 / wide))
    years = "".join(
        f'<text x="{x(spans[at]):.1f}" y="{TOP + HIGH + 24:.0f}" text-anchor="{_anchor(at, len(spans))}" font-size="{SIZE:.0f}">{outlook.days[at].year}</text>'
        for at in range(0, len(spans), step)
    )
    order = there(planned)
    shape = f"M{points(planned.p10, order)}L{points(planned.p90, order[::-1])}Z"
    key = f"o{crc32(f'{outlook.bed} {thing}'.encode()):08x}"
    stripes = "".join(
        f'<path d="M{position:.1f} {TOP}V{TOP + HIGH}" stroke="{pigments.VERTE}" stroke-width="1.4"/>'
        for position in np.arange(LEFT, wide - 10, 7.0)
    )
    bare_order = there(bare)
    rule = ""
    if thing is SoilThing.ORGANIC_MATTER:
        ends = "".join(
            f'<path d="M{points(part, order)}" fill="none" stroke="{pigments.GLEY}" stroke-width="2.4" stroke-dasharray="3 5"/>'
            for part in (outlook.rule.p10, outlook.rule.p90)
        )
        rule = ends
    rings = "".join(
        f'<circle cx="{x((one.test.day - first).days / 365.25):.1f}" cy="{y(turn(one.test.value)):.1f}" r="7" fill="{pigments.LIMONITE}" stroke="{pigments.INK}" stroke-width="2.6"/>'
        for one in met
    )
    now = ""
    if outlook.now:
        now = f'<path d="M{x(spans[outlook.now]):.1f} {TOP}V{TOP + HIGH}" stroke="{pigments.INK}" stroke-width="2.4"/>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.0f} {TOP + HIGH + 34:.0f}" class="chart" role="img" aria-labelledby="{key}t {key}d">'
        f'<title id="{key}t">{escape(title)}</title><desc id="{key}d">{escape(sentence)}</desc>'
        f'<defs><clipPath id="{key}c"><path d="{shape}"/></clipPath></defs>'
        f'<g font-family="{pigments.NARROW}" fill="{pigments.INK}">{rules}{years}</g>'
        f'<path d="{shape}" fill="{pigments.VERTE_TINT}" opacity=".6"/><g clip-path="url(#{key}c)">{stripes}</g>'
        f'<path d="M{points(bare.p50, bare_order)}" fill="none" stroke="{pigments.OCHRE_INK}" stroke-width="3" stroke-dasharray="12 6"/>{rule}'
        f'<path d="M{points(planned.p50, order)}" fill="none" stroke="{pigments.KAOLIN}" stroke-width="8"/>'
        f'<path d="M{points(planned.p50, order)}" fill="none" stroke="{pigments.VERTE}" stroke-width="4"/>{now}{rings}</svg>'
    )


def _anchor(at: int, count: int) -> str:
    """Return how a year stands at its tick: the last one ends there, so that nothing is cut off."""
    return "end" if at == count - 1 else "middle"
