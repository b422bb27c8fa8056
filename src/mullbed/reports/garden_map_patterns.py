"""What lies on a bed seen from above, as patterns that fill an outline; pieces are drawn larger than true."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from zlib import crc32

import numpy as np

from mullbed.domain.forecast import BedForecast
from mullbed.domain.residue import Texture
from mullbed.reports import pigments
from mullbed.reports.matter import matter_of
from mullbed.reports.season_ribbons import pattern_name
from mullbed.reports.textures import Patch, ink_of, pieces, soil_crumbs, tint_of

_MAP = (88.0, 50.0, 6.0)
"""Tile of the map: width, height [px], scale [px per cm]."""
_RIBBON = (46.0, 24.0, 5.0)
"""Tile of a ribbon, which is low."""
_BARE = 58.0


def ribbon_patterns(forecasts: Iterable[BedForecast]) -> str:
    """Return the patterns that ribbons of the season fill with, small enough for a phone."""
    used = sorted(
        {
            matter_of(one.layer.lifts[one.lift].residue, one.layer.lifts[one.lift].fresh)
            for forecast in forecasts
            for one in forecast.lifts
        }
    )
    if not used:
        return ""
    drawn = "".join(_pattern(one, pattern_name(one), _RIBBON) for one in used)
    return f'<svg width="0" height="0" aria-hidden="true" class="defs"><defs>{drawn}</defs></svg>'


def matter_pattern(matter: Texture) -> str:
    """Return the pattern of one kind of matter, as the map fills beds with it."""
    return _pattern(matter, f"top-{matter}", _MAP)


@cache
def _pattern(matter: Texture, name: str, tile: tuple[float, float, float]) -> str:
    wide, high, scale = tile
    rng = np.random.default_rng(crc32(f"above {matter}".encode()))
    patch = Patch(-8, -4, wide + 16, high + 8, scale)
    return (
        f'<pattern id="{name}" width="{wide:.0f}" height="{high:.0f}" patternUnits="userSpaceOnUse">'
        f'<rect width="{wide:.0f}" height="{high:.0f}" fill="{tint_of(matter, 0.0)}"/>'
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
