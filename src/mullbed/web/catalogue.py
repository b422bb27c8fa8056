"""A catalogue of translated words (.po, as of GNU gettext), read as it lies there: no step of building is needed."""

from __future__ import annotations

import ast
import gettext
import struct
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from io import BytesIO

ABOUT = "\x04"
"""Parts what words are about from the words (as GNU gettext does)."""


@dataclass(slots=True)
class Message:
    """One message of a catalogue."""

    about: str = ""
    words: str = ""
    many: str = ""
    """The words for many; empty where they do not depend on a count."""
    told: tuple[str, ...] = ()
    """The translation, or one for each form of the plural."""
    doubtful: bool = False
    """Whether its translator marked it as not sure."""

    @property
    def key(self) -> str:
        """What it is looked up by."""
        return f"{self.about}{ABOUT}{self.words}" if self.about else self.words


def read_messages(text: str) -> list[Message]:
    """Return the messages of a catalogue, its head first (a message without words).

    Raises
    ------
    ValueError
        With the line that is no catalogue's.
    """
    found: list[Message] = []
    parts: dict[str, str] = {}
    field, doubtful = "", False
    for line_number, line in enumerate([*text.splitlines(), ""], start=1):
        plain = line.strip()
        if plain.startswith("#"):
            doubtful = doubtful or (plain.startswith("#,") and "fuzzy" in plain)
        elif not plain:
            if "msgid" in parts:
                found.append(_message(parts, doubtful))
            parts, field, doubtful = {}, "", False
        elif plain.startswith('"') and field:
            parts[field] += ast.literal_eval(plain)
        else:
            field, _, rest = plain.partition(" ")
            if not field.startswith("msg") or not rest.startswith('"'):
                raise ValueError(f"line {line_number}: {plain[:60]}")
            parts[field] = ast.literal_eval(rest)
    return found


def _message(parts: dict[str, str], doubtful: bool) -> Message:
    told = [parts["msgstr"]] if "msgstr" in parts else []
    while f"msgstr[{len(told)}]" in parts:
        told.append(parts[f"msgstr[{len(told)}]"])
    return Message(parts.get("msgctxt", ""), parts["msgid"], parts.get("msgid_plural", ""), tuple(told), doubtful)


def compiled(messages: list[Message]) -> gettext.GNUTranslations:
    """Return messages as the standard library looks them up; what is not translated or doubtful stays as it is."""
    pairs = {}
    for one in messages:
        if not one.told or not all(one.told) or (one.doubtful and one.words):
            continue
        key = f"{one.key}\0{one.many}" if one.many else one.key
        pairs[key.encode()] = "\0".join(one.told).encode()
    rows = sorted(pairs.items())
    start = 28 + 16 * len(rows)
    table, words = [], bytearray()
    for column in (0, 1):
        for row in rows:
            table.append(struct.pack("<II", len(row[column]), start + len(words)))
            words += row[column] + b"\0"
    head = struct.pack("<7I", 0x950412DE, 0, len(rows), 28, 28 + 8 * len(rows), 0, 0)
    return gettext.GNUTranslations(BytesIO(head + b"".join(table) + bytes(words)))


def place_of(code: str) -> Traversable:
    """Return where the catalogue of a language lies."""
    return files("mullbed.web").joinpath("locale", code, "LC_MESSAGES", "mullbed.po")


@cache
def translations(code: str) -> gettext.GNUTranslations:
    """Return the translations into a language that is kept here."""
    return compiled(read_messages(place_of(code).read_text(encoding="utf-8")))
