"""The cut: a bed as if a spade had opened it, one scale for heights, pieces and worms, seeded by the layer."""

# ruff: noqa: E501 - strings of SVG and HTML are kept whole, they read worse when broken

from __future__ import annotations

from dataclasses import dataclass, field
from html import escape
from math import pi, sin
from zlib import crc32

import numpy as np

from mullbed.domain.residue import Texture
from mullbed.reports import pigments
from mullbed.reports.matter import matter_after
from mullbed.reports.textures import Patch, pieces, soil_crumbs, tint_of

SPADE_CENTIMETRES = 18.0
_WAVE_CENTIMETRES = 0.3


@dataclass(frozen=True, slots=True)
class CutLift:
    """One lift as it lies in the cut."""

    name: str
    matter: Texture
    centimetres: float
    """Thickness. [cm]"""
    depth: str = ""
    """Thickness in the grower's words."""
    state: str = ""
    """Second line of its label."""
    seed: str = ""
    """What gives it its face: bed, day, residue and place in the layer."""
    carbon_gone: float = 0.0
    moisture: float | None = None
    """[fraction, wet basis]"""
    planned: bool = False
    group: str = ""
    """Lifts of one group share one label."""


@dataclass(frozen=True, slots=True)
class Cut:
    """A bed opened by a spade."""

    title: str
    description: str
    lifts: tuple[CutLift, ...]
    """From the soil up."""
    organic_matter: float = 0.03
    """Of the soil. [fraction]"""
    worms: int = 0
    """Expected in a spadeful."""
    breath: int = 0
    """Strokes of warmth above the surface, one for each 5 °C over the air."""
    settled_centimetres: float | None = None
    """Height of the whole cover later. [cm]"""
    settled_words: str = ""
    settled_day: str = ""
    soil_words: tuple[str, str] = ("Soil", "")


@dataclass(frozen=True, slots=True)
class CutLabel:
    """Words beside the cut."""

    y: float
    """[px]"""
    name: str
    depth: str = ""
    state: str = ""


@dataclass(frozen=True, slots=True)
class CutDrawing:
    """The drawn cut with the places of its words."""

    svg: str
    width: float
    height: float
    """[px]"""
    labels: tuple[CutLabel, ...]
    ruler: tuple[CutLabel, ...] = field(default=())


