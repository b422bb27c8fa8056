"""List the residues a grower asks for by words."""

from __future__ import annotations

from mullbed.domain.residue import Residue
from mullbed.reference.residues import find_residue, matching_residues


def list_residues(words: str = "") -> tuple[Residue, ...]:
    """Return every residue whose names hold all the words, best first; all residues without words.

    Raises
    ------
    NotFound
        When none is meant; holds the nearest names.
    """
    return tuple(matching_residues(words)) or (find_residue(words),)
