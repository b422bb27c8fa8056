"""The runs of one case of behaviour in one picture: a line each, their names at the end, a stripe for 8 in 10."""

# ruff: noqa: E501 - strings of SVG are kept whole, they read worse when broken

from __future__ import annotations

from collections.abc import Callable
from html import escape
from math import isfinite

import numpy as np

from mullbed.domain.behaviour import Behaviour, Course
from mullbed.reports import pigments
from mullbed.reports.charts import axis_numbers
from mullbed.reports.words import evenly

WIDTH, HIGH, LEFT, TOP, SIZE = 720.0, 240.0, 58.0, 46.0, 16.0
#: Colour and dash of each run in turn: a line is told by both.
_LINES = ((pigments.VERTE, ""), (pigments.SINOPIA, "10 5"), (pigments.GLEY, "3 4"), (pigments.OCHRE_INK, "14 4 3 4"))


def behaviour_chart(case: Behaviour, sentence: str) -> str:
    """Return a case as SVG; its sentence is the description."""
    values = [np.asarray(part, dtype=float) for one in case.courses for part in (one.band.p10, one.band.p90)]
    ticks = axis_numbers(values)
    low, top = ticks[0], ticks[-1]
    last = max(max(one.days) for one in case.courses)

    def place(day: float, value: float) -> str:
        x = LEFT + day / max(1, last) * (WIDTH - LEFT - 10)
        return f"{x:.1f} {TOP + HIGH - (value - low) / (top - low) * HIGH:.1f}"

    texts = evenly([top, *ticks])[1:]
    rules = "".join(
        f'<path d="M{place(0, tick)}H{WIDTH - 10:.0f}" stroke="{pigments.SLATE}" stroke-width="{2.2 if tick == 0 else 0.7}"/>'
        f'<text x="{LEFT - 7:.0f}" y="{TOP + HIGH - (tick - low) / (top - low) * HIGH + 6:.1f}" text-anchor="end" font-size="{SIZE:.0f}">{text}</text>'
        for tick, text in zip(ticks, texts, strict=True)
    )
    days = "".join(
        f'<text x="{LEFT + day / max(1, last) * (WIDTH - LEFT - 10):.1f}" y="{TOP + HIGH + 22:.0f}" text-anchor="middle" font-size="{SIZE:.0f}">{label}</text>'
        for day, label in _day_ticks(last)
    )
    drawn = "".join(_run(one, place, _LINES[number % len(_LINES)]) for number, one in enumerate(case.courses))
    names = "".join(
        f'<path d="M{LEFT:.0f} {TOP + HIGH + 46 + 22 * number:.0f}h44" stroke="{colour}" stroke-width="4"{_dash(dash)}/>'
        f'<text x="{LEFT + 54:.0f}" y="{TOP + HIGH + 51 + 22 * number:.0f}" font-size="{SIZE:.0f}">{escape(one.label)}</text>'
        for number, (one, (colour, dash)) in enumerate(zip(case.courses, _LINES, strict=False))
    )
    height = TOP + HIGH + 46 + 22 * len(case.courses)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:.0f} {height:.0f}" role="img" '
        f'aria-labelledby="{case.key}t {case.key}d"><title id="{case.key}t">{escape(case.title)}</title><desc id="{case.key}d">{escape(sentence)}</desc>'
        f'<rect width="100%" height="100%" fill="{pigments.KAOLIN}"/><g font-family="{pigments.NARROW}" fill="{pigments.INK}">'
        f'<text x="4" y="24" font-size="{SIZE + 2:.0f}" font-weight="700">{escape(case.drawn)}, {escape(case.drawn_unit)}</text>'
        f"{rules}{drawn}{days}{names}</g></svg>\n"
    )


def _dash(dash: str) -> str:
    return f' stroke-dasharray="{dash}"' if dash else ""


def _run(one: Course, place: Callable[[int, float], str], line: tuple[str, str]) -> str:
    colour, dash = line
    shown = [at for at in range(0, len(one.days), max(1, len(one.days) // 240)) if isfinite(float(one.band.p50[at]))]
    if not shown:
        return ""

    def points(series: np.ndarray, order: list[int]) -> str:
        return "L".join(place(one.days[at], float(series[at])) for at in order)

    shape = f"M{points(one.band.p10, shown)}L{points(one.band.p90, shown[::-1])}Z"
    middle = f"M{points(one.band.p50, shown)}"
    return (
        f'<path d="{shape}" fill="{colour}" fill-opacity="0.13"/>'
        f'<path d="{middle}" fill="none" stroke="{pigments.KAOLIN}" stroke-width="7"/>'
        f'<path d="{middle}" fill="none" stroke="{colour}" stroke-width="3.5" stroke-linejoin="round"{_dash(dash)}/>'
    )


def _day_ticks(last: int) -> list[tuple[int, str]]:
    """Return days to name below the picture: in years where there are many."""
    if last > 1500:
        return [(365 * year, f"year {year}" if year else "0") for year in range(0, last // 365 + 1, 5)]
    step = 10 if last <= 100 else 30 if last <= 200 else 60
    return [(day, f"day {day}" if day else "0") for day in range(0, last + 1, step)]
