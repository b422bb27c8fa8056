"""The bed through time: layers above the soil line, nitrogen below it on the same axis, days to the right.

Each lift rises as a step on its day and sinks as modelled, carrying what lies on it. Planned lifts are pale with a
dashed outline. Below the line, given to the roots goes down, taken goes up into the cover.
"""

# ruff: noqa: E501 - strings of SVG and HTML are kept whole, they read worse when broken

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from html import escape
from math import ceil, isfinite
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.forecast import BedForecast
from mullbed.domain.garden import UnitSystem
from mullbed.domain.residue import Texture
from mullbed.language import say
from mullbed.reports import pigments
from mullbed.reports.amounts import is_us, thickness_words
from mullbed.reports.matter import matter_of
from mullbed.reports.nitrogen_line import below_line, stripes_pattern
from mullbed.reports.season_axis import Axis, months_axis
from mullbed.reports.signs import sign_shape
from mullbed.reports.textures import Patch, ink_of, pieces, tint_of
from mullbed.reports.words import short_day

_STEP = 3
"""Days between drawn points."""
_TILE_WIDTH, _TILE_HEIGHT = 150.0, 46.0
_DARKER = 0.13
"""Umber laid over a lift for each fifth of its carbon gone."""

Series = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Ribbon:
    """Measures of one ribbon. [px]"""

    width: float = 960.0
    scale: float = 3.7
    """[px per cm of cover]"""
    highest: float = 56.0
    soil: float = 14.0
    below: float = 0.0
    """Room for nitrogen below the soil line; 0 for none."""
    font: float = 17.0


def patterns(forecasts: list[BedForecast], scale: float) -> str:
    """Return the textures used by these beds as SVG patterns, defined once a page."""
    used = sorted(
        {
            matter_of(one.layer.lifts[one.lift].residue, one.layer.lifts[one.lift].fresh)
            for forecast in forecasts
            for one in forecast.lifts
        }
    )
    drawn = []
    for matter in used:
        rng = np.random.default_rng(crc32(f"pattern {matter}".encode()))
        patch = Patch(-20, -10, _TILE_WIDTH + 40, _TILE_HEIGHT + 20, max(5.5, scale * 1.3))
        ink = ink_of(matter, 0.0)
        drawn.append(
            f'<pattern id="{pattern_name(matter)}" width="{_TILE_WIDTH:.0f}" height="{_TILE_HEIGHT:.0f}" '
            f'patternUnits="userSpaceOnUse"><rect width="{_TILE_WIDTH:.0f}" height="{_TILE_HEIGHT:.0f}" '
            f'fill="{tint_of(matter, 0.0)}"/><g color="{ink}">{pieces(matter, patch, rng)}</g></pattern>'
        )
    drawn.append(stripes_pattern())
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="0" height="0" aria-hidden="true" class="defs"><defs>'
        f"{''.join(drawn)}</defs></svg>"
    )


def pattern_name(matter: Texture) -> str:
    """Return the name of a texture's pattern."""
    return f"m-{matter.replace(' ', '-')}"


def layers_above(forecast: BedForecast, axis: Axis, ground: float, scale: float, first_day: date) -> str:
    """Return the cover through time above a soil line: one stepped shape a lift, darker as it goes."""
    count = forecast.series["thickness"].p50.size
    base = np.zeros(count)
    shapes = []
    for through in sorted(forecast.lifts, key=lambda one: (one.layer.day, one.lift)):
        lift = through.layer.lifts[through.lift]
        thick = np.nan_to_num(np.asarray(through.thickness, dtype=float), nan=0.0)
        lower, upper = base, base + thick
        start = max(0, (through.layer.day - forecast.first_day).days)
        planned = through.layer.day >= first_day
        if start >= count or not np.any(thick > 0):
            continue
        shown = [*range(start, count, _STEP)]
        if shown[-1] != count - 1:
            shown.append(count - 1)
        shapes.append(
            _lift_shape(
                lift.residue, lift.fresh, through.carbon_gone, lower, upper, shown, axis, ground, scale, planned=planned
            )
        )
        base = upper
    return "".join(shapes)