def cut_drawing(
    cut: Cut,
    *,
    scale: float = 12.0,
    line: bool = False,
    words: bool = True,
    inches: bool = False,
    soil_centimetres: float = 5.0,
    width_centimetres: float = SPADE_CENTIMETRES,
    label_pitch: float = 49.0,
    leaders: bool = True,
) -> CutDrawing:
    """Return the cut as SVG; `line` is black on white for paper, `words` writes the labels into it.

    Without `leaders` only picture and ruler are drawn; the page beside it says the rest.

    Reads a :class:`Cut`; raises nothing.
    """
    cover = sum(lift.centimetres for lift in cut.lifts)
    air = max(0.9, (cut.settled_centimetres or 0.0) - cover + 0.9, 24.0 / scale if cut.breath else 0.0)
    ruler_width = 46.0 if words else 0.0
    left, width = ruler_width, width_centimetres * scale
    ground = (air + cover) * scale
    bottom = ground + soil_centimetres * scale
    rng = _generator(cut.title)
    heights = [0.0]
    for lift in cut.lifts:
        heights.append(heights[-1] + lift.centimetres)
    edges = _edges(heights, cut, left, width, scale, ground)
    prefix = f"c{crc32(f'{cut.title} {cut.description} {line} {width_centimetres}'.encode()):08x}"
    body = [_soil(cut, rng, left, width, ground, bottom, scale, edges[0], prefix, line=line)]
    for index, lift in enumerate(cut.lifts):
        body.append(_lift(lift, edges[index], edges[index + 1], f"{prefix}l{index}", scale, line=line))
    body.append(_lines(cut, edges, line=line))
    if cut.settled_centimetres is not None and cut.lifts:
        y = ground - cut.settled_centimetres * scale
        casing = pigments.WHITE if line else pigments.KAOLIN
        path = f"M{left:.1f} {y:.1f}H{left + width:.1f}"
        body.append(
            f'<path d="{path}" stroke="{casing}" stroke-width="5" fill="none" opacity=".85"/>'
            f'<path d="{path}" stroke="{_ink(line)}" stroke-width="2" stroke-dasharray="1.5 5" '
            'stroke-linecap="round" fill="none"/>'
        )
    body.append(_worms(cut.worms, rng, left, width, ground, bottom, scale, line=line))
    body.append(_breath(cut.breath, left, width, ground - cover * scale, line=line))
    anchors = _anchors(cut, heights, ground, scale, soil_centimetres)
    labels, drawn_leaders = _labels(anchors if leaders else [], left + width, label_pitch, line=line)
    body.append(drawn_leaders)
    beside = 50 + (_words_width(labels) if words else -6) if leaders else 2
    full_width = left + width + beside
    full_height = max(bottom + (36 if words else 2), labels[-1].y + 32 if labels else 0)
    ticks, ruler = _ruler(left, ground, cover, soil_centimetres, scale, inches=inches, words=words, line=line)
    if words:
        body.append(ticks)
        body.extend(_label_words(label, left + width + 48) for label in labels)
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {full_width:.0f} {full_height:.0f}" '
        f'width="{full_width:.0f}" height="{full_height:.0f}" role="img" aria-labelledby="{prefix}t {prefix}d">'
        f'<title id="{prefix}t">{escape(cut.title)}</title><desc id="{prefix}d">{escape(cut.description)}</desc>'
        + "".join(body)
        + "</svg>"
    )
    return CutDrawing(svg, full_width, full_height, tuple(labels), tuple(ruler))


def _generator(seed: str) -> np.random.Generator:
    return np.random.default_rng(crc32(seed.encode()))


def _ink(line: bool) -> str:
    return pigments.BLACK if line else pigments.INK


Edge = list[tuple[float, float]]
Anchor = tuple[float, str, str, str]
"""Height of a label, its name, its depth and its state."""


