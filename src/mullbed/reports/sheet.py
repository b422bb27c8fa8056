"""A sheet to show: heading, sentences, pictures, tables, steps; the same parts become a page or a print."""

# ruff: noqa: E501 - strings of HTML are kept whole, they read worse when broken

from __future__ import annotations

import base64
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from html import escape
from importlib import resources

from mullbed.reports import pigments
from mullbed.reports.report_style import STYLE
from mullbed.reports.report_tables import table

SHEET_STYLE = (
    STYLE
    + """
.lines{border-bottom:1.4px solid currentColor;min-height:44px;padding-top:16px;font-weight:700}
ol.steps li{padding:6px 0;max-width:68ch}
figure{margin:0 0 14px;break-inside:avoid}
figure img{max-width:100%;max-height:70vh}
.pair{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(300px,100%),1fr));gap:20px}
.frame{border:3px solid currentColor;padding:10px 14px;font-weight:700;margin:14px 0}
@media print{
 @page{size:portrait;margin:12mm}
 details{display:block}
}
"""
)


@dataclass(frozen=True, slots=True)
class Words:
    """A sentence or two."""

    text: str
    quiet: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """A heading over what follows."""

    text: str


@dataclass(frozen=True, slots=True)
class Steps:
    """What to do, in order."""

    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawn picture and the sentence it says."""

    svg: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Photo:
    """A photograph with what it shows."""

    content: bytes
    kind: str
    """"jpeg" or "png"."""
    words: str
    digest: str = ""
    """Of its content, where a page can fetch it."""


@dataclass(frozen=True, slots=True)
class Beside:
    """Photographs side by side."""

    photos: tuple[Photo, ...]


@dataclass(frozen=True, slots=True)
class Grid:
    """A table of plain words; its first column names the row."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Framed:
    """What not to do, or what to mind."""

    word: str
    text: str


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines to write on, each with its word."""

    labels: tuple[str, ...]


SheetPart = Words | Part | Steps | Picture | Photo | Beside | Grid | Framed | Lines


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet."""

    title: str
    top: tuple[str, str]
    """Where and when, left and right above the heading."""
    heading: str
    parts: tuple[SheetPart, ...]
    lead: str = ""


def sheet_html(sheet: Sheet) -> str:
    """Return the sheet as one page that needs no script and loads nothing."""
    lead = f'<p class="lead">{escape(sheet.lead)}</p>' if sheet.lead else ""
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        f"<title>{escape(sheet.title)}</title><style>{SHEET_STYLE}</style></head><body>"
        f'<header><p class="top"><span>{escape(sheet.top[0])}</span><span>{escape(sheet.top[1])}</span></p>'
        f"<h1>{escape(sheet.heading)}</h1>{lead}</header><main>{_sections(sheet.parts)}</main></body></html>\n"
    )


def sheets_html(sheets: Sequence[Sheet], title: str) -> str:
    """Return several sheets on one page, each printed on its own."""
    body = "".join(
        f'<section class="bed"><p class="top"><span>{escape(one.top[0])}</span><span>{escape(one.top[1])}</span></p>'
        f"<h2>{escape(one.heading)}</h2>"
        + (f'<p class="lead">{escape(one.lead)}</p>' if one.lead else "")
        + "".join(_part(part, 3) for part in one.parts)
        + "</section>"
        for one in sheets
    )
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        f"<title>{escape(title)}</title><style>{SHEET_STYLE}</style></head><body><header><h1>{escape(title)}</h1></header><main>{body}</main></body></html>\n"
    )


def _sections(parts: Sequence[SheetPart]) -> str:
    """Return parts as sections, a new one at every heading."""
    out, inside = [], False
    for part in parts:
        if isinstance(part, Part):
            out.append("</section>" if inside else "")
            out.append("<section>")
            inside = True
        elif not inside:
            out.append("<section>")
            inside = True
        out.append(_part(part, 2))
    return "".join(out) + ("</section>" if inside else "")


def _part(part: SheetPart, level: int) -> str:
    match part:
        case Part(text):
            return f"<h{level}>{escape(text)}</h{level}>"
        case Words(text, quiet):
            return f"<p{' class=quiet' if quiet else ''}>{escape(text)}</p>"
        case Steps(steps):
            return '<ol class="steps">' + "".join(f"<li>{escape(one)}</li>" for one in steps) + "</ol>"
        case Picture(svg, sentence):
            return f"<figure>{svg}<figcaption>{escape(sentence)}</figcaption></figure>"
        case Photo(content, kind, words, _):
            data = base64.b64encode(content).decode("ascii")
            return f'<figure><img alt="{escape(words)}" src="data:image/{kind};base64,{data}"><figcaption>{escape(words)}</figcaption></figure>'
        case Beside(photos):
            return '<div class="pair">' + "".join(_part(one, level) for one in photos) + "</div>"
        case Grid(caption, heads, rows):
            inner = table(caption, heads, [[escape(cell) for cell in row] for row in rows])
            return f"<div class='scroll' tabindex='0' role='region' aria-label='{escape(caption or heads[0])}'>{inner}</div>"
        case Framed(word, text):
            return f'<p class="frame">{escape(word)}: {escape(text)}</p>'
        case Lines(labels):
            return "".join(f'<p class="lines">{escape(one)}</p>' for one in labels)


def sheets_pdf(sheets: Sequence[Sheet], made_on: date, title: str = "") -> bytes:
    """Return sheets as PDF, each begun on a new page."""
    from mullbed.reports.pdf import typeset

    source = resources.files("mullbed.reports").joinpath("sheet.typ").read_bytes()
    book: dict[str, object] = {
        "title": title or sheets[0].title,
        "fonts": list(pigments.PRINT_FONTS),
        "sheets": [
            {
                "left": one.top[0],
                "right": one.top[1],
                "heading": one.heading,
                "lead": one.lead,
                "parts": [_plain(part) for part in one.parts],
            }
            for one in sheets
        ],
    }
    return typeset(source, book, made_on)


def _plain(part: SheetPart) -> dict[str, object]:
    """Return a part as the print reads it."""
    match part:
        case Part(text):
            return {"kind": "part", "text": text}
        case Words(text, quiet):
            return {"kind": "words", "text": text, "quiet": quiet}
        case Steps(steps):
            return {"kind": "steps", "steps": list(steps)}
        case Picture(svg, sentence):
            named = (
                svg if "xmlns=" in svg[:400] else svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)
            )
            return {"kind": "picture", "svg": named, "text": sentence, "share": _share(named)}
        case Photo(content, kind, words, _):
            return {"kind": "photos", "photos": [_photo(content, kind, words)]}
        case Beside(photos):
            return {"kind": "photos", "photos": [_photo(one.content, one.kind, one.words) for one in photos]}
        case Grid(caption, heads, rows):
            return {"kind": "grid", "caption": caption, "heads": list(heads), "rows": [list(row) for row in rows]}
        case Framed(word, text):
            return {"kind": "framed", "word": word, "text": text}
        case Lines(labels):
            return {"kind": "lines", "labels": list(labels)}


def _share(svg: str) -> float:
    """Return how much of the paper's width a picture takes: one drawn for a phone takes less. [%]"""
    found = re.search(r'viewBox="0 0 (\d+) (\d+)', svg)
    if found is None or int(found[1]) > 400:
        return 100.0
    return 50.0 if int(found[2]) <= 180 else 64.0


def _photo(content: bytes, kind: str, words: str) -> dict[str, object]:
    """Return a photograph as numbers, which the print turns back into bytes."""
    return {"bytes": list(content), "kind": "jpg" if kind == "jpeg" else kind, "text": words}
