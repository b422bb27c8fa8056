"""The garden from above: beds drawn from their outlines, each a link, told by texture, number and words."""

# ruff: noqa: E501 - strings of SVG are kept whole, they read worse when broken

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from math import sqrt

from mullbed.domain.garden import UnitSystem
from mullbed.domain.residue import Texture
from mullbed.language import say
from mullbed.reports import pigments
from mullbed.reports.amounts import is_us
from mullbed.reports.garden_map_patterns import bare_pattern, matter_pattern

WIDTH = 350.0
"""Of the picture at a phone. [px]"""
LEAST_TARGET = 56.0
"""A bed's link is at least so high and wide, words included. [px]"""
USUAL_WIDTH = 1.2
"""A bed of which only the area is known is drawn so wide. Judgement. [m]"""
_LABEL = 30.0
_GAP = 14.0
_PEG = 8.0
_FOOT = 0.3048

Corners = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class MapBed:
    """One bed as the map shows it."""

    name: str
    address: str
    """Where a tap leads; empty for a map that leads nowhere."""
    outline: Corners | None
    """Corners in metres, east and north; None where only the area is known."""
    area: float
    """[m2]"""
    matter: Texture | None
    """What lies on top; None where it is bare."""
    grows: bool
    stop: int | None
    """Its place among the stops; None where it can be left alone."""
    verb: str
    """One or two words: what to do."""
    words: str
    """The same in full."""


