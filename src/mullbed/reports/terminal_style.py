"""How text is dressed for a terminal: colour only where it is wanted, plain ASCII where it is asked for."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

WIDTH = 80

_ASCII = str.maketrans(
    {
        "–": "-", "−": "-", "°": " deg ", "²": "2", "½": " 1/2", "≈": "~", "┃": "|", "│": "|", "┿": "+", "━": "=",
        "┐": "]", "┘": "]", "─": "-", "┄": ".", "◇": "*", "░": ":", "▒": "%", "▓": "#", "’": "'", "“": '"', "”": '"',
        "×": "x", "±": "+/-", "→": "->", "…": "...", "·": ".", "≤": "<=", "≥": ">=",
        "▁": "_", "▂": "_", "▃": "-", "▄": "-", "▅": "=", "▆": "=", "▇": "#", "█": "#",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Style:
    """What the terminal can show; the caller decides it from NO_COLOR, pipes and options."""

    colour: bool = False
    plain: bool = False

    def bold(self, text: str) -> str:
        """Return text in bold where colour is on."""
        return self._wrapped(text, "1")

    def amber(self, text: str) -> str:
        """Return the word of the thing to do."""
        return self._wrapped(text, "1;33")

    def quiet(self, text: str) -> str:
        """Return text that comes second."""
        return self._wrapped(text, "2")

    def green(self, text: str) -> str:
        """Return soft fresh matter."""
        return self._wrapped(text, "32")

    def ochre(self, text: str) -> str:
        """Return dry matter."""
        return self._wrapped(text, "33")

    def red(self, text: str) -> str:
        """Return the word "Don't", nothing else."""
        return self._wrapped(text, "1;31")

    def _wrapped(self, text: str, code: str) -> str:
        return f"\x1b[{code}m{text}\x1b[0m" if self.colour and text else text

    def finished(self, lines: list[str]) -> str:
        """Return the page: no trailing blanks, ASCII where asked for, one line end at the end."""
        text = "\n".join(line.rstrip() for line in lines).rstrip("\n") + "\n"
        if not self.plain:
            return text
        plain = text.translate(_ASCII).replace(" deg C", " C").replace(" deg F", " F").replace("  deg", " deg")
        written = plain.encode("ascii", "replace").decode("ascii")
        return "".join(f"{line}\n" for long in written.splitlines() for line in _within_width(long))


def _within_width(line: str) -> list[str]:
    """Return a line that grew past the width when its signs were spelled out as two lines of the same indent."""
    if len(line) <= WIDTH:
        return [line]
    return textwrap.wrap(line, WIDTH, subsequent_indent=" " * (len(line) - len(line.lstrip())))


def said(word: str, sentence: str, style: Style, *, indent: int = 2, column: int = 8) -> list[str]:
    """Return lines "WORD  sentence", wrapped under the sentence."""
    room = WIDTH - indent - column
    wrapped = textwrap.wrap(sentence, room) or [""]
    painted = {"LAY": style.amber, "DON'T": style.red}.get(word, style.bold)(word)
    first = " " * indent + painted + " " * max(1, column - len(word)) + wrapped[0]
    return [first, *(" " * (indent + column) + line for line in wrapped[1:])]


def paragraph(text: str, *, indent: int = 2) -> list[str]:
    """Return a wrapped paragraph."""
    return textwrap.wrap(text, WIDTH, initial_indent=" " * indent, subsequent_indent=" " * indent)


def columns(rows: Sequence[tuple[str, ...]], *, indent: int = 2, right: frozenset[int] = frozenset()) -> list[str]:
    """Return rows in aligned columns; the last column wraps, so nothing passes the width."""
    if not rows:
        return []
    widths = [max(len(row[index]) for row in rows) for index in range(len(rows[0]))]
    start = indent + sum(width + 2 for width in widths[:-1])
    lines = []
    for row in rows:
        head = " " * indent + "".join(
            f"{cell:>{width}}  " if index in right else f"{cell:<{width}}  "
            for index, (cell, width) in enumerate(zip(row[:-1], widths[:-1], strict=True))
        )
        last = row[-1].rjust(widths[-1]) if len(row) - 1 in right else row[-1]
        wrapped = textwrap.wrap(last, max(12, WIDTH - start), drop_whitespace=len(row) - 1 not in right) or [""]
        lines.append(head + wrapped[0])
        lines.extend(" " * start + line for line in wrapped[1:])
    return lines
