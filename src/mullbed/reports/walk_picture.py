"""The walk: the garden in side view in walking order, heights true to each other, widths not."""

# ruff: noqa: E501 - strings of SVG are kept whole, they read worse when broken

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from zlib import crc32

import numpy as np

from mullbed.domain.residue import Texture
from mullbed.language import say
from mullbed.reports import pigments
from mullbed.reports.textures import Patch, pieces, soil_crumbs, tint_of

_STEP = 64.0
"""Width of one bed in the picture. [px]"""
_GROUND = 104.0
_DEPTH = 42.0
_SCALE = 5.0
"""[px per cm]"""
_TALLEST = 12.0
"""Covers above this are drawn so high. [cm]"""


@dataclass(frozen=True, slots=True)
class WalkBed:
    """One bed as the walk shows it."""

    name: str
    address: str
    centimetres: float
    """Height of its cover. [cm]"""
    matter: Texture | None
    """What lies on top; None where it is bare."""
    stop: int | None
    """Its place among the stops; None where it can be left alone."""
    crop: bool
    words: str
    """What is to be done, for those who can't see it."""


def walk_svg(beds: Sequence[WalkBed]) -> str:
    """Return the walk as SVG; every bed is a link."""
    width = max(360.0, _STEP * len(beds))
    start = (width - _STEP * len(beds)) / 2
    rng = np.random.default_rng(crc32("|".join(bed.name for bed in beds).encode()))
    soil = soil_crumbs(rng, Patch(0.0, _GROUND, width, _DEPTH, 9.0))
    line = "L".join(
        f"{place:.0f} {_GROUND + 1.5 * math.sin(place / 31.0) + 0.8 * math.sin(place / 11.0):.1f}"
        for place in np.arange(0.0, width + 12.0, 12.0)
    )
    shapes = "".join(_bed(bed, start + _STEP * index, rng, index) for index, bed in enumerate(beds))
    words = " ".join(f"{bed.name}: {bed.words}" for bed in beds)
    return (
        f'<svg class="walk" viewBox="0 0 {width:.0f} {_GROUND + _DEPTH:.0f}" width="{width:.0f}" role="group" aria-label="{escape(say("The garden from the side"), quote=True)}">'
        f"<desc>{escape(words)}</desc>"
        f'<rect x="0" y="{_GROUND:.0f}" width="{width:.0f}" height="{_DEPTH:.0f}" fill="{pigments.SOIL}"/>{soil}'
        f'<path d="M{line}" fill="none" stroke="{pigments.INK}" stroke-width="3"/>{shapes}</svg>'
    )


def _bed(bed: WalkBed, left: float, rng: np.random.Generator, index: int) -> str:
    """Return one mound with its plant, its peg and its name."""
    high = max(2.0, min(bed.centimetres, _TALLEST) * _SCALE)
    middle, inside = left + _STEP / 2, left + 4
    right = left + _STEP - 4
    outline = f"M{inside:.1f} {_GROUND:.1f}C{inside + 6:.1f} {_GROUND - 1.25 * high:.1f} {right - 6:.1f} {_GROUND - 1.25 * high:.1f} {right:.1f} {_GROUND:.1f}Z"
    if bed.matter is None:
        mound = f'<path d="{outline}" fill="{pigments.SOIL}" stroke="{pigments.INK}" stroke-width="1.8"/>'
    else:
        patch = Patch(inside, _GROUND - high, right - inside, high, _SCALE)
        mound = (
            f'<clipPath id="walk{index}"><path d="{outline}"/></clipPath>'
            f'<path d="{outline}" fill="{tint_of(bed.matter, 0.0)}"/><g clip-path="url(#walk{index})">{pieces(bed.matter, patch, rng)}</g>'
            f'<path d="{outline}" fill="none" stroke="{pigments.INK}" stroke-width="1.8"/>'
        )
    top = _GROUND - 0.94 * high
    plant = _plant(middle + 12, top) if bed.crop else ""
    peg = _peg(middle, top, bed.stop) if bed.stop is not None else ""
    name = (
        f'<text x="{middle:.1f}" y="{_GROUND + 27:.0f}" text-anchor="middle" font-size="19" font-weight="700" fill="{pigments.KAOLIN}" '
        f'stroke="{pigments.UMBER}" stroke-width="5" paint-order="stroke" font-family="{pigments.NARROW}">{escape(_short(bed.name))}</text>'
    )
    label = escape(f"{bed.name}: {bed.words}", quote=True)
    return (
        f'<a href="{escape(bed.address, quote=True)}" aria-label="{label}"><rect x="{left:.1f}" y="0" width="{_STEP:.1f}" '
        f'height="{_GROUND + _DEPTH:.0f}" fill="transparent"/>{mound}{plant}{peg}{name}</a>'
    )


def _short(name: str) -> str:
    """Return a name where it fits its place, else its first word, as long as the place is wide."""
    if len(name) <= 6:
        return name
    first = name.split()[0]
    return first if len(first) <= 6 else first[:5] + "."


def _plant(x: float, top: float) -> str:
    """Return a small plant."""
    leaf = f'fill="{pigments.VERTE_TINT}" stroke="{pigments.VERTE}" stroke-width="1.4"'
    return (
        f'<path d="M{x:.1f} {top + 4:.1f}V{top - 18:.1f}" stroke="{pigments.VERTE}" stroke-width="2"/>'
        f'<path d="M{x:.1f} {top - 6:.1f}q8-8 12-3q-5 6-12 3Z" {leaf}/><path d="M{x:.1f} {top - 11:.1f}q-8-8-12-3q5 6 12 3Z" {leaf}/>'
    )


def _peg(x: float, top: float, stop: int) -> str:
    """Return a peg with its number, foot in the mound."""
    foot = top + 8
    return (
        f'<path d="M{x - 12:.1f} {foot - 48:.1f}l4-5h16l4 5v30l-12 18l-12-18Z" fill="{pigments.LIMONITE}" stroke="{pigments.INK}" '
        f'stroke-width="2.4" stroke-linejoin="round"/><text x="{x:.1f}" y="{foot - 28:.1f}" text-anchor="middle" font-size="21" '
        f'font-weight="700" font-family="{pigments.NARROW}" fill="{pigments.INK}">{stop}</text>'
    )
