"""Find a row by the name a grower uses."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from difflib import get_close_matches

from mullbed.errors import NotFound


def plain(name: str) -> str:
    """Return a name in lower case with single spaces and no underscores, commas or hyphens."""
    return " ".join(name.casefold().replace("_", " ").replace("-", " ").replace(",", " ").split())


def index_of(entries: Iterable[tuple[str, Iterable[str]]]) -> dict[str, str]:
    """Return a map from every plain name to its key; the first row that claims a name keeps it."""
    index: dict[str, str] = {}
    for key, names in entries:
        for name in (key, *names):
            if name:
                index.setdefault(plain(name), key)
    return index


def find_key(kind: str, name: str, index: Mapping[str, str]) -> str:
    """Return the key of the row a name means.

    Raises
    ------
    NotFound
        When no row, or more than one, is meant; holds the candidates.
    """
    wanted = plain(name)
    for attempt in (wanted, wanted.removesuffix("s"), wanted.removesuffix("es"), f"{wanted}s"):
        if attempt in index:
            return index[attempt]
    words = set(wanted.split())
    holding = sorted({index[known] for known in index if words and words <= set(known.split())})
    if len(holding) == 1:
        return holding[0]
    names = list(index)
    near = holding or list(dict.fromkeys(index[found] for found in get_close_matches(wanted, names, 6, 0.72)))
    if not holding and len(near) == 1 and get_close_matches(wanted, names, 1, 0.88):
        return near[0]
    raise NotFound(kind, name, near[:6])


def matching_keys(words: str, index: Mapping[str, str]) -> list[str]:
    """Return the keys of all rows one of whose names holds every word, best first."""
    wanted = plain(words).split()
    if not wanted:
        return list(dict.fromkeys(index.values()))
    scored: dict[str, tuple[int, int]] = {}
    for known, key in index.items():
        if all(word in known for word in wanted):
            score = (0 if known == " ".join(wanted) else 1, len(known))
            scored[key] = min(score, scored.get(key, (9, 999)))
    return sorted(scored, key=lambda key: scored[key])
