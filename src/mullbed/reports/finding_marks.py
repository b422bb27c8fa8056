"""Fourteen small marks for what nose, eye and hand find, drawn by us in a 48 box; each stands beside its word."""

# ruff: noqa: E501 - strings of SVG and HTML are kept whole, they read worse when broken

from __future__ import annotations

from dataclasses import dataclass

from mullbed.language import marked
from mullbed.reports import pigments

_SHAPES: dict[str, str] = {
    "sharp": '<path d="M6 26l7-11 6 15 7-18 6 14 4-6 5 7"/>',
    "sour": '<path d="M24 6c8 11 12 17 12 23a12 12 0 0 1-24 0c0-6 4-12 12-23Z"/><path d="M19 31c1 4 4 5 8 4"/>',
    "rotten_egg": '<path d="M24 6c8 0 13 13 13 21a13 13 0 0 1-26 0c0-8 5-21 13-21Z"/><path d="M11 27l6-5 5 6 6-6 4 5 5-4"/>',
    "woodland": '<path d="M8 22C8 4 40 4 40 22c0 4-32 4-32 0ZM20 25v14c0 4 8 4 8 0V25"/>',
    "slimy": '<path d="M5 14c6-5 12 5 19 0s12 5 19 0M5 22c6-5 12 5 19 0s12 5 19 0M14 30v10M24 30v6M34 30v10"/>',
    "threads": '<path d="M8 40 26 24 40 10M26 24l14 6M18 31l2-17M32 18l-8-8"/>',
    "flies": '<path d="M15 29a9 6 0 1 0 18 0 9 6 0 1 0-18 0ZM22 23C14 15 17 7 22 12l2 10M26 23c1-10 11-12 11-6l-8 7M17 33l-5 6M31 33l5 6M24 35v7"/>',
    "old_yellow": '<path d="M10 38C6 16 20 8 40 9c1 20-8 32-27 27M8 41 30 19M18 31l-1-9M24 25l9 1"/>',
    "holes": '<path d="M4 14h10v12c0 6 4 10 10 10h20M26 14h18M26 14c-4 0-4 10 0 10h18"/>',
    "no_change": '<path d="M5 26c2-12 14-12 16 0ZM27 26c2-12 14-12 16 0ZM16 34h16M16 41h16"/>',
    "hot": '<path d="M14 42c-9-9 8-15 0-34M25 42c-9-9 8-15 0-34M36 42c-9-9 8-15 0-34"/>',
    "bone_dry": '<path d="M5 12h38M14 12l7 10-5 8 4 10M34 12l-7 10M21 22h6l6 8-3 9"/>',
    "dripping": '<path d="M14 8c4 6 5 8 5 11a5 5 0 0 1-10 0c0-3 1-5 5-11ZM34 8c4 6 5 8 5 11a5 5 0 0 1-10 0c0-3 1-5 5-11ZM24 26c4 6 5 8 5 11a5 5 0 0 1-10 0c0-3 1-5 5-11Z"/>',
    "hard_below": '<path d="M20 4v20c0 5 6 5 12 5M5 33h38M10 38l4 6M21 38l4 6M32 38l4 6"/>',
}

MARKED = tuple(_SHAPES)
"""Keys of the signs that have a mark of their own, in the order nose, eye, hand."""

SHORT_WORDS = {
    "sharp": marked("Sharp, stings"),
    "sour": marked("Sour"),
    "rotten_egg": marked("Rotten egg"),
    "woodland": marked("Woodland"),
    "slimy": marked("Slimy sheet"),
    "threads": marked("White threads"),
    "flies": marked("Flies"),
    "old_yellow": marked("Yellow leaves"),
    "holes": marked("Holes, runs"),
    "no_change": marked("No change"),
    "hot": marked("Hot"),
    "bone_dry": marked("Bone dry"),
    "dripping": marked("Dripping"),
    "hard_below": marked("Hard below"),
}
"""Words that fit beside a mark on the narrowest page."""


@dataclass(frozen=True, slots=True)
class Sense:
    """One of nose, eye and hand, with the signs it finds first."""

    key: str
    word: str
    signs: tuple[str, ...]


SENSES = (
    Sense("nose", marked("Nose"), ("sharp", "sour", "rotten_egg", "woodland")),
    Sense("eye", marked("Eye"), ("slimy", "threads", "flies", "old_yellow", "holes", "no_change")),
    Sense("hand", marked("Hand"), ("hot", "bone_dry", "dripping", "hard_below")),
)


def finding_mark(key: str, *, size: float = 40.0, colour: str = pigments.INK) -> str:
    """Return the mark of a sign as SVG, or nothing where it has none; the word beside it says it all."""
    shape = _SHAPES.get(key)
    if shape is None:
        return ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 48 48" width="{size:.0f}" height="{size:.0f}" '
        f'aria-hidden="true"><g fill="none" stroke="{colour}" stroke-width="3" stroke-linecap="round" '
        f'stroke-linejoin="round">{shape}</g></svg>'
    )
