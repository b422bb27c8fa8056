"""In whose words and signs something is told: the language of the moment, its decimal sign and the order of its days.

Whoever answers somebody (the page, for one request) says it once with `spoken`; everything below asks here. Where
nobody said anything it is English with a decimal point, so that files, programs and the terminal are told alike.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field


def _as_it_is(about: str, words: str) -> str:
    return words


def _one_or_many(about: str, one: str, many: str, count: int) -> str:
    return one if count == 1 else many


@dataclass(frozen=True, slots=True)
class Language:
    """How somebody reads."""

    code: str = "en"
    """Of the language (BCP 47)."""
    decimal: str = "."
    """Decimal sign."""
    month_first: bool = False
    """Whether the month stands before the day, as in the United States."""
    words: Callable[[str, str], str] = field(default=_as_it_is, compare=False)
    """Translates words; gets what they are about (empty mostly) and the English words."""
    counted: Callable[[str, str, str, int], str] = field(default=_one_or_many, compare=False)
    """Translates words that depend on a count."""


ENGLISH = Language()
_SPOKEN: ContextVar[Language] = ContextVar("mullbed_language", default=ENGLISH)


def language() -> Language:
    """Return the language of the moment."""
    return _SPOKEN.get()


@contextmanager
def spoken(chosen: Language) -> Iterator[None]:
    """Tell everything inside in a language."""
    before = _SPOKEN.set(chosen)
    try:
        yield
    finally:
        _SPOKEN.reset(before)


def say(words: str, /, about: str = "", **values: object) -> str:
    """Return words in the language of the moment, with values put into their places.

    Parameters
    ----------
    words : str
        In English; places for values are written {name}. They are what the catalogues are searched for.
    about : str
        What they are about, where English has one word for two things ("May" the month, "May" the permission).
    **values
        What is put into the places; never searched for places again.
    """
    told = _SPOKEN.get().words(about, words) if words else words
    return told.format_map(_shown(values)) if values else told


def say_many(one: str, many: str, count: int, /, about: str = "", **values: object) -> str:
    """Return words for one or for many in the language of the moment; {count} is the count unless it is given."""
    told = _SPOKEN.get().counted(about, one, many, count)
    return told.format_map(_shown({"count": count} | values))


def in_signs(number: str) -> str:
    """Return a number's text with the decimal sign of the moment in place of the point."""
    return number.replace(".", _SPOKEN.get().decimal)


def marked(words: str) -> str:
    """Return words unchanged; marks words of a list for the catalogues, which are told by `say` later."""
    return words


def _shown(values: Mapping[str, object]) -> dict[str, str]:
    return {name: str(value) for name, value in values.items()}
