"""The cut in characters: a row a centimetre (half an inch in US units), 26 wide, ruler left and names right."""

from __future__ import annotations

from zlib import crc32

import numpy as np

from mullbed.domain.residue import Texture
from mullbed.reports.bed_cut import Cut, CutLift
from mullbed.reports.matter import FRESH_LOOKING, LOOKS, matter_after
from mullbed.reports.terminal_style import WIDTH, Style

CUT_WIDTH = 26


def cut_lines(cut: Cut, style: Style, *, inches: bool = False) -> list[str]:
    """Return the cut as lines of text, never wider than the page."""
    each = 1.27 if inches else 1.0
    rows: list[tuple[str, str, str]] = []
    """Characters, bracket and words, from the soil up."""
    height, top = 0.0, 0
    groups = _groups(cut)
    name_width = min(22, max((len(lift.name) for lift in cut.lifts), default=0))
    for group in groups:
        start = top
        for lift in group:
            height += lift.centimetres
            end = max(top + 1, round(height / each))
            rows.extend((_characters(lift, row, style), "", "") for row in range(top, end))
            top = end
        lift = group[-1]
        for row in range(start, top):
            mark = "─" if top - start == 1 else ("┐" if row == top - 1 else ("┘" if row == start else "│"))
            rows[row] = (rows[row][0], mark, rows[row][2])
        words = f"{lift.name[:name_width]:<{name_width}} {lift.depth:>7} {lift.state}"
        rows[top - 1] = (rows[top - 1][0], rows[top - 1][1], words)
    if cut.settled_centimetres is not None and rows:
        at = min(len(rows) - 1, max(0, round(cut.settled_centimetres / each) - 1))
        if not rows[at][2]:
            dotted = "┄" * CUT_WIDTH
            rows[at] = (style.ochre(dotted), rows[at][1], cut.settled_words[:1].lower() + cut.settled_words[1:])
        elif cut.settled_words:
            rows[at] = (rows[at][0], rows[at][1], rows[at][2])
    lines = []
    for row in range(len(rows) - 1, -1, -1):
        characters, bracket, words = rows[row]
        lines.append(_line(_number(row + 1, inches), "│", characters, bracket, words))
    lines.append(_line("0", "┿", style.bold("━" * CUT_WIDTH), "━", "soil line"))
    rng = np.random.default_rng(crc32(cut.title.encode()))
    soil = "".join("▒▓"[int(value)] for value in rng.integers(0, 2, CUT_WIDTH))
    lines.append(_line("", "│", style.quiet(soil), "", cut.soil_words[1] or cut.soil_words[0].lower()))
    return lines


def _groups(cut: Cut) -> list[list[CutLift]]:
    groups: list[list[CutLift]] = []
    for lift in cut.lifts:
        if groups and lift.group and groups[-1][-1].group == lift.group:
            groups[-1].append(lift)
        else:
            groups.append([lift])
    return groups


def _characters(lift: CutLift, row: int, style: Style) -> str:
    matter = matter_after(lift.matter, lift.carbon_gone)
    glyphs = LOOKS[matter].ascii_glyphs if style.plain else LOOKS[matter].glyphs
    rng = np.random.default_rng(crc32(f"{lift.seed} {row}".encode()))
    text = "".join(glyphs[int(pick)] for pick in rng.integers(0, len(glyphs), CUT_WIDTH))
    if matter is Texture.MULL:
        return style.quiet(text)
    return style.green(text) if matter in FRESH_LOOKING else style.ochre(text)


def _number(row: int, inches: bool) -> str:
    if inches:
        return f"{row // 2} in" if row % 4 == 0 else ""
    return f"{row} cm" if row % 5 == 0 else ""


def _line(number: str, ruler: str, characters: str, bracket: str, words: str) -> str:
    room = WIDTH - 11 - CUT_WIDTH
    return f"{number:>5} {ruler} {characters} {bracket} {words[:room]}"
