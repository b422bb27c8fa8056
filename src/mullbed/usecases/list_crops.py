"""List the crops a grower asks for by words."""

from __future__ import annotations

from mullbed.domain.crop import Crop
from mullbed.reference.crops import find_crop, matching_crops


def list_crops(words: str = "") -> tuple[Crop, ...]:
    """Return every crop whose names hold all the words, best first; all crops without words.

    Raises
    ------
    NotFound
        When none is meant; holds the nearest names.
    """
    return tuple(matching_crops(words)) or (find_crop(words),)
