"""What residues are counted in, drawn true to each other's size and filled with what is in them."""

# ruff: noqa: E501 - strings of SVG and HTML are kept whole, they read worse when broken

from __future__ import annotations

from dataclasses import dataclass
from zlib import crc32

import numpy as np

from mullbed.domain.residue import Texture
from mullbed.reports import pigments
from mullbed.reports.textures import Patch, pieces, tint_of


@dataclass(frozen=True, slots=True)
class _Shape:
    """One kind of vessel in a box of 100."""

    outline: str
    """What is filled."""
    also: str
    """Lines beside it: handle, wheel, string."""
    top: float
    """Where the filling begins when it is full."""
    bottom: float


_SHAPES: dict[str, _Shape] = {
    "bucket": _Shape("M14 24H86L76 96H24Z", "M14 24C22 -2 78 -2 86 24", 24, 96),
    "sack": _Shape(
        "M16 12C34 22 50 2 66 10S82 12 86 10C94 40 92 70 84 94C62 100 40 100 16 94C8 66 8 36 16 12Z", "", 12, 98
    ),
    "barrow": _Shape(
        "M4 24H88L70 74H32Z", "M88 24 100 16M32 74l-4 6M70 74l14 22M18 86a9 9 0 1 0 18 0a9 9 0 1 0-18 0", 24, 74
    ),
    "bale": _Shape("M4 20H96V88H4Z", "M30 20V88M70 20V88", 20, 88),
    "box": _Shape("M10 26H90V94H10Z", "M10 26 2 14M90 26l8-12M40 44h20", 26, 94),
}
_WORDS = (
    ("barrow", "barrow"), ("cart", "barrow"), ("sack", "sack"), ("bag", "sack"), ("bale", "bale"), ("box", "box"),
    ("crate", "box"), ("tub", "bucket"), ("bucket", "bucket"), ("caddy", "bucket"), ("can", "bucket"),
)  # fmt: skip
LARGEST = 92.0
"""Side of the largest vessel of a page. [px]"""
SMALLEST = 0.42
"""A vessel is never drawn smaller than this share of the largest, so that it can still be told. [1]"""


def vessel_kind(container: str) -> str:
    """Return how a container is drawn, by a word in its name; a bucket where none is known."""
    name = container.casefold()
    return next((kind for word, kind in _WORDS if word in name), "bucket")


def vessel(container: str, litres: float, largest_litres: float, matter: Texture, share: float = 1.0) -> str:
    """Return a vessel as SVG, sides true to each other by the cube root of what they hold.

    Parameters
    ----------
    container : str
    litres : float
        [L]
    largest_litres : float
        Of the largest vessel beside it. [L]
    matter : Texture
        What is in it.
    share : float
        How full it is. [fraction]
    """
    shape = _SHAPES[vessel_kind(container)]
    side = LARGEST * max(SMALLEST, min(1.0, (max(litres, 0.1) / max(largest_litres, 0.1)) ** (1 / 3)))
    name = f"v{crc32(f'{container} {matter} {litres:.1f} {share:.2f}'.encode()):08x}"
    full = max(0.0, min(1.0, share))
    top = shape.bottom - full * (shape.bottom - shape.top)
    rng = np.random.default_rng(crc32(name.encode()))
    filling = ""
    if full > 0.0:
        patch = Patch(0.0, top, 100.0, shape.bottom - top, 9.0)
        filling = (
            f'<g clip-path="url(#{name})"><rect x="0" y="{top:.0f}" width="100" height="{shape.bottom - top:.0f}" '
            f'fill="{tint_of(matter, 0.0)}"/>{pieces(matter, patch, rng)}</g>'
        )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-2 -2 104 104" width="{side:.0f}" height="{side:.0f}" '
        f'aria-hidden="true"><clipPath id="{name}"><path d="{shape.outline}"/></clipPath>{filling}'
        f'<path d="{shape.outline}" fill="none" stroke="{pigments.INK}" stroke-width="3.4" stroke-linejoin="round"/>'
        + (
            f'<path d="{shape.also}" fill="none" stroke="{pigments.INK}" stroke-width="3.4" stroke-linecap="round"/>'
            if shape.also
            else ""
        )
        + "</svg>"
    )


def swatch(matter: Texture, side: float = 56.0) -> str:
    """Return a piece of matter in a small frame, to be told by its texture."""
    rng = np.random.default_rng(crc32(f"swatch {matter}".encode()))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side:.0f} {side:.0f}" width="{side:.0f}" height="{side:.0f}" '
        f'aria-hidden="true"><rect width="{side:.0f}" height="{side:.0f}" fill="{tint_of(matter, 0.0)}"/>'
        f"{pieces(matter, Patch(0.0, 0.0, side, side, 11.0), rng)}"
        f'<rect x="1.5" y="1.5" width="{side - 3:.0f}" height="{side - 3:.0f}" rx="5" fill="none" stroke="{pigments.INK}" stroke-width="3"/></svg>'
    )
