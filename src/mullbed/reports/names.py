"""What things are called on screen and paper: short everyday names for residues and crops."""

from __future__ import annotations

import re
from functools import cache

from mullbed.language import language, say

_LEADING = {
    "fresh", "shredded", "dried", "dry", "green", "mixed", "chipped", "chopped", "torn", "spent", "wet",
    "young", "mature", "finished", "crushed", "soft", "loose",
}  # fmt: skip
_BED_WORDS = {"es": ("bancal", "cama", "hilera", "cantero", "arriate", "invernadero", "parcela")}
_SILENT = {"general", "generic", "mixed"}


def short_name(name: str) -> str:
    """Return a table's name as it is said aloud: "Autumn leaves, shredded (mower)" is "shredded autumn leaves"."""
    plain = re.sub(r"\s*\([^)]*\)", "", name).strip()
    head, _, tail = plain.partition(",")
    head, tail = head.strip(), tail.strip()
    first = tail.split("/")[0].strip()
    if first in _SILENT:
        tail = ""
    elif first.split(" ")[0] in _LEADING and " " not in first:
        head = f"{first} {head[:1].lower()}{head[1:]}"
    if len(head) > 1 and head[1].islower() and head.split(" ")[0] not in {"German", "Chinese", "London", "Jerusalem"}:
        head = head[:1].lower() + head[1:]
    return head or name


def residue_name(key: str) -> str:
    """Return the everyday name of a residue key; a key the table does not hold is shown as plain words."""
    return say(english_residue(key))


def crop_name(key: str) -> str:
    """Return the everyday name of a crop key."""
    return say(english_crop(key))


@cache
def english_residue(key: str) -> str:
    """Return the everyday name of a residue key in English, which catalogues know it by."""
    from mullbed.reference.residues import all_residues

    row = all_residues().get(key)
    return short_name(row.name) if row is not None else key.replace("_", " ")


@cache
def english_crop(key: str) -> str:
    """Return the everyday name of a crop key in English."""
    from mullbed.reference.crops import all_crops

    row = all_crops().get(key)
    return short_name(row.name) if row is not None else key.replace("_", " ")


def bed_title(name: str) -> str:
    """Return "Wall bed" for a bed called Wall; a name that says what it is stays."""
    words = name.split()
    last = words[-1].casefold() if words else ""
    first = words[0].casefold() if words else ""
    if (
        last in {"bed", "row", "border", "strip", "plot", "tunnel", "terrace"}
        or last[-1:].isdigit()
        or not last
        or first in _BED_WORDS.get(language().code, ())
    ):
        return name
    return say("{name} bed", name=name)
