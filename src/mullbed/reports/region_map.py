"""Maps of a region: squares of equal size, five classes told by shade and number, a legend in plain words.

A region that lies close together is one map; districts far apart stand side by side at one scale. A square shows the
mean of its gardens. North is up; places are drawn flat around the middle of each panel.
"""

# ruff: noqa: E501 - strings of SVG are kept whole, they read worse when broken

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from math import ceil, cos, floor, isfinite, log10, radians
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.region import RegionResult
from mullbed.reports import pigments
from mullbed.reports.words import number

Values = NDArray[np.float64]

WIDTH = 720.0
"""[px]"""
KM_PER_DEGREE = 111.195
"""Along a meridian of a sphere of the earth's mean radius, 6371 km. [km]"""
FAR_APART_KM = 900.0
"""A region wider than this is drawn district by district. Judgement."""
SQUARES = 26
"""Squares across one map; eight across a panel of many."""
PANEL_SQUARES = 8
_PANEL_COLUMNS = 4
_GAP = 18.0
_NAME = 24.0

GIVES = ("#F1F4E4", "#C6D196", "#93A861", "#5B7537", "#2F4A1C")
RISKS = ("#FAF1DD", "#ECD193", "#DDAF84", "#B0573A", "#861F12")
TAKES = "#CFE1E8"
"""Below zero, such as layers that take nitrogen."""


@dataclass(frozen=True, slots=True)
class Classes:
    """Five classes, from low to high, and how they are drawn."""

    breaks: tuple[float, ...]
    """Four values between the five classes."""
    shades: tuple[str, ...]
    unit: str
    below_zero: bool = False
    """True where a class of its own, numbered minus, stands for less than nothing."""

    def of(self, value: float) -> int:
        """Return the class of a value, 1 to 5; 0 for less than nothing."""
        if self.below_zero and value < 0.0:
            return 0
        return 1 + sum(value >= edge for edge in self.breaks)

    def shade(self, kind: int) -> str:
        """Return the colour of a class."""
        return TAKES if kind == 0 else self.shades[kind - 1]

    def words(self, kind: int) -> str:
        """Return what a class means."""
        if kind == 0:
            return f"below 0 {self.unit}"
        low = _edge(self.breaks[kind - 2]) if kind > 1 else ("0" if self.below_zero else None)
        high = _edge(self.breaks[kind - 1]) if kind < 5 else None
        if low is None:
            return f"under {high} {self.unit}"
        return f"{low} {self.unit} and more" if high is None else f"{low} to {high} {self.unit}"


def _edge(value: float) -> str:
    """Return an edge in full: it is round already."""
    return f"{value:g}".replace("-", "−")


def even_classes(values: Values, unit: str, shades: tuple[str, ...] = GIVES) -> Classes:
    """Return classes of one round step over most of the values."""
    told = values[np.isfinite(values)]
    if told.size == 0:
        return Classes((1.0, 2.0, 3.0, 4.0), shades, unit)
    low, high = (float(value) for value in np.quantile(told, (0.02, 0.98)))
    negative = low < 0.0 < high or high <= 0.0
    start = 0.0 if low < 0.3 * high or negative else low
    step = _round_step(max(high - start, 1e-6) / 5.0)
    first = step * (floor(start / step) + 1)
    return Classes(
        tuple(round(first + step * place, 10) for place in range(4)), shades, unit, below_zero=bool(low < 0.0)
    )


def _round_step(step: float) -> float:
    size = 10.0 ** floor(log10(step))
    return next(size * factor for factor in (1.0, 2.0, 2.5, 5.0, 10.0) if size * factor >= step * 0.9)


def _round_side(side: float) -> float:
    """Return the largest round length that is not much longer."""
    size = 10.0 ** floor(log10(side))
    return max(size * factor for factor in (1.0, 2.0, 2.5, 5.0, 10.0) if size * factor <= 1.2 * side)


@dataclass(frozen=True, slots=True)
class _Panel:
    """Gardens drawn together. [km from the panel's middle]"""

    name: str
    east: Values
    north: Values
    places: NDArray[np.int64]


def region_map(
    result: RegionResult, values: Values, classes: Classes, *, title: str, sentence: str, absent: str = "no value"
) -> str:
    """Return a map of one value a garden; a square whose gardens were run and have none gets a dash.

    Parameters
    ----------
    result : RegionResult
    values : array
        One for each garden of the specification; NaN where there is none.
    classes : Classes
    title, sentence : str
        What it shows, and what it says.
    absent : str
        Why a garden may have no value.
    """
    panels = _panels(result)
    many = len(panels) > 1
    columns = min(_PANEL_COLUMNS, len(panels)) if many else 1
    room = (WIDTH - _GAP * (columns - 1)) / columns
    reach = max(max(float(np.abs(one.east).max()), float(np.abs(one.north).max()), 0.5) for one in panels)
    squares = PANEL_SQUARES if many else SQUARES
    side_km = _round_side(2.0 * reach / squares)
    most = max(2 * max(_half(one.east, side_km), _half(one.north, side_km)) + 1 for one in panels)
    side = room / most
    drawn, top = [], 0.0
    for start in range(0, len(panels), columns):
        row = panels[start : start + columns]
        high = 0.0
        for place, panel in enumerate(row):
            corner = (place * (room + _GAP), top)
            picture, tall = _panel(panel, values, result.done, classes, corner, side, side_km, named=many)
            drawn.append(picture)
            high = max(high, tall)
        top += high + _GAP
    empty = bool((result.done & ~np.isfinite(values)).any())
    legend, bottom = _legend(classes, top, side_km, absent if empty else "")
    key = f"r{crc32(f'{title} {sentence}'.encode()):08x}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:.0f} {bottom:.0f}" width="{WIDTH:.0f}" height="{bottom:.0f}" role="img" aria-labelledby="{key}t {key}d">'
        f'<title id="{key}t">{escape(title)}</title><desc id="{key}d">{escape(sentence)}</desc>'
        f'<g font-family="{pigments.NARROW}" fill="{pigments.INK}">{"".join(drawn)}{legend}</g></svg>\n'
    )