def _edges(heights: list[float], cut: Cut, left: float, width: float, scale: float, ground: float) -> list[Edge]:
    """One wavy line per boundary: base height and four sines, never crossing its neighbours."""
    edges = []
    for index, height in enumerate(heights):
        below = cut.lifts[index - 1].centimetres if index else 2.0
        above = cut.lifts[index].centimetres if index < len(cut.lifts) else 2.0
        swing = min(_WAVE_CENTIMETRES, 0.35 * below, 0.35 * above)
        seed = cut.lifts[index - 1].seed if index else cut.title
        rng = _generator("edge" + seed)
        waves = [(width * 0.6 / (order + 1), float(rng.random() * 2 * pi), 1 / (order + 1.2)) for order in range(4)]
        total = sum(weight for _, _, weight in waves)
        edge = []
        for step in range(int(width // 4) + 1):
            x = min(width, step * 4.0)
            lift = sum(weight * sin(2 * pi * x / length + phase) for length, phase, weight in waves) / total
            edge.append((left + x, ground - (height + swing * lift) * scale))
        edge.append((left + width, edge[-1][1]))
        edges.append(edge)
    return edges


def _path(points: Edge) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points)


def _lift(lift: CutLift, lower: Edge, upper: Edge, name: str, scale: float, *, line: bool) -> str:
    """Tint, pieces clipped to the lift, and its water."""
    outline = _path(upper + lower[::-1]) + "Z"
    matter = matter_after(lift.matter, lift.carbon_gone)
    ys = [y for _, y in upper + lower]
    patch = Patch(upper[0][0], min(ys), upper[-1][0] - upper[0][0], max(ys) - min(ys), scale, lift.carbon_gone, line)
    rng = _generator(lift.seed or lift.name)
    tint = tint_of(matter, lift.carbon_gone, line=line)
    if not line and lift.moisture is not None and lift.moisture > 0.55:
        tint = pigments.blend(tint, pigments.SOIL_INK, 0.12)
    drawn = pieces(matter, patch, rng) + _drops(lift, patch, rng, line=line) + _threads(lift, patch, rng, line=line)
    opacity = ' opacity=".4"' if lift.planned and not line else ""
    return (
        f'<clipPath id="{name}"><path d="{outline}"/></clipPath>'
        f'<g{opacity}><path d="{outline}" fill="{tint}"/><g clip-path="url(#{name})">{drawn}</g></g>'
    )


def _drops(lift: CutLift, patch: Patch, rng: np.random.Generator, *, line: bool) -> str:
    """Drops for wet lifts: one for each 9 cm2, soaked ones one for each 4 cm2."""
    if lift.moisture is None or lift.moisture < 0.7:
        return ""
    each = 4.0 if lift.moisture > 0.82 else 9.0
    area = patch.width * patch.height / patch.scale**2
    size = 0.24 * patch.scale
    fill, edge = (pigments.WHITE, pigments.BLACK) if line else (pigments.GLEY_WASH, pigments.GLEY)
    marks = []
    for _ in range(int(area / each)):
        x, y = patch.left + rng.random() * patch.width, patch.top + rng.random() * patch.height
        marks.append(
            f"M{x:.1f} {y - size:.1f}Q{x + size:.1f} {y + size * 0.6:.1f} {x:.1f} {y + size * 0.7:.1f}"
            f"Q{x - size:.1f} {y + size * 0.6:.1f} {x:.1f} {y - size:.1f}Z"
        )
    return f'<path d="{"".join(marks)}" fill="{fill}" stroke="{edge}" stroke-width="1"/>' if marks else ""


def _threads(lift: CutLift, patch: Patch, rng: np.random.Generator, *, line: bool) -> str:
    """Fungal threads in a lift that has begun to go and is moist."""
    if line or lift.carbon_gone < 0.08 or lift.moisture is None or lift.moisture < 0.45:
        return ""
    marks = []
    for _ in range(int(patch.width * patch.height / patch.scale**2 / 7)):
        x, y = patch.left + rng.random() * patch.width, patch.top + rng.random() * patch.height
        steps = "".join(
            f"l{rng.normal(0.25, 0.2) * patch.scale:.1f} {rng.normal(0, 0.16) * patch.scale:.1f}" for _ in range(4)
        )
        marks.append(f"M{x:.1f} {y:.1f}{steps}")
    path = "".join(marks)
    return f'<path d="{path}" fill="none" stroke="{pigments.KAOLIN}" stroke-width="1.2" stroke-dasharray="5 2"/>'


def _soil(
    cut: Cut,
    rng: np.random.Generator,
    left: float,
    width: float,
    ground: float,
    bottom: float,
    scale: float,
    surface: Edge,
    prefix: str,
    *,
    line: bool,
) -> str:
    """Soil: crumbs, and a dark stain that fades over six centimetres and is as strong as its organic matter."""
    outline = _path(surface) + f"V{bottom:.1f}H{left:.1f}Z"
    patch = Patch(left, ground - 4, width, bottom - ground + 4, scale, 0.0, line)
    fill = pigments.WHITE if line else pigments.SOIL
    stain = ""
    if not line:
        strength = min(0.8, max(0.08, cut.organic_matter / 0.1))
        share = min(1.0, 6.0 * scale / max(1.0, bottom - ground))
        stain = (
            f'<linearGradient id="{prefix}g" x1="0" y1="0" x2="0" y2="1">'
            f'<stop offset="0" stop-color="{pigments.UMBER}" stop-opacity="{strength:.2f}"/>'
            f'<stop offset="{share:.2f}" stop-color="{pigments.UMBER}" stop-opacity="0"/></linearGradient>'
            f'<path d="{outline}" fill="url(#{prefix}g)"/>'
        )
    return (
        f'<clipPath id="{prefix}s"><path d="{outline}"/></clipPath><path d="{outline}" fill="{fill}"/>{stain}'
        f'<g clip-path="url(#{prefix}s)">{soil_crumbs(rng, patch)}</g>'
    )


def _lines(cut: Cut, edges: list[Edge], *, line: bool) -> str:
    """Boundaries between lifts, the top line and the thick soil line."""
    marks = []
    for index in range(len(edges) - 1, -1, -1):
        weight = 3.0 if index == 0 else (1.8 if index == len(edges) - 1 else 1.1)
        planned = index > 0 and cut.lifts[index - 1].planned
        dash = ' stroke-dasharray="5 4"' if planned and not line else ""
        marks.append(
            f'<path d="{_path(edges[index])}" fill="none" stroke="{_ink(line)}" stroke-width="{weight}"{dash}/>'
        )
    return "".join(marks)


def _worms(
    count: int,
    rng: np.random.Generator,
    left: float,
    width: float,
    ground: float,
    bottom: float,
    scale: float,
    *,
    line: bool,
) -> str:
    """Worms, one drawn for four expected in a spadeful, 0.4 cm thick."""
    marks = []
    for _ in range(min(5, round(count / 4))):
        x = left + (0.1 + 0.65 * rng.random()) * width
        y = ground + (0.35 + 0.5 * rng.random()) * (bottom - ground)
        bend = 0.7 * scale
        path = f"M{x:.1f} {y:.1f}q{bend:.1f} {-bend:.1f} {2 * bend:.1f} 0t{2 * bend:.1f} 0t{1.4 * bend:.1f} {-bend * 0.4:.1f}"
        body = pigments.WHITE if line else "#F0B8A0"
        marks.append(
            f'<g fill="none" stroke-linecap="round"><path d="{path}" stroke="{_ink(line)}" stroke-width="{0.4 * scale + 2.4:.1f}"/>'
            f'<path d="{path}" stroke="{body}" stroke-width="{0.4 * scale:.1f}"/></g>'
        )
    return "".join(marks)


def _breath(strokes: int, left: float, width: float, top: float, *, line: bool) -> str:
    """Warmth as wavy breath above the surface."""
    marks = [
        f"M{left + width * (index + 1) / (strokes + 1):.1f} {top - 3:.1f}q-5 -4 0 -8t0 -8"
        for index in range(min(strokes, 8))
    ]
    if not marks:
        return ""
    return f'<path d="{"".join(marks)}" fill="none" stroke="{_ink(line)}" stroke-width="1.6" stroke-linecap="round"/>'


def _anchors(cut: Cut, heights: list[float], ground: float, scale: float, soil_centimetres: float) -> list[Anchor]:
    """Places and words of at most five labels, from the top down; lifts of one group share one."""
    anchors: list[Anchor] = []
    groups: dict[str, tuple[float, float, CutLift]] = {}
    for index, lift in enumerate(cut.lifts):
        key = lift.group or f"lift {index}"
        low = groups[key][0] if key in groups else heights[index]
        groups[key] = (low, heights[index + 1], lift)
    for low, high, lift in groups.values():
        anchors.append((ground - scale * (low + high) / 2, lift.name, lift.depth, lift.state))
    anchors.reverse()
    if cut.settled_centimetres is not None and cut.settled_words and cut.lifts:
        anchors.append((ground - scale * cut.settled_centimetres, cut.settled_words, "", ""))
        anchors.sort(key=lambda anchor: anchor[0])
    room = 4 if cut.soil_words[0] else 5
    if len(anchors) > room:
        anchors = anchors[:room]
    if cut.soil_words[0]:
        anchors.append((ground + scale * min(soil_centimetres * 0.6, 5.0), cut.soil_words[0], "", cut.soil_words[1]))
    return anchors


def _spread_apart(wanted: list[float], pitch: float) -> list[float]:
    """Return places at least a pitch apart, in order, each as near as can be to where it is wanted."""
    blocks: list[tuple[float, int]] = []
    for index, place in enumerate(wanted):
        mean, count = place - index * pitch, 1
        while blocks and blocks[-1][0] > mean:
            before, many = blocks.pop()
            mean, count = (before * many + mean * count) / (many + count), many + count
        blocks.append((mean, count))
    level = [mean for mean, count in blocks for _ in range(count)]
    return [max(14.0, mean) + index * pitch for index, mean in enumerate(level)]


def _labels(anchors: list[Anchor], right: float, pitch: float, *, line: bool) -> tuple[list[CutLabel], str]:
    """Spread the words so that none overlap; leaders keep their order, so none cross."""
    places = _spread_apart([anchor[0] for anchor in anchors], pitch)
    marks, labels = [], []
    ink, casing = _ink(line), pigments.WHITE if line else pigments.KAOLIN
    for place, (y, name, depth, state) in zip(places, anchors, strict=True):
        marks.append(
            f'<circle cx="{right - 12:.1f}" cy="{y:.1f}" r="5.5" fill="{casing}"/><circle cx="{right - 12:.1f}" '
            f'cy="{y:.1f}" r="3.6" fill="{ink}"/><path d="M{right - 12:.1f} {y:.1f}H{right + 8:.1f}L{right + 26:.1f} '
            f'{place:.1f}H{right + 40:.1f}" fill="none" stroke="{ink}" stroke-width="1.8"/>'
        )
        labels.append(CutLabel(place, name, depth, state))
    return labels, "".join(marks)


def _words_width(labels: list[CutLabel]) -> float:
    """Return the room the labels need, in a type a little wider than the narrow one. [px]"""
    first = max((len(label.name) * 9.4 for label in labels), default=0.0)
    second = max(((len(label.depth) + len(label.state) + 2) * 8.4 for label in labels), default=0.0)
    return max(90.0, first, second)


def _label_words(label: CutLabel, x: float) -> str:
    depth = f'<tspan font-weight="700">{escape(label.depth)}</tspan>' if label.depth else ""
    joint = ", " if label.depth and label.state else ""
    second = (
        f'<text x="{x:.1f}" y="{label.y + 25:.1f}" font-size="17">{depth}{joint}{escape(label.state)}</text>'
        if depth or label.state
        else ""
    )
    return (
        f'<g font-family="{pigments.NARROW}" fill="{pigments.INK}"><text x="{x:.1f}" y="{label.y + 6:.1f}" '
        f'font-size="19" font-weight="700">{escape(label.name)}</text>{second}</g>'
    )


def _ruler(
    left: float, ground: float, cover: float, soil: float, scale: float, *, inches: bool, words: bool, line: bool
) -> tuple[str, list[CutLabel]]:
    """Ruler on the left: a tick a centimetre (half an inch), long ones with numbers, 0 at the soil line."""
    step, each = (1.27, 4) if inches else (1.0, 5)
    first, last = -int(soil / step), int(cover / step + 0.999)
    x = left - 9
    marks = [f"M{x:.1f} {ground - last * step * scale:.1f}V{ground - first * step * scale:.1f}"]
    numbers: list[CutLabel] = []
    for tick in range(first, last + 1):
        y = ground - tick * step * scale
        long = tick % each == 0
        marks.append(f"M{x:.1f} {y:.1f}h{-9 if long else -5}")
        if long:
            value = abs(tick) // 2 if inches else abs(tick)
            numbers.append(CutLabel(y, str(value)))
    ink = _ink(line)
    drawn = f'<path d="{"".join(marks)}" stroke="{ink}" stroke-width="1.6" fill="none"/>'
    if words:
        unit = "in" if inches else "cm"
        lowest = max(ground - first * step * scale, numbers[0].y + 14)
        drawn += "".join(
            f'<text x="{x - 13:.1f}" y="{number.y + 6:.1f}" text-anchor="end" font-size="17" font-weight="700" '
            f'font-family="{pigments.NARROW}" fill="{ink}">{number.name}</text>'
            for number in numbers
        )
        drawn += (
            f'<text x="{x - 2:.1f}" y="{lowest + 17:.1f}" text-anchor="end" font-size="17" '
            f'font-family="{pigments.NARROW}" fill="{ink}">{unit}</text>'
        )
    return drawn, numbers