def _lift_shape(
    residue: str,
    fresh: bool,
    gone: Series,
    lower: Series,
    upper: Series,
    shown: list[int],
    axis: Axis,
    ground: float,
    scale: float,
    *,
    planned: bool,
) -> str:
    matter = matter_of(residue, fresh)

    def y(metres: float) -> float:
        return ground - metres * 100 * scale

    above = [(axis.x(day), y(float(upper[day]))) for day in shown]
    under = [(axis.x(day), y(float(lower[day]))) for day in shown]
    path = "M" + "L".join(f"{px:.1f} {py:.1f}" for px, py in above + under[::-1]) + "Z"
    darker = []
    steps = [min(5, int((float(gone[day]) if isfinite(float(gone[day])) else 0.0) * 5)) for day in shown]
    for level in range(1, 6):
        at = [index for index, step in enumerate(steps) if step >= level]
        if len(at) > 1:
            part = above[at[0] :] + under[at[0] :][::-1]
            shape = "M" + "L".join(f"{px:.1f} {py:.1f}" for px, py in part) + "Z"
            darker.append(f'<path d="{shape}" fill="{pigments.UMBER}" opacity="{_DARKER}"/>')
    line = "M" + "L".join(f"{px:.1f} {py:.1f}" for px, py in [under[0], *above])
    dash = ' stroke-dasharray="5 4"' if planned else ""
    pale = ' opacity=".55"' if planned else ""
    return (
        f'<g{pale}><path d="{path}" fill="url(#{pattern_name(matter)})"/>{"".join(darker)}</g>'
        f'<path d="{line}" fill="none" stroke="{pigments.INK}" stroke-width="1.2"{dash}/>'
    )


def ribbon_svg(
    forecast: BedForecast,
    plan_first: date,
    title: str,
    ribbon: Ribbon,
    *,
    units: UnitSystem = UnitSystem.METRIC,
    today: date | None = None,
    short_on: tuple[date, ...] = (),
) -> str:
    """Return one bed's ribbon: layers above the soil line, soil beneath, today as a line, shortage as sticks."""
    count = forecast.series["thickness"].p50.size
    axis = Axis(forecast.first_day, count, ribbon.width)
    top = float(np.nanmax(_cover(forecast))) * 100 * ribbon.scale if count else 0.0
    height = max(ribbon.highest, top + 6)
    ground = height
    name = f"r{crc32(f'{title} {ribbon.width}'.encode()):08x}"
    body = layers_above(forecast, axis, ground, ribbon.scale, plan_first)
    marks = ""
    if today is not None and 0 <= (today - axis.first).days < count:
        marks = (
            f'<path d="M{axis.at(today):.1f} 0V{height + ribbon.soil:.1f}" stroke="{pigments.INK}" stroke-width="4"/>'
        )
    for day in short_on:
        left = min(max(axis.at(day) - 16, 0), ribbon.width - 32)
        marks += f'<svg x="{left:.1f}" y="0" width="32" height="32" viewBox="0 0 48 48">{sign_shape("sticks", pigments.SINOPIA)}</svg>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {ribbon.width:.0f} {height + ribbon.soil:.0f}" '
        f'class="ribbon" role="img" aria-labelledby="{name}t {name}d"><title id="{name}t">{escape(title)}</title>'
        f'<desc id="{name}d">{escape(ribbon_words(forecast, units))}</desc>{body}'
        f'<rect y="{ground:.1f}" width="{ribbon.width:.0f}" height="{ribbon.soil:.0f}" fill="{pigments.SOIL}"/>'
        f'<path d="M0 {ground:.1f}H{ribbon.width:.0f}" stroke="{pigments.INK}" stroke-width="3"/>{marks}</svg>'
    )


def ribbon_words(forecast: BedForecast, units: UnitSystem = UnitSystem.METRIC) -> str:
    """Return a ribbon in words: days of layers and the thickest cover."""
    days = sorted({through.layer.day for through in forecast.lifts})
    cover = _cover(forecast)
    if not days or not np.nanmax(cover) > 0:
        return say("No cover all season.")
    at = int(np.nanargmax(cover))
    thickest = forecast.first_day + timedelta(days=at)
    told = ", ".join(short_day(day) for day in days)
    return say(
        "Layers laid on {days}; the cover is thickest on {day}, {thickness}.",
        days=told,
        day=short_day(thickest),
        thickness=thickness_words(float(cover[at]), units),
    )


