"""Pieces of matter as SVG, at true size: each kind has its own shape, so it can be told in grey print.

Shapes and sizes are our own drawing rules; a piece shortens as its carbon goes.
"""

# ruff: noqa: E501 - strings of SVG and HTML are kept whole, they read worse when broken

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, pi, radians, sin

import numpy as np

from mullbed.domain.residue import Texture
from mullbed.reports import pigments
from mullbed.reports.matter import LOOKS


@dataclass(frozen=True, slots=True)
class Patch:
    """The part of a picture that pieces must cover."""

    left: float
    top: float
    width: float
    height: float
    """[px]"""
    scale: float
    """[px per cm]"""
    carbon_gone: float = 0.0
    line: bool = False
    """Black on white, no tints."""


Draw = Callable[[np.random.Generator, Patch, float, float, tuple[str, ...]], tuple[str, float]]
"""Draws one piece at x, y; returns the SVG and its area in cm2."""


def tint_of(matter: Texture, carbon_gone: float, *, line: bool = False) -> str:
    """Return the colour of the ground of a lift."""
    return pigments.WHITE if line else pigments.blend(LOOKS[matter].tint, pigments.DECAYED, 0.75 * carbon_gone)


def ink_of(matter: Texture, carbon_gone: float, *, line: bool = False) -> str:
    """Return the colour of the pieces of a lift."""
    return pigments.BLACK if line else pigments.blend(LOOKS[matter].ink, pigments.SOIL_INK, 0.8 * carbon_gone)


def pieces(matter: Texture, patch: Patch, rng: np.random.Generator) -> str:
    """Return pieces over the patch until their area covers it, as one SVG group."""
    if patch.width <= 0 or patch.height <= 0:
        return ""
    ink = ink_of(matter, patch.carbon_gone, line=patch.line)
    tint = tint_of(matter, patch.carbon_gone, line=patch.line)
    shades = (
        (ink,) if patch.line else (ink, pigments.blend(ink, tint, 0.3), pigments.blend(ink, pigments.SOIL_INK, 0.45))
    )
    fills = (
        (pigments.WHITE,)
        if patch.line
        else (tint, pigments.blend(tint, pigments.KAOLIN, 0.3), pigments.blend(tint, ink, 0.16))
    )
    draw, coverage = _DRAW[matter]
    wanted = coverage * patch.width * patch.height / patch.scale**2
    covered, marks = 0.0, list[str]()
    start = rng.random()
    while covered < wanted and len(marks) < 1200:
        x = patch.left + (start + 0.618034 * len(marks)) % 1.0 * patch.width
        y = patch.top + rng.random() * patch.height
        colours = (shades[int(rng.integers(len(shades)))], fills[int(rng.integers(len(fills)))])
        mark, area = draw(rng, patch, x, y, colours)
        marks.append(mark)
        covered += max(area, 0.02)
    width = 0.09 * patch.scale * (1.0 if patch.line else 0.8)
    return (
        f'<g stroke="{ink}" stroke-width="{max(0.5, min(1.3, width)):.2f}" fill="none" '
        f'stroke-linecap="round" stroke-linejoin="round">{"".join(marks)}</g>'
    )


def _length(rng: np.random.Generator, patch: Patch, low: float, high: float) -> float:
    """Length of a piece, shortened with its age. [cm]"""
    return float(low + rng.random() * (high - low)) * (1 - 0.55 * patch.carbon_gone)


def _slope(rng: np.random.Generator, spread_degrees: float) -> tuple[float, float]:
    angle = radians(float(rng.normal(0.0, spread_degrees)))
    return cos(angle), sin(angle)


def _blade(rng: np.random.Generator, patch: Patch, x: float, y: float, colours: tuple[str, ...]) -> tuple[str, float]:
    """A cut blade of grass: one curved stroke."""
    length, thick = _length(rng, patch, 1.6, 3.6), 0.12 + rng.random() * 0.14
    across, down = _slope(rng, 18)
    reach, bow = length * patch.scale / 2, float(rng.normal(0, 0.14)) * length * patch.scale
    weight = thick * patch.scale * (1.15 if patch.line else 1.0)
    path = (
        f"M{x - across * reach:.1f} {y - down * reach:.1f}"
        f"Q{x - down * bow:.1f} {y + across * bow:.1f} {x + across * reach:.1f} {y + down * reach:.1f}"
    )
    return f'<path d="{path}" stroke="{colours[0]}" stroke-width="{weight:.1f}"/>', length * thick * 2.2


def _dry_blade(
    rng: np.random.Generator, patch: Patch, x: float, y: float, colours: tuple[str, ...]
) -> tuple[str, float]:
    """A dried blade: the same stroke, thin, so that dry grass reads lighter than fresh."""
    length, thick = _length(rng, patch, 1.8, 4.6), 0.08 + rng.random() * 0.07
    across, down = _slope(rng, 18)
    reach, bow = length * patch.scale / 2, float(rng.normal(0, 0.16)) * length * patch.scale
    path = (
        f"M{x - across * reach:.1f} {y - down * reach:.1f}"
        f"Q{x - down * bow:.1f} {y + across * bow:.1f} {x + across * reach:.1f} {y + down * reach:.1f}"
    )
    weight = max(0.6, thick * patch.scale)
    return f'<path d="{path}" stroke="{colours[0]}" stroke-width="{weight:.1f}"/>', length * thick * 2.6


