"""The only door to the PDF writer: card data in, a tagged PDF out; no user text ever enters its source."""

from __future__ import annotations

import json
from datetime import date
from importlib import resources
from importlib.util import find_spec
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, cast

from mullbed.domain.garden import Garden, UnitSystem
from mullbed.domain.season_plan import SeasonPlan
from mullbed.language import language
from mullbed.reports.bed_card import PLAIN_ADDRESS, card_book

if TYPE_CHECKING:
    import typst


def cards_pdf(
    plan: SeasonPlan, garden: Garden, *, units: UnitSystem, made_on: date, address: str = PLAIN_ADDRESS
) -> bytes:
    """Return cards.pdf: a card a bed for its next layer, then task sheets by day with loads added up."""
    book = card_book(plan, garden, units=units, made_on=made_on, address=address, code=square_code)
    return written(book, made_on)


def square_code(text: str) -> str:
    """Return a QR code of error level M as SVG, with its quiet zone."""
    import segno

    out = BytesIO()
    segno.make(text, error="m", micro=False).save(out, kind="svg", border=2, xmldecl=False, svgns=True)
    return out.getvalue().decode("utf-8")


def written(book: dict[str, object], made_on: date) -> bytes:
    """Return the card pages as PDF."""
    return typeset(_source(), book, made_on)


def typeset(source: bytes, book: dict[str, object], made_on: date) -> bytes:
    """Return pages of one of our sources as PDF/UA-1; as plain tagged PDF where no font here has a sign of a name."""
    import typst

    inputs = _inputs(book, made_on)
    try:
        return typst.compile(source, sys_inputs=inputs, font_paths=_fonts(), pdf_standards="ua-1")
    except typst.TypstError:
        return typst.compile(source, sys_inputs=inputs, font_paths=_fonts())


def page_pictures(book: dict[str, object], made_on: date) -> list[bytes]:
    """Return the card pages as one SVG each, to look at."""
    import typst

    drawn: object = typst.compile(_source(), sys_inputs=_inputs(book, made_on), font_paths=_fonts(), format="svg")
    return [drawn] if isinstance(drawn, bytes) else list(cast("list[bytes]", drawn))


def _source() -> bytes:
    return resources.files("mullbed.reports").joinpath("cards.typ").read_bytes()


def _inputs(book: dict[str, object], made_on: date) -> dict[str, str]:
    return {
        "book": json.dumps(book, ensure_ascii=False),
        "year": str(made_on.year),
        "month": str(made_on.month),
        "day": str(made_on.day),
        "language": language().code,
    }


def _fonts() -> typst.Fonts:
    import typst

    return typst.Fonts(font_paths=_font_folders())


def _font_folders() -> list[Path]:
    """Fonts of an installed font package, for machines that have none of their own."""
    found = find_spec("font_roboto")
    if found is None or found.origin is None:
        return []
    return [Path(found.origin).parent / "files"]