def _panels(result: RegionResult) -> list[_Panel]:
    """Return one panel for a region that lies together, else one for each district."""
    gardens = result.spec.gardens
    latitude = np.array([garden.latitude for garden in gardens])
    longitude = np.array([garden.longitude for garden in gardens])
    everything = np.arange(len(gardens))
    east, north = _kilometres(latitude, longitude)
    if max(np.ptp(east), np.ptp(north)) <= FAR_APART_KM:
        return [_Panel("", east, north, everything)]
    names = list(dict.fromkeys(garden.district for garden in gardens))
    of = np.array([names.index(garden.district) for garden in gardens])
    found = []
    for at, name in enumerate(names):
        places = np.flatnonzero(of == at)
        found.append(_Panel(name, *_kilometres(latitude[places], longitude[places]), places))
    return found


def _kilometres(latitude: Values, longitude: Values) -> tuple[Values, Values]:
    """Return kilometres east and north of the middle."""
    middle = 0.5 * (float(latitude.min()) + float(latitude.max()))
    apart = (longitude - longitude[0] + 180.0) % 360.0 - 180.0
    east = (apart - 0.5 * (float(apart.min()) + float(apart.max()))) * KM_PER_DEGREE * cos(radians(middle))
    return east, (latitude - middle) * KM_PER_DEGREE


def _half(apart: Values, side_km: float) -> int:
    """Return how many squares stand on either side of the middle one."""
    return max(1, round(float(np.abs(apart).max()) / side_km))


def _panel(
    panel: _Panel,
    values: Values,
    done: NDArray[np.bool_],
    classes: Classes,
    corner: tuple[float, float],
    side: float,
    side_km: float,
    *,
    named: bool,
) -> tuple[str, float]:
    """Return one panel and its height."""
    left, top = corner
    half_wide, half_high = _half(panel.east, side_km), _half(panel.north, side_km)
    cells: dict[tuple[int, int], list[float]] = {}
    for east, north, place in zip(panel.east, panel.north, panel.places, strict=True):
        if done[place]:
            told = cells.setdefault((round(float(east) / side_km), round(float(north) / side_km)), [])
            if isfinite(values[place]):
                told.append(float(values[place]))
    lead = _NAME if named else 0.0
    parts = []
    if named:
        parts.append(
            f'<text x="{left:.1f}" y="{top + 16:.1f}" font-size="16" font-weight="700">{escape(_fitting(panel.name))}</text>'
        )
    wide, high = (2 * half_wide + 1) * side, (2 * half_high + 1) * side
    parts.append(
        f'<rect x="{left:.1f}" y="{top + lead:.1f}" width="{wide:.1f}" height="{high:.1f}" fill="none" stroke="{pigments.SLATE}" stroke-width="1"/>'
    )
    squares = []
    for (column, line), found in sorted(cells.items()):
        kind = classes.of(sum(found) / len(found)) if found else None
        x, y = left + (column + half_wide) * side, top + lead + (half_high - line) * side
        squares.append(_square(x, y, side, kind, classes))
    return "".join(parts) + _squares(squares), lead + high


def _square(x: float, y: float, side: float, kind: int | None, classes: Classes) -> str:
    """Return a square of a class with its number; a dash for gardens that have no value."""
    shade = pigments.KAOLIN if kind is None else classes.shade(kind)
    ink = pigments.KAOLIN if kind is not None and kind >= 4 else pigments.INK
    size = min(15.0, side * 0.62)
    told = "–" if kind is None else ("<0" if kind == 0 else str(kind))
    return (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{side:.1f}" height="{side:.1f}" fill="{shade}"/>'
        f'<text x="{x + side / 2:.1f}" y="{y + side / 2 + size * 0.36:.1f}" font-size="{size:.1f}" fill="{ink}" stroke="none">{escape(told)}</text>'
    )


def _squares(parts: list[str]) -> str:
    """Return squares with what they share told once."""
    return f'<g stroke="{pigments.INK}" stroke-width="0.6" text-anchor="middle">{"".join(parts)}</g>'


def _legend(classes: Classes, top: float, side_km: float, absent: str) -> tuple[str, float]:
    """Return the legend in columns and the picture's lower edge."""
    kinds: list[int | None] = [*([0] if classes.below_zero else []), 1, 2, 3, 4, 5, *([None] if absent else [])]
    parts, columns = [], 3
    for place, kind in enumerate(kinds):
        x, y = (place % columns) * (WIDTH / columns), top + (place // columns) * 30.0
        words = absent if kind is None else classes.words(kind)
        parts.append(_squares([_square(x + 1, y + 1, 22.0, kind, classes)]))
        parts.append(f'<text x="{x + 32:.1f}" y="{y + 18:.1f}" font-size="17">{escape(words)}</text>')
    bottom = top + ceil(len(kinds) / columns) * 30.0
    told = f"A square is {number(side_km)} km wide and shows the mean of its gardens. North is up."
    parts.append(f'<text x="0" y="{bottom + 18:.1f}" font-size="16">{escape(told)}</text>')
    return "".join(parts), bottom + 28.0


def _fitting(name: str, most: int = 18) -> str:
    return name if len(name) <= most else name[: most - 1] + "…"


def mean_of(result: RegionResult, way: int, at: int) -> Values:
    """Return the mean of a thing for each garden of a way."""
    found: Values = result.figures[:, way, at, 0]
    return found