def _leaf(rng: np.random.Generator, patch: Patch, x: float, y: float, colours: tuple[str, ...]) -> tuple[str, float]:
    """A fallen leaf: a lens with its midrib."""
    length, wide = _length(rng, patch, 1.8, 4.2), 0.35 + rng.random() * 0.45
    across, down = _slope(rng, 13)
    reach, bulge = length * patch.scale / 2, wide * patch.scale
    left, upper = x - across * reach, y - down * reach
    right, lower = x + across * reach, y + down * reach
    path = (
        f"M{left:.1f} {upper:.1f}Q{x + down * bulge:.1f} {y - across * bulge:.1f} {right:.1f} {lower:.1f}"
        f"Q{x - down * bulge:.1f} {y + across * bulge:.1f} {left:.1f} {upper:.1f}Z"
        f"M{left:.1f} {upper:.1f}L{x + across * reach * 0.7:.1f} {y + down * reach * 0.7:.1f}"
    )
    return f'<path d="{path}" fill="{colours[1]}"/>', length * wide * 0.66


def _stem(rng: np.random.Generator, patch: Patch, x: float, y: float, colours: tuple[str, ...]) -> tuple[str, float]:
    """A straw: two long parallel lines and one node."""
    length, thick = _length(rng, patch, 6.0, 16.0), 0.3 + rng.random() * 0.15
    across, down = _slope(rng, 7)
    reach, half = length * patch.scale / 2, thick * patch.scale / 2
    corners = [
        (x - across * reach + down * half, y - down * reach - across * half),
        (x + across * reach + down * half, y + down * reach - across * half),
        (x + across * reach - down * half, y + down * reach + across * half),
        (x - across * reach - down * half, y - down * reach + across * half),
    ]
    at = (rng.random() - 0.5) * reach
    node = (
        f"M{x + across * at + down * half:.1f} {y + down * at - across * half:.1f}"
        f"L{x + across * at - down * half:.1f} {y + down * at + across * half:.1f}"
    )
    path = "M" + "L".join(f"{px:.1f} {py:.1f}" for px, py in corners) + "Z" + node
    return f'<path d="{path}" fill="{colours[1]}"/>', length * thick


def _strip(rng: np.random.Generator, patch: Patch, x: float, y: float, colours: tuple[str, ...]) -> tuple[str, float]:
    """A strip of card: two faces with the fluting between."""
    length, thick = _length(rng, patch, 3.0, 6.0), 0.45
    angle = float(rng.normal(0.0, 6.0))
    reach, half = length * patch.scale / 2, thick * patch.scale / 2
    steps = max(4, int(length / 0.3))
    flute = "L".join(
        f"{x - reach + 2 * reach * step / steps:.1f} {y + (half if step % 2 else -half) * 0.8:.1f}"
        for step in range(steps + 1)
    )
    path = f"M{x - reach:.1f} {y - half:.1f}H{x + reach:.1f}V{y + half:.1f}H{x - reach:.1f}ZM{flute}"
    return (f'<path d="{path}" fill="{colours[1]}" transform="rotate({angle:.0f} {x:.1f} {y:.1f})"/>', length * thick)


def _chip(rng: np.random.Generator, patch: Patch, x: float, y: float, colours: tuple[str, ...]) -> tuple[str, float]:
    """A wood chip: a skewed piece with two lines of grain."""
    length, wide = _length(rng, patch, 2.0, 4.0), 0.7 + rng.random() * 0.6
    angle, skew = float(rng.normal(0.0, 24.0)), float(rng.normal(0.0, 0.35))
    reach, half = length * patch.scale / 2, wide * patch.scale / 2
    lean = skew * half
    path = (
        f"M{x - reach + lean:.1f} {y - half:.1f}L{x + reach + lean:.1f} {y - half * 0.8:.1f}"
        f"L{x + reach - lean:.1f} {y + half:.1f}L{x - reach - lean:.1f} {y + half * 0.9:.1f}Z"
        f"M{x - reach * 0.7:.1f} {y - half * 0.25:.1f}H{x + reach * 0.6:.1f}"
        f"M{x - reach * 0.5:.1f} {y + half * 0.35:.1f}H{x + reach * 0.75:.1f}"
    )
    return (
        f'<path d="{path}" fill="{colours[1]}" transform="rotate({angle:.0f} {x:.1f} {y:.1f})"/>',
        length * wide * 0.9,
    )


