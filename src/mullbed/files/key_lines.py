"""Where a key stands in TOML text, so that a fault can name its line.

The standard parser gives values without places. This finder reads the same text again, line by line: headers of
tables and of lists of tables, and keys at the start of a line. Keys inside an inline table or a list that spans
lines are not followed; for them the line of the key they belong to is named.
"""

from __future__ import annotations

import re

Path = tuple[str | int, ...]

LONGEST_LINE = 2000
"""What stands further right in a line is not looked at. [characters]"""

_HEADER = re.compile(r"^\s*(\[\[?)\s*([^\[\]#]+?)\s*\]\]?\s*(#.*)?$")
_KEY = re.compile(
    r"""^\s*((?:[A-Za-z0-9_-]+|"[^"\n]*"|'[^'\n]*')(?:\s*\.\s*(?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*'))*)\s*="""
)
_PART = re.compile(r"""[A-Za-z0-9_-]+|"[^"]*"|'[^']*'""")
_STRING = re.compile(r'"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\'')


class KeyLines:
    """Line numbers of the keys of one TOML text."""

    def __init__(self, text: str) -> None:
        self._lines: dict[Path, int] = {}
        counts: dict[Path, int] = {}
        table: Path = ()
        depth = 0
        closing: str | None = None
        for number, whole in enumerate(text.split("\n"), start=1):
            content = whole[:LONGEST_LINE]
            if closing is not None:
                if closing in content:
                    closing = None
                continue
            if depth == 0:
                header = _HEADER.match(content)
                if header and "=" not in _STRING.sub("", content.split("#")[0]):
                    table = self._table(_parts(header.group(2)), header.group(1) == "[[", counts)
                    self._lines.setdefault(table, number)
                    continue
                key = _KEY.match(content)
                if key:
                    parts = _parts(key.group(1))
                    for end in range(1, len(parts) + 1):
                        self._lines.setdefault((*table, *parts[:end]), number)
            for mark in ('"""', "'''"):
                if content.count(mark) % 2 == 1:
                    closing = mark
            bare = _STRING.sub("", content).split("#")[0]
            depth = max(0, depth + sum(bare.count(mark) for mark in "[{") - sum(bare.count(mark) for mark in "]}"))

    def line(self, path: Path) -> int | None:
        """Return the line of a key, or of the nearest key it belongs to; None where none is known."""
        for end in range(len(path), 0, -1):
            if path[:end] in self._lines:
                return self._lines[path[:end]]
        return None

    @staticmethod
    def _table(parts: tuple[str, ...], is_list: bool, counts: dict[Path, int]) -> Path:
        """Return the path of a table header, with the index of each list of tables on the way."""
        path: Path = ()
        for position, part in enumerate(parts):
            path = (*path, part)
            if is_list and position == len(parts) - 1:
                counts[path] = counts.get(path, -1) + 1
            if path in counts:
                path = (*path, counts[path])
        return path


def _parts(written: str) -> tuple[str, ...]:
    return tuple(part.strip("\"'") for part in _PART.findall(written))