@dataclass(frozen=True, slots=True)
class _Drawn:
    """One bed in the picture. [px]"""

    bed: MapBed
    corners: Corners
    room: float
    """For its name."""

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom."""
        xs, ys = [x for x, _ in self.corners], [y for _, y in self.corners]
        return min(xs), min(ys), max(xs), max(ys)


def placed_beds(beds: Sequence[MapBed]) -> tuple[list[MapBed], list[MapBed]]:
    """Return the beds whose outlines stand in one true map, and those that do not.

    Outlines that lie over each other were measured each from its own corner: they tell a shape, no place.
    """
    told = [bed for bed in beds if bed.outline is not None]
    boxes = [_box(bed.outline or ()) for bed in told]
    over = {
        index
        for one, first in enumerate(boxes)
        for other, second in enumerate(boxes)
        if one < other and _over(first, second)
        for index in (one, other)
    }
    if len(told) < 2 or over:
        return [], list(beds)
    return told, [bed for bed in beds if bed.outline is None]


def map_svg(beds: Sequence[MapBed], units: UnitSystem) -> str:
    """Return the map as SVG; beds without a place stand in rows beneath, at their true size."""
    placed, others = placed_beds(beds)
    drawn, bottom, scale = _true_map(placed)
    rows, bottom, row_scale = _in_rows(others, bottom, scale if placed else None)
    order = {bed.name: index for index, bed in enumerate(beds)}
    shown = sorted((*drawn, *rows), key=lambda one: order[one.bed.name])
    used = sorted({one.bed.matter for one in shown if one.bed.matter is not None})
    defs = "".join(matter_pattern(matter) for matter in used)
    if any(one.bed.matter is None for one in shown):
        defs += bare_pattern()
    bar, bar_words = _bar(scale if placed else row_scale, units, bottom)
    told = " ".join(f"{bed.name}: {bed.words}." for bed in beds)
    return (
        f'<svg class="map" viewBox="0 0 {WIDTH:.0f} {bottom + 30:.0f}" role="group" aria-label="{escape(say("The garden from above, {bar}", bar=bar_words), quote=True)}">'
        f"<desc>{escape(told)}</desc><defs>{defs}</defs>{''.join(_bed(one) for one in shown)}{bar}</svg>"
    )


def _box(corners: Corners) -> tuple[float, float, float, float]:
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return min(xs), min(ys), max(xs), max(ys)


def _over(first: tuple[float, float, float, float], second: tuple[float, float, float, float]) -> bool:
    """Tell whether two boxes share more than a tenth of the smaller one."""
    wide = min(first[2], second[2]) - max(first[0], second[0])
    high = min(first[3], second[3]) - max(first[1], second[1])
    least = min((box[2] - box[0]) * (box[3] - box[1]) for box in (first, second))
    return wide > 0 and high > 0 and wide * high > 0.1 * least


def _true_map(beds: Sequence[MapBed]) -> tuple[list[_Drawn], float, float]:
    """Return the beds in their places, north up, with the lower edge and the scale. [px, px per m]"""
    if not beds:
        return [], 0.0, 0.0
    left, south, right, north = _box(tuple(corner for bed in beds for corner in bed.outline or ()))
    scale = min((WIDTH - 12.0) / max(right - left, 0.1), 620.0 / max(north - south, 0.1))
    drawn = [
        _Drawn(bed, tuple((6 + (x - left) * scale, 34 + (north - y) * scale) for x, y in bed.outline or ()), WIDTH / 2)
        for bed in beds
    ]
    return drawn, 34 + (north - south) * scale + 34, scale


def _in_rows(beds: Sequence[MapBed], top: float, scale: float | None) -> tuple[list[_Drawn], float, float]:
    """Return beds without a place in two columns; their shapes are true, their places are not."""
    if not beds:
        return [], top, scale or 0.0
    shapes = [_shape(bed) for bed in beds]
    columns = 1 if len(beds) == 1 else 2
    room = (WIDTH - _GAP * (columns - 1) - 8) / columns
    widest = max(x for shape in shapes for x, _ in shape)
    scale = min(scale or room / widest, room / widest, 90.0)
    drawn: list[_Drawn] = []
    top += 24.0
    for start in range(0, len(beds), columns):
        row = list(zip(beds[start : start + columns], shapes[start : start + columns], strict=True))
        high = max(max(y for _, y in shape) for _, shape in row) * scale
        for column, (bed, shape) in enumerate(row):
            left = 4 + column * (room + _GAP)
            drawn.append(_Drawn(bed, tuple((left + x * scale, top + high - y * scale) for x, y in shape), room))
        top += max(high + _LABEL, LEAST_TARGET) + _GAP + _PEG
    return drawn, top, scale


def _shape(bed: MapBed) -> Corners:
    """Return the corners of a bed from its own lower left corner, longer side across. [m]"""
    if bed.outline is None:
        wide = min(USUAL_WIDTH, sqrt(bed.area))
        return ((0.0, 0.0), (bed.area / wide, 0.0), (bed.area / wide, wide), (0.0, wide))
    left, south, right, north = _box(bed.outline)
    if north - south > right - left:
        return tuple((north - y, x - left) for x, y in bed.outline)
    return tuple((x - left, y - south) for x, y in bed.outline)


def _bed(one: _Drawn) -> str:
    """Return one bed: its ground, its edge, its peg, its words, the whole a link."""
    bed, (left, top, right, bottom) = one.bed, one.box
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in one.corners)
    fill = "bare" if bed.matter is None else f"top-{bed.matter}"
    edge = 5.0 if bed.stop is not None else 2.0
    rows = ""
    if bed.grows and bed.matter is None:
        rows = "".join(
            f'<path d="M{left + 8:.1f} {top + share * (bottom - top):.1f}H{right - 8:.1f}" stroke="{pigments.KAOLIN}" stroke-width="4" stroke-dasharray="0.1 9" stroke-linecap="round"/>'
            for share in (0.3, 0.6)
        )
    peg = _peg((left + right) / 2, top, bed.stop) if bed.stop is not None else ""
    inside = bottom - top >= 62.0
    at = bottom - 12.0 if inside else bottom + 21.0
    plate = ""
    size = 8.6 * (len(bed.name) + len(bed.verb) + 1)
    if inside:
        plate = f'<rect x="{left + 6:.1f}" y="{at - 20:.1f}" width="{size + 8:.1f}" height="27" rx="5" fill="{pigments.KAOLIN}" stroke="{pigments.INK}" stroke-width="1.4"/>'
    words = (
        f'<text x="{left + (10 if inside else 0):.1f}" y="{at:.1f}" font-size="18" fill="{pigments.INK}" font-family="{pigments.NARROW}">'
        f'<tspan font-weight="700">{escape(_fitting(bed.name, bed.verb, max(one.room, right - left)))}</tspan>{" " + escape(bed.verb) if bed.verb else ""}</text>'
    )
    tap_top, tap_bottom = top - 4.0, max(bottom if inside else bottom + _LABEL, top + LEAST_TARGET)
    drawn = (
        f'<rect x="{left:.1f}" y="{tap_top:.1f}" width="{max(right - left, LEAST_TARGET):.1f}" height="{tap_bottom - tap_top:.1f}" fill="transparent"/>'
        f'<polygon points="{points}" fill="url(#{fill})" stroke="{pigments.INK}" stroke-width="{edge:g}" stroke-linejoin="round"/>{rows}{plate}{words}{peg}'
    )
    if not bed.address:
        return f"<g>{drawn}</g>"
    label = escape(f"{bed.name}: {bed.words}", quote=True)
    return f'<a href="{escape(bed.address, quote=True)}" aria-label="{label}">{drawn}</a>'


def _fitting(name: str, verb: str, room: float) -> str:
    """Return a name as long as its place is wide; all of it stands in the list beside."""
    letters = max(4, int(room / 8.6) - len(verb) - 1)
    return name if len(name) <= letters else name[: letters - 1] + "."


def _peg(x: float, top: float, stop: int) -> str:
    """Return a peg with its number, standing in the bed's upper edge."""
    high = top - 22
    return (
        f'<path d="M{x - 12:.1f} {high + 5:.1f}l4-5h16l4 5v26l-12 16l-12-16Z" fill="{pigments.LIMONITE}" stroke="{pigments.INK}" stroke-width="2.4" stroke-linejoin="round"/>'
        f'<text x="{x:.1f}" y="{high + 24:.1f}" text-anchor="middle" font-size="20" font-weight="700" font-family="{pigments.NARROW}" fill="{pigments.INK}">{stop}</text>'
    )


def _bar(scale: float, units: UnitSystem, top: float) -> tuple[str, str]:
    """Return a bar of 2 m, or of 6 ft, and its words."""
    long, words = (
        (6 * _FOOT, say("bar: {long}", long="6 ft")) if is_us(units) else (2.0, say("bar: {long}", long="2 m"))
    )
    end, wide = WIDTH - 6.0, long * scale
    return (
        f'<g aria-hidden="true"><text x="{end - wide - 10:.1f}" y="{top + 18:.1f}" text-anchor="end" font-size="17" font-family="{pigments.NARROW}" fill="{pigments.INK}">{words.partition(": ")[2]}</text>'
        f'<path d="M{end - wide:.1f} {top + 7:.1f}v10m0-5h{wide:.1f}m0-5v10" fill="none" stroke="{pigments.INK}" stroke-width="2.4"/></g>',
        words,
    )