def _weed(rng: np.random.Generator, patch: Patch, x: float, y: float, colours: tuple[str, ...]) -> tuple[str, float]:
    """A pulled weed: a wavy stem, three pairs of leaves, two root hairs."""
    length = _length(rng, patch, 3.0, 6.0)
    angle, reach = float(rng.normal(0.0, 16.0)), length * patch.scale / 2
    bow = float(rng.normal(0, 0.12)) * length * patch.scale
    stem = f"M{x - reach:.1f} {y:.1f}Q{x - reach / 2:.1f} {y - bow:.1f} {x:.1f} {y:.1f}T{x + reach:.1f} {y:.1f}"
    leaf, wide = 0.75 * patch.scale, 0.2 * patch.scale
    leaves = ""
    for place in (-0.25, 0.25, 0.75):
        at = x + reach * place
        for side in (-1, 1):
            leaves += (
                f"M{at:.1f} {y:.1f}q{leaf * 0.35 + wide:.1f} {side * leaf * 0.3:.1f} {leaf:.1f} {side * leaf * 0.75:.1f}"
                f"q{-leaf * 0.75:.1f} {-side * leaf * 0.2:.1f} {-leaf:.1f} {-side * leaf * 0.75:.1f}"
            )
    roots = f"M{x - reach:.1f} {y:.1f}l{-leaf * 0.6:.1f} {leaf * 0.25:.1f}m{leaf * 0.6:.1f} {-leaf * 0.25:.1f}l{-leaf * 0.5:.1f} {-leaf * 0.3:.1f}"
    weight = max(0.9, 0.11 * patch.scale)
    turn = f'transform="rotate({angle:.0f} {x:.1f} {y:.1f})"'
    return (
        f'<g {turn} stroke="{colours[0]}" stroke-width="{weight:.1f}"><path d="{stem}{roots}"/>'
        f'<path d="{leaves}" fill="{colours[0]}"/></g>',
        length * 0.45,
    )


def _scrap(rng: np.random.Generator, patch: Patch, x: float, y: float, colours: tuple[str, ...]) -> tuple[str, float]:
    """A peel or rind: a half ring."""
    size = _length(rng, patch, 1.0, 2.0)
    radius, angle = size * patch.scale / 2, float(rng.random() * 360)
    inner = radius * 0.55
    path = (
        f"M{x - radius:.1f} {y:.1f}A{radius:.1f} {radius:.1f} 0 0 1 {x + radius:.1f} {y:.1f}"
        f"L{x + inner:.1f} {y:.1f}A{inner:.1f} {inner:.1f} 0 0 0 {x - inner:.1f} {y:.1f}Z"
    )
    fill = colours[0] if patch.line and rng.random() < 0.35 else colours[1]
    return (
        f'<path d="{path}" fill="{fill}" transform="rotate({angle:.0f} {x:.1f} {y:.1f})"/>',
        0.5 * pi * (size / 2) ** 2,
    )


def _crumb(rng: np.random.Generator, patch: Patch, x: float, y: float, colours: tuple[str, ...]) -> tuple[str, float]:
    """A crumb of mull."""
    size = 0.1 + rng.random() * 0.2
    radius = max(0.5, size * patch.scale / 2)
    flat = radius * (0.7 + 0.3 * rng.random())
    return (
        f'<ellipse cx="{x:.1f}" cy="{y:.1f}" rx="{radius:.1f}" ry="{flat:.1f}" fill="{colours[0]}" stroke="none"/>',
        pi * (size / 2) ** 2,
    )


_DRAW: dict[Texture, tuple[Draw, float]] = {
    Texture.CLIPPINGS: (_blade, 1.2),
    Texture.HAY: (_dry_blade, 1.2),
    Texture.LEAVES: (_leaf, 1.45),
    Texture.STRAW: (_stem, 1.3),
    Texture.CARD: (_strip, 0.95),
    Texture.CHIPS: (_chip, 1.35),
    Texture.WEEDS: (_weed, 0.8),
    Texture.SCRAPS: (_scrap, 0.85),
    Texture.MULL: (_crumb, 0.3),
}


def soil_crumbs(rng: np.random.Generator, patch: Patch) -> str:
    """Return the crumbs of the soil: larger than those of mull, lighter ones between."""
    area = patch.width * patch.height / patch.scale**2
    marks = []
    for _ in range(int(area * 2.4)):
        size = float(np.clip(rng.lognormal(-1.35, 0.55), 0.08, 0.95))
        x = patch.left + rng.random() * patch.width
        y = patch.top + rng.random() * patch.height
        radius = max(0.6, size * patch.scale / 2)
        if patch.line:
            colour = pigments.BLACK
        else:
            colour = pigments.SOIL_INK if rng.random() < 0.7 else pigments.blend(pigments.SOIL, pigments.KAOLIN, 0.3)
        marks.append(
            f'<ellipse cx="{x:.1f}" cy="{y:.1f}" rx="{radius:.1f}" ry="{radius * (0.65 + 0.35 * rng.random()):.1f}" '
            f'fill="{colour}"/>'
        )
    return f'<g opacity="{1 if patch.line else 0.72}">{"".join(marks)}</g>'
