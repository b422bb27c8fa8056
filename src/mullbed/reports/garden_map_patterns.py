"""What lies on a bed seen from above, as patterns that fill an outline; pieces are drawn larger than true."""

from __future__ import annotations

from functools import cache
from zlib import crc32

import numpy as np

from mullbed.domain.residue import Texture
from mullbed.reports import pigments
from mullbed.reports.textures import Patch, ink_of, pieces, soil_crumbs, tint_of

_WIDE, _HIGH = 118.0, 62.0
"""Of a tile. [px]"""
_BARE = 58.0
_SCALE = 6.0
"""[px per cm]"""


@cache
def matter_pattern(matter: Texture) -> str:
    """Return the pattern of one kind of matter."""
    rng = np.random.default_rng(crc32(f"above {matter}".encode()))
    patch = Patch(-10, -6, _WIDE + 20, _HIGH + 12, _SCALE)
    return (
        f'<pattern id="top-{matter}" width="{_WIDE:.0f}" height="{_HIGH:.0f}" patternUnits="userSpaceOnUse">'
        f'<rect width="{_WIDE:.0f}" height="{_HIGH:.0f}" fill="{tint_of(matter, 0.0)}"/>'
        f'<g color="{ink_of(matter, 0.0)}">{pieces(matter, patch, rng)}</g></pattern>'
    )


@cache
def bare_pattern() -> str:
    """Return the pattern of bare soil."""
    rng = np.random.default_rng(crc32(b"above bare"))
    return (
        f'<pattern id="bare" width="{_BARE:.0f}" height="{_BARE:.0f}" patternUnits="userSpaceOnUse">'
        f'<rect width="{_BARE:.0f}" height="{_BARE:.0f}" fill="{pigments.SOIL}"/>'
        f"{soil_crumbs(rng, Patch(0, 0, _BARE, _BARE, 7.0))}</pattern>"
    )
