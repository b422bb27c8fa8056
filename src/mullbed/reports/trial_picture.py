"""The plots of a trial: from the side as strips, and from above on the beds as they are measured."""

# ruff: noqa: E501 - strings of SVG are kept whole, they read worse when broken

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from mullbed.domain.residue import Texture
from mullbed.domain.trial import Plot, TrialPlan, Way
from mullbed.language import say
from mullbed.reports import pigments
from mullbed.reports.garden_map_patterns import bare_pattern, matter_pattern

WIDTH = 360.0
_STEP = 38.0
_BETWEEN = 12.0
_DEPTH = 38.0
_HIGH = 48.0
_ROW = 34.0 + _HIGH + 6.0 + _DEPTH + 8.0
#: What is drawn of each way: lifts from the soil up, with their heights. [cm]
_MOUNDS: dict[Way, tuple[tuple[Texture, float], ...]] = {
    Way.LAYERS: ((Texture.STRAW, 2.0), (Texture.CLIPPINGS, 2.0), (Texture.STRAW, 4.0)),
    Way.PILE: ((Texture.MULL, 3.2),),  # crumbs like those of the soil: their pattern is drawn already
    Way.CHIPS: ((Texture.CHIPS, 6.0),),
    Way.BARE_FED: (),
    Way.BARE: (),
    Way.OWN: (),
}
_SCALE = 5.5


def strips_svg(plan: TrialPlan, *, blind: bool = False) -> str:
    """Return the plots in side view, pair by pair in walking order; blind shows codes alone."""
    count = len(plan.treatments)
    block_width = count * _STEP + _BETWEEN
    across = max(1, int((WIDTH - 8.0 + _BETWEEN) / block_width))
    blocks = sorted({plot.block for plot in plan.plots})
    rows = [blocks[start : start + across] for start in range(0, len(blocks), across)]
    width = max(WIDTH, 8.0 + count * _STEP)
    high = _ROW * len(rows)
    ways = {one.code: one.way for one in plan.treatments}
    used = () if blind else sorted({texture for way in ways.values() for texture, _ in _MOUNDS[way]} - {Texture.MULL})
    parts = [f"<defs>{bare_pattern()}{''.join(matter_pattern(one) for one in used)}</defs>"]
    for index, row in enumerate(rows):
        ground = _ROW * index + 34.0 + _HIGH
        parts.append(
            f'<rect x="0" y="{ground:.0f}" width="{width:.0f}" height="{_DEPTH:.0f}" fill="url(#bare)"/>'
            f'<path d="M0 {ground:.0f}H{width:.0f}" stroke="{pigments.INK}" stroke-width="3"/>'
        )
        start = (width - (len(row) * block_width - _BETWEEN)) / 2
        for place, block in enumerate(row):
            left = start + place * block_width
            inside = sorted((plot for plot in plan.plots if plot.block == block), key=lambda plot: plot.position)
            middle = left + len(inside) * _STEP / 2
            parts.append(
                f'<text x="{middle:.1f}" y="{ground - _HIGH - 14:.0f}" text-anchor="middle" font-size="20" font-weight="700">{block}</text>'
            )
            for number, plot in enumerate(inside):
                way = None if blind else ways[plot.treatment]
                label = plot.code if blind else plot.treatment
                parts.append(_plot(way, label, left + number * _STEP, ground))
    told = layout_words(plan, blind=blind)
    return (
        f'<svg class="chart" viewBox="0 0 {width:.0f} {high:.0f}" role="img" font-family="{pigments.NARROW}" fill="{pigments.INK}">'
        f"<title>{escape(say('Where each way lies'))}</title><desc>{escape(told)}</desc>{''.join(parts)}</svg>"
    )


def layout_words(plan: TrialPlan, *, blind: bool = False) -> str:
    """Return the layout in words, block by block."""
    told = []
    for block in sorted({plot.block for plot in plan.plots}):
        inside = sorted((plot for plot in plan.plots if plot.block == block), key=lambda plot: plot.position)
        cells = ", ".join(plot.code if blind else f"{plot.code} {plot.treatment}" for plot in inside)
        told.append(f"{block}: {cells}.")
    return " ".join(told)


def _plot(way: Way | None, label: str, left: float, ground: float) -> str:
    """Return one mound with its letter in the soil."""
    inside, wide = left + 2.0, _STEP - 4.0
    shape = ""
    foot = ground
    for texture, centimetres in _MOUNDS.get(way, ()) if way is not None else ():
        high = centimetres * _SCALE
        top = foot - high
        lean = 0.12 * (ground - top)
        outline = (
            f"M{inside + 0.12 * (ground - foot):.1f} {foot:.1f}C{inside + 0.1 * (ground - foot) + 2:.1f} {top + 3:.1f} {inside + lean + 1:.1f} {top:.1f} {inside + lean + 8:.1f} {top:.1f}"
            f"H{inside + wide - lean - 8:.1f}C{inside + wide - lean - 1:.1f} {top:.1f} {inside + wide - 0.1 * (ground - foot) - 2:.1f} {top + 3:.1f} {inside + wide - 0.12 * (ground - foot):.1f} {foot:.1f}Z"
        )
        shape += f'<path d="{outline}" fill="url(#{_pattern(texture)})" stroke="{pigments.INK}" stroke-width="1.8"/>'
        foot = top
    if way is Way.BARE_FED:
        shape = "".join(
            f'<circle cx="{inside + 5 + 7 * number:.1f}" cy="{ground - 4:.1f}" r="2.4" fill="{pigments.KAOLIN}" stroke="{pigments.INK}" stroke-width="1.4"/>'
            for number in range(int(wide / 7))
        )
    elif way is Way.OWN or way is None:
        shape = f'<path d="M{inside + 3:.1f} {ground:.1f}v-14h{wide - 6:.1f}v14" fill="none" stroke="{pigments.INK}" stroke-width="1.8" stroke-dasharray="5 4"/>'
    size = 19 if len(label) > 1 else 22
    return (
        f'{shape}<text x="{left + _STEP / 2:.1f}" y="{ground + 26:.1f}" text-anchor="middle" font-size="{size}" font-weight="700" '
        f'fill="{pigments.KAOLIN}" stroke="{pigments.UMBER}" stroke-width="5" paint-order="stroke">{escape(label)}</text>'
    )


def _pattern(texture: Texture) -> str:
    return "bare" if texture is Texture.MULL else f"top-{texture}"


def plots_of_bed(plan: TrialPlan, bed: str) -> Sequence[Plot]:
    """Return the plots on a bed in walking order."""
    return sorted((plot for plot in plan.plots if plot.bed == bed), key=lambda plot: (plot.block, plot.position))
