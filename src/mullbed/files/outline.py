"""Outlines of beds: corners in metres, their order and the area they enclose."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from mullbed.files.reading import Table, finite, shown

Outline = tuple[tuple[float, float], ...]

MOST_CORNERS = 200
FURTHEST = 10_000.0
"""Largest coordinate. [m]"""


def outline_area(corners: Sequence[tuple[float, float]]) -> float:
    """Return the area a ring of corners encloses, by the trapezoid sum over its edges. [m2]"""
    twice = 0.0
    for (x, y), (next_x, next_y) in zip(corners, [*corners[1:], *corners[:1]], strict=True):
        twice += x * next_y - next_x * y
    return abs(twice) / 2.0


def edges_cross(corners: Sequence[tuple[float, float]]) -> bool:
    """Tell whether two edges of the ring cross; then it encloses no one area."""
    ring = [*corners, corners[0]]
    edges = list(pairwise(ring))
    for first in range(len(edges)):
        for second in range(first + 2, len(edges)):
            if first == 0 and second == len(edges) - 1:
                continue
            if _cross(*edges[first], *edges[second]):
                return True
    return False


def _side(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _cross(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]) -> bool:
    return _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0


def read_outline(table: Table) -> Outline | None:
    """Return the outline of a bed, or None after noting what is wrong."""
    value = table.raw("outline")
    allowed = f"3 to {MOST_CORNERS} corners [x, y] in metres"
    remedy = "Write outline = [[0, 0], [6, 0], [6, 1.2], [0, 1.2]]."
    if not isinstance(value, list) or not 3 <= len(value) <= MOST_CORNERS:
        table.fault("outline", shown(value), allowed, remedy)
        return None
    corners: list[tuple[float, float]] = []
    for corner in value:
        pair = [finite(part) for part in corner] if isinstance(corner, list) and len(corner) == 2 else []
        x, y = (pair[0], pair[1]) if len(pair) == 2 else (None, None)
        if x is None or y is None or abs(x) > FURTHEST or abs(y) > FURTHEST:
            table.fault("outline", f"a corner {shown(corner)}", allowed, remedy)
            return None
        corners.append((x, y))
    if corners[0] == corners[-1]:
        corners.pop()
    if len(corners) < 3:
        table.fault("outline", f"{len(corners)} corners", allowed, remedy)
        return None
    if edges_cross(corners):
        table.fault("outline", "edges cross", "corners in order round the bed", "Put the corners in order.")
        return None
    return tuple(corners)