def _cover(forecast: BedForecast) -> Series:
    """Middle thickness of the drawn cover by day. [m]"""
    if not forecast.lifts:
        return np.asarray(np.nan_to_num(forecast.series["thickness"].p50), dtype=np.float64)
    total: Series = np.zeros(forecast.lifts[0].thickness.size)
    for through in forecast.lifts:
        total += np.nan_to_num(np.asarray(through.thickness, dtype=np.float64), nan=0.0)
    return total


def bed_chart(
    forecast: BedForecast,
    plan_first: date,
    title: str,
    sentence: str,
    units: UnitSystem,
    *,
    width: float = 960.0,
    scale: float = 9.0,
) -> str:
    """Return the bed through time with nitrogen below the soil line on the same axis of days."""
    count = forecast.series["thickness"].p50.size
    axis = Axis(forecast.first_day, count, width)
    size = 18.0
    cover = float(np.nanmax(_cover(forecast))) * 100 if count else 0.0
    labels, label_height = _lay_days(forecast, axis, size)
    ground = label_height + max(3.0, cover) * scale + 8
    given = below_line(forecast, units)
    low, high = given.reach()
    factor = 160.0 / max(1e-9, high - min(0.0, low))
    floor = ground + max(60.0, high * factor) + 14
    rise = max(0.0, -low * factor)
    ground_shift = max(0.0, rise - cover * scale)
    ground, floor = ground + ground_shift, floor + ground_shift
    name = f"b{crc32(f'{title} {width}'.encode()):08x}"
    body = [
        f'<rect x="0" y="{ground:.1f}" width="{width:.0f}" height="{floor - ground:.1f}" fill="#F1ECE4"/>',
        layers_above(forecast, axis, ground, scale, plan_first),
        labels.replace("GROUND", f"{ground:.1f}"),
        f'<path d="M0 {ground:.1f}H{width:.0f}" stroke="{pigments.INK}" stroke-width="4"/>',
        given.drawn(axis, ground, factor),
        given.words(axis, ground, floor, factor, size),
        months_axis(axis, floor + 24, size, narrow=width < 600),
    ]
    height = floor + 34
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" class="chart" role="img" '
        f'aria-labelledby="{name}t {name}d"><title id="{name}t">{escape(title)}</title><desc id="{name}d">{escape(sentence)}</desc>'
        + "".join(body)
        + "</svg>"
    )


def _lay_days(forecast: BedForecast, axis: Axis, size: float) -> tuple[str, float]:
    """Dates of the layers above their steps, on a second row where they would touch."""
    marks, rows = [], [-99.0, -99.0]
    for day in sorted({through.layer.day for through in forecast.lifts if through.layer.day >= forecast.first_day}):
        x, words = axis.at(day), short_day(day)
        wide = size * 0.5 * len(words)
        left = min(x - 2, axis.width - wide - 2)
        row = 0 if left >= rows[0] else 1
        if left < rows[row]:
            continue
        rows[row] = left + wide + 8
        y = size + row * (size + 3)
        marks.append(
            f'<path d="M{x:.1f} {y + 4:.1f}VGROUND" stroke="{pigments.INK}" stroke-width="1" stroke-dasharray="2 3"/>'
            f'<text x="{left:.1f}" y="{y:.1f}" font-size="{size:.0f}" font-weight="700">{words}</text>'
        )
    height = 2 * size + 12 if rows[1] > 0 else size + 10
    return f'<g font-family="{pigments.NARROW}" fill="{pigments.INK}">{"".join(marks)}</g>', height


def scale_bar(scale: float, units: UnitSystem, font: float = 17.0) -> str:
    """Return a bar of 10 cm (4 in) in the scale of the ribbons, drawn once."""
    centimetres, words = (
        (10.16, say("{height} high", height="4 in")) if is_us(units) else (10.0, say("{height} high", height="10 cm"))
    )
    height = ceil(centimetres * scale)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="120" height="{height + 6}" viewBox="0 0 120 {height + 6}" aria-hidden="true">'
        f'<path d="M2 3h12M8 3v{height}M2 {height + 3}h12" stroke="{pigments.INK}" stroke-width="2.4" fill="none"/>'
        f'<text x="22" y="{height / 2 + 8:.0f}" font-size="{font:.0f}" font-family="{pigments.NARROW}" fill="{pigments.INK}">{words}</text></svg>'
    )
