"""The plots of a trial from above: every bed as it is measured, parted along its longer side in walking order."""

# ruff: noqa: E501 - strings of SVG are kept whole, they read worse when broken

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from math import sqrt

from mullbed.domain.bed import Bed
from mullbed.domain.garden import UnitSystem
from mullbed.domain.trial import TrialPlan
from mullbed.language import say
from mullbed.reports import pigments
from mullbed.reports.amounts import is_us
from mullbed.reports.names import bed_title
from mullbed.reports.trial_picture import layout_words, plots_of_bed

WIDTH = 350.0
USUAL_WIDTH = 1.2
"""A bed of which only the area is known is drawn so wide. Judgement. [m]"""
_LABEL = 26.0
_GAP = 16.0
_LEAST = 46.0
"""A bed is drawn at least so high, so that its codes can be read. [px]"""
_NARROWEST = 32.0
"""Narrower plots are folded. [px]"""
_FOOT = 0.3048


@dataclass(frozen=True, slots=True)
class _Box:
    name: str
    left: float
    top: float
    wide: float
    high: float
    true: bool
    """Whether both sides are to scale."""
    folded: bool = False
    """Whether blocks lie beneath each other in the picture, because beside each other they would be too narrow."""


def trial_map_svg(plan: TrialPlan, beds: Sequence[Bed], units: UnitSystem, *, blind: bool = False) -> str:
    """Return the beds of a trial from above with their plots; an empty text where no plot lies on a bed.

    Beds stand where they are if their outlines form one map, else in rows at one scale.
    """
    names = [name for name in dict.fromkeys(plot.bed for plot in plan.plots) if name]
    if not names:
        return ""
    known = {bed.name: bed for bed in beds}
    boxes, bottom, scale = _mapped([known[name] for name in names if name in known], len(names))
    if not boxes:
        boxes, bottom, scale = _rows(plan, names, known)
    ways = {one.code: one.name for one in plan.treatments}
    parts = [_bed(plan, box, ways, blind=blind) for box in boxes]
    bar = _bar(scale, units, bottom) if scale and any(box.true for box in boxes) else ""
    high = bottom + (30.0 if bar else 4.0)
    told = layout_words(plan, blind=blind)
    return (
        f'<svg class="chart" viewBox="0 0 {WIDTH:.0f} {high:.0f}" role="img" font-family="{pigments.NARROW}" fill="{pigments.INK}">'
        f"<title>{escape(say('The plots on the beds, from above'))}</title><desc>{escape(told)}</desc>{''.join(parts)}{bar}</svg>"
    )


def _sides(bed: Bed) -> tuple[float, float]:
    """Return longer and shorter side of a bed's box. [m]"""
    if bed.outline is None:
        wide = min(USUAL_WIDTH, sqrt(bed.area))
        return bed.area / wide, wide
    xs, ys = [x for x, _ in bed.outline], [y for _, y in bed.outline]
    one, two = max(xs) - min(xs), max(ys) - min(ys)
    return max(one, two), min(one, two)


def _mapped(beds: Sequence[Bed], wanted: int) -> tuple[list[_Box], float, float]:
    """Return the beds where they are, if every one has an outline and none lies over another."""
    told = [(bed, bed.outline) for bed in beds if bed.outline is not None]
    if len(told) < 2 or len(told) != wanted:
        return [], 0.0, 0.0
    corners = [
        (min(x for x, _ in one), min(y for _, y in one), max(x for x, _ in one), max(y for _, y in one))
        for _, one in told
    ]
    over = any(
        min(a[2], b[2]) - max(a[0], b[0]) > 0.05 and min(a[3], b[3]) - max(a[1], b[1]) > 0.05
        for index, a in enumerate(corners)
        for b in corners[index + 1 :]
    )
    west, east = min(one[0] for one in corners), max(one[2] for one in corners)
    south, north = min(one[1] for one in corners), max(one[3] for one in corners)
    scale = (WIDTH - 4.0) / (east - west) if east > west else 0.0
    thin = min(min(one[2] - one[0], one[3] - one[1]) for one in corners) * scale
    if over or scale == 0.0 or thin < _LEAST or (north - south) * scale > 4.0 * WIDTH:
        return [], 0.0, 0.0
    boxes = [
        _Box(
            bed.name,
            2.0 + (one[0] - west) * scale,
            _LABEL + (north - one[3]) * scale,
            (one[2] - one[0]) * scale,
            (one[3] - one[1]) * scale,
            True,
        )
        for (bed, _), one in zip(told, corners, strict=True)
    ]
    return boxes, _LABEL + (north - south) * scale + 6.0, scale


