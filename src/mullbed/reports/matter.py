"""What a residue looks like in a cut: nine kinds of matter, told by texture first and by colour second."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from mullbed.reports import pigments


class Matter(StrEnum):
    """A kind of matter that can be told apart by eye."""

    CLIPPINGS = "clippings"
    DRY_GRASS = "dry grass"
    LEAVES = "leaves"
    STRAW = "straw"
    CARD = "card"
    CHIPS = "wood chips"
    WEEDS = "weeds"
    SCRAPS = "scraps"
    MULL = "mull"


@dataclass(frozen=True, slots=True)
class Look:
    """Colours and characters of one kind of matter."""

    tint: str
    ink: str
    glyphs: str
    """Characters of the cut in a terminal."""
    ascii_glyphs: str


LOOKS: dict[Matter, Look] = {
    Matter.CLIPPINGS: Look(pigments.VERTE_TINT, pigments.VERTE, "/,\\';", "/,\\';"),
    Matter.DRY_GRASS: Look(pigments.OCHRE, pigments.OCHRE_INK, "/,\\';", "/,\\';"),
    Matter.LEAVES: Look(pigments.OCHRE, pigments.OCHRE_INK, "~≈", "~~~^"),
    Matter.STRAW: Look(pigments.blend(pigments.OCHRE, pigments.KAOLIN, 0.25), pigments.OCHRE_INK, "=-", "=-"),
    Matter.CARD: Look(pigments.blend(pigments.RUSSET, pigments.OCHRE, 0.5), pigments.OCHRE_INK, "#", "#"),
    Matter.CHIPS: Look(pigments.RUSSET, pigments.blend(pigments.OCHRE_INK, pigments.UMBER, 0.4), "◇", "<>"),
    Matter.WEEDS: Look(pigments.blend(pigments.VERTE_TINT, pigments.OCHRE, 0.2), pigments.VERTE, "y{", "y{"),
    Matter.SCRAPS: Look(pigments.blend(pigments.VERTE_TINT, pigments.RUSSET, 0.3), pigments.VERTE, "c)", "c)"),
    Matter.MULL: Look(pigments.blend(pigments.SOIL, pigments.OCHRE, 0.25), pigments.SOIL_INK, "░▒", ":."),
}

_BY_WORD: tuple[tuple[str, Matter], ...] = (
    ("leaf mould", Matter.MULL),
    ("leafmould", Matter.MULL),
    ("compost", Matter.MULL),
    ("vermicompost", Matter.MULL),
    ("manure", Matter.MULL),
    ("fym_", Matter.MULL),
    ("man_", Matter.MULL),
    ("digest", Matter.MULL),
    ("coffee", Matter.MULL),
    ("grounds", Matter.MULL),
    ("peat", Matter.MULL),
    ("coir", Matter.MULL),
    ("biochar", Matter.MULL),
    ("hay", Matter.DRY_GRASS),
    ("sun-dried", Matter.DRY_GRASS),
    ("grass_dried", Matter.DRY_GRASS),
    ("dried grass", Matter.DRY_GRASS),
    ("dry grass", Matter.DRY_GRASS),
    ("grass_prairie", Matter.DRY_GRASS),
    ("straw", Matter.STRAW),
    ("stover", Matter.STRAW),
    ("stalk", Matter.STRAW),
    ("reed", Matter.STRAW),
    ("miscanthus", Matter.STRAW),
    ("bagasse", Matter.STRAW),
    ("card", Matter.CARD),
    ("paper", Matter.CARD),
    ("newsprint", Matter.CARD),
    ("egg_carton", Matter.CARD),
    ("chip", Matter.CHIPS),
    ("bark", Matter.CHIPS),
    ("sawdust", Matter.CHIPS),
    ("shaving", Matter.CHIPS),
    ("prun", Matter.CHIPS),
    ("ramial", Matter.CHIPS),
    ("tree_trim", Matter.CHIPS),
    ("shrub_trim", Matter.CHIPS),
    ("shell", Matter.CHIPS),
    ("cob", Matter.CHIPS),
    ("wood", Matter.CHIPS),
    ("clipping", Matter.CLIPPINGS),
    ("grass_clip", Matter.CLIPPINGS),
    ("grass", Matter.CLIPPINGS),
    ("meadow", Matter.CLIPPINGS),
    ("needle", Matter.STRAW),
    ("comfrey", Matter.WEEDS),
    ("nettle", Matter.WEEDS),
    ("weed", Matter.WEEDS),
    ("top_", Matter.WEEDS),
    ("cc_", Matter.WEEDS),
    ("haulm", Matter.WEEDS),
    ("vine", Matter.WEEDS),
    ("hedge", Matter.WEEDS),
    ("ivy", Matter.WEEDS),
    ("green manure", Matter.WEEDS),
    ("cover crop", Matter.WEEDS),
    ("leaves", Matter.LEAVES),
    ("leaf", Matter.LEAVES),
    ("scrap", Matter.SCRAPS),
    ("waste", Matter.SCRAPS),
    ("pomace", Matter.SCRAPS),
    ("food", Matter.SCRAPS),
    ("fruit", Matter.SCRAPS),
)


def matter_of(residue: str, fresh: bool = False) -> Matter:
    """Return how a residue is drawn, from its key or name; unknown ones by whether they are laid fresh."""
    words = residue.casefold()
    scrap = words.startswith("scrap_") or "kitchen" in words
    if scrap:
        return Matter.SCRAPS
    for word, matter in _BY_WORD:
        if word in words:
            if fresh and matter is Matter.LEAVES and not words.startswith("leaf"):
                return Matter.WEEDS
            return matter
    return Matter.WEEDS if fresh else Matter.LEAVES


def matter_after(matter: Matter, carbon_gone: float) -> Matter:
    """Return how it is drawn once a share of its carbon is gone: past two thirds it is mull."""
    return Matter.MULL if carbon_gone > 0.66 else matter
