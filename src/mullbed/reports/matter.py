"""What a residue looks like in a cut: nine kinds of matter, told by texture first and by colour second."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from mullbed.domain.residue import Texture
from mullbed.reports import pigments


@dataclass(frozen=True, slots=True)
class Look:
    """Colours and characters of one kind of matter."""

    tint: str
    ink: str
    glyphs: str
    """Characters of the cut in a terminal."""
    ascii_glyphs: str


LOOKS: dict[Texture, Look] = {
    Texture.CLIPPINGS: Look(pigments.VERTE_TINT, pigments.VERTE, "/,\\';", "/,\\';"),
    Texture.HAY: Look(pigments.OCHRE, pigments.OCHRE_INK, "/,\\';", "/,\\';"),
    Texture.LEAVES: Look(pigments.OCHRE, pigments.OCHRE_INK, "~≈", "~~~^"),
    Texture.STRAW: Look(pigments.blend(pigments.OCHRE, pigments.KAOLIN, 0.25), pigments.OCHRE_INK, "=-", "=-"),
    Texture.CARD: Look(pigments.blend(pigments.RUSSET, pigments.OCHRE, 0.5), pigments.OCHRE_INK, "#", "#"),
    Texture.CHIPS: Look(pigments.RUSSET, pigments.blend(pigments.OCHRE_INK, pigments.UMBER, 0.4), "◇", "<>"),
    Texture.WEEDS: Look(pigments.blend(pigments.VERTE_TINT, pigments.OCHRE, 0.2), pigments.VERTE, "y{", "y{"),
    Texture.SCRAPS: Look(pigments.blend(pigments.VERTE_TINT, pigments.RUSSET, 0.3), pigments.VERTE, "c)", "c)"),
    Texture.MULL: Look(pigments.blend(pigments.SOIL, pigments.OCHRE, 0.25), pigments.SOIL_INK, "░▒", ":."),
}

FRESH_LOOKING = frozenset({Texture.CLIPPINGS, Texture.WEEDS, Texture.SCRAPS})
"""Matter that is green to the eye."""


@cache
def matter_of(residue: str, fresh: bool = False) -> Texture:
    """Return how a residue is drawn, from its row; one the table does not hold by whether it is laid fresh."""
    from mullbed.reference.residues import all_residues

    row = all_residues().get(residue)
    if row is not None:
        return row.texture
    return Texture.WEEDS if fresh else Texture.LEAVES


def matter_after(matter: Texture, carbon_gone: float) -> Texture:
    """Return how it is drawn once a share of its carbon is gone: past two thirds it is mull."""
    return Texture.MULL if carbon_gone > 0.66 else matter
