"""The crumbled edge of the ground and the wavy lines between parts, drawn by us, each time alike."""

from __future__ import annotations

import math
from functools import lru_cache

from mullbed.reports import pigments

WIDTH = 780
"""Of the edge; it is cut at the side of a narrower page. [px]"""


def _chance(seed: int) -> float:
    """Return a number from 0 to 1 that looks like chance and is always the same."""
    return math.modf(abs(math.sin(seed * 12.9898) * 43758.5453))[0]


@lru_cache(maxsize=1)
def ground_edge() -> str:
    """Return the upper edge of the ground as SVG: two slow sines with jitter, a loose crumb per 9 px."""
    points = []
    for place in range(0, WIDTH + 3, 3):
        height = 14.0 + 3.0 * math.sin(place / 61.0) + 2.0 * math.sin(place / 23.0 + 1.0) + 3.2 * (_chance(place) - 0.5)
        points.append(f"{place} {height:.1f}")
    crumbs = "".join(
        f'<ellipse cx="{place + 8 * _chance(place + 1):.1f}" cy="{2 + 8 * _chance(place + 2):.1f}" '
        f'rx="{1 + 2.2 * _chance(place + 3):.1f}" ry="{0.8 + 1.2 * _chance(place + 4):.1f}"/>'
        for place in range(0, WIDTH, 9)
        if _chance(place + 5) > 0.35
    )
    return (
        f'<svg class="edge" viewBox="0 0 {WIDTH} 20" preserveAspectRatio="xMinYMax slice" aria-hidden="true" '
        f'fill="{pigments.UMBER}"><path d="M0 21L{"L".join(points)}L{WIDTH} 21Z"/>{crumbs}</svg>'
    )


@lru_cache(maxsize=64)
def wavy_line(seed: int, *, thick: bool = False) -> str:
    """Return the line between two parts of a page as SVG."""
    points = [
        f"{place} {5 + 1.6 * math.sin(place / 37.0 + seed) + 1.0 * math.sin(place / 13.0 + 2 * seed):.1f}"
        for place in range(0, WIDTH + 10, 10)
    ]
    return (
        f'<svg class="line" viewBox="0 0 {WIDTH} 10" preserveAspectRatio="none" aria-hidden="true">'
        f'<path d="M{"L".join(points)}" fill="none" stroke="{pigments.INK}" stroke-width="{3 if thick else 1.4}" '
        'vector-effect="non-scaling-stroke"/></svg>'
    )