def _rows(plan: TrialPlan, names: Sequence[str], known: dict[str, Bed]) -> tuple[list[_Box], float, float]:
    """Return the beds beneath each other, lengths at one scale; one nobody measured as long as the longest.

    A bed with so many plots that their codes could not be read is folded: one block a line.
    """
    sides = {name: _sides(known[name]) for name in names if name in known}
    longest = max((one for one, _ in sides.values()), default=1.0)
    scale = (WIDTH - 4.0) / longest
    boxes, top = [], 0.0
    for name in names:
        long, short = sides.get(name, (longest, 0.0))
        plots = plots_of_bed(plan, name)
        blocks = len({plot.block for plot in plots})
        if long * scale / max(1, len(plots)) < _NARROWEST and blocks > 1:
            boxes.append(_Box(name, 2.0, top + _LABEL, WIDTH - 4.0, 38.0 * blocks, False, True))
            top += _LABEL + 38.0 * blocks + _GAP
            continue
        high = max(_LEAST, short * scale)
        true = name in sides and short * scale >= _LEAST
        boxes.append(_Box(name, 2.0, top + _LABEL, long * scale, min(high, 96.0), true and high <= 96.0))
        top += _LABEL + min(high, 96.0) + _GAP
    return boxes, top, scale if sides else 0.0


def _bed(plan: TrialPlan, box: _Box, ways: dict[str, str], *, blind: bool) -> str:
    """Return one bed parted into its plots."""
    plots = plots_of_bed(plan, box.name)
    if box.folded:
        return _folded(plan, box, blind=blind)
    across = box.wide >= box.high
    part = (box.wide if across else box.high) / max(1, len(plots))
    cells = []
    for index, plot in enumerate(plots):
        x = box.left + (index * part if across else 0.0)
        y = box.top + (0.0 if across else index * part)
        wide, high = (part, box.high) if across else (box.wide, part)
        first = index == 0 or plot.block != plots[index - 1].block
        dark = not blind and plot.treatment != plan.control
        fill = pigments.OCHRE if dark else pigments.WHITE
        word = plot.code if blind or wide < 60.0 else f"{plot.code} {plot.treatment}"
        cells.append(
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{high:.1f}" fill="{fill}" stroke="{pigments.INK}" stroke-width="1.4"/>'
            + (_block_line(x, y, wide, high, across=across) if first and index else "")
            + f'<text x="{x + wide / 2:.1f}" y="{y + high / 2 + (6 if blind or wide >= 60.0 else -2):.1f}" text-anchor="middle" font-size="{18 if wide >= 36 else 15}" font-weight="700">{escape(word)}</text>'
            + (
                ""
                if blind or wide >= 60.0
                else f'<text x="{x + wide / 2:.1f}" y="{y + high / 2 + 17:.1f}" text-anchor="middle" font-size="17">{escape(plot.treatment)}</text>'
            )
        )
    name = f'<text x="{box.left:.1f}" y="{box.top - 7:.1f}" font-size="19" font-weight="700">{escape(bed_title(box.name))}</text>'
    frame = f'<rect x="{box.left:.1f}" y="{box.top:.1f}" width="{box.wide:.1f}" height="{box.high:.1f}" fill="none" stroke="{pigments.INK}" stroke-width="3"/>'
    return name + "".join(cells) + frame


def _folded(plan: TrialPlan, box: _Box, *, blind: bool) -> str:
    """Return a bed with one block a line, in walking order."""
    plots = plots_of_bed(plan, box.name)
    blocks = list(dict.fromkeys(plot.block for plot in plots))
    high = box.high / len(blocks)
    cells = []
    for line, block in enumerate(blocks):
        inside = [plot for plot in plots if plot.block == block]
        wide = box.wide / len(inside)
        for place, plot in enumerate(inside):
            x, y = box.left + place * wide, box.top + line * high
            fill = pigments.OCHRE if not blind and plot.treatment != plan.control else pigments.WHITE
            word = plot.code if blind else f"{plot.code} {plot.treatment}"
            cells.append(
                f'<rect x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{high:.1f}" fill="{fill}" stroke="{pigments.INK}" stroke-width="1.4"/>'
                f'<text x="{x + wide / 2:.1f}" y="{y + high / 2 + 6:.1f}" text-anchor="middle" font-size="17" font-weight="700">{escape(word)}</text>'
            )
    title = escape(f"{bed_title(box.name)}, {say('folded: one line a block')}")
    name = f'<text x="{box.left:.1f}" y="{box.top - 7:.1f}" font-size="19" font-weight="700">{title}</text>'
    frame = f'<rect x="{box.left:.1f}" y="{box.top:.1f}" width="{box.wide:.1f}" height="{box.high:.1f}" fill="none" stroke="{pigments.INK}" stroke-width="3"/>'
    return name + "".join(cells) + frame


def _block_line(x: float, y: float, wide: float, high: float, *, across: bool) -> str:
    end = f"V{y + high:.1f}" if across else f"H{x + wide:.1f}"
    return f'<path d="M{x:.1f} {y:.1f}{end}" stroke="{pigments.INK}" stroke-width="4.5"/>'


def _bar(scale: float, units: UnitSystem, top: float) -> str:
    """Return a bar of a plain length."""
    metres, words = (_FOOT * 5.0, say("5 ft")) if is_us(units) else (1.0, say("1 m"))
    return (
        f'<path d="M2 {top + 8:.0f}h{metres * scale:.1f}m0-6v12M2 {top + 2:.0f}v12" stroke="{pigments.INK}" stroke-width="2.4" fill="none"/>'
        f'<text x="{10 + metres * scale:.1f}" y="{top + 14:.0f}" font-size="17">{escape(words)}</text>'
    )
