"""Templates to answers: every value is escaped, every page has a typed context."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from functools import lru_cache
from hashlib import sha256
from importlib.resources import files
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape
from markupsafe import Markup

from mullbed.language import language, say, say_many
from mullbed.reports.signs import sign
from mullbed.web.field_words import field_words
from mullbed.web.ground_edge import ground_edge, wavy_line
from mullbed.web.reading import LANGUAGES, UNREVIEWED
from mullbed.web.visitor import visitor_of


@lru_cache(maxsize=1)
def environment() -> Environment:
    """Return the templates; a name that no context holds is an error, never an empty word."""
    made = Environment(
        loader=PackageLoader("mullbed.web", "templates"),
        autoescape=select_autoescape(default=True, default_for_string=True),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    made.globals.update(
        sign=lambda name, size=40.0: Markup(sign(name, size=size)),  # nosec B704: drawn by us, no words of anybody in it
        ground_edge=lambda: Markup(ground_edge()),  # nosec B704
        wavy_line=lambda seed, thick=False: Markup(wavy_line(seed, thick=thick)),  # nosec B704
        version=static_version(),
    )
    made.add_extension("jinja2.ext.i18n")
    made.install_gettext_callables(say, say_many, newstyle=False)  # type: ignore[attr-defined]
    made.globals.update(
        {"_": say, "n_": say_many, "said": said},
        spoken=language,
        field_words=field_words,
        tongues=LANGUAGES,
        unreviewed=UNREVIEWED,
    )
    made.policies["ext.i18n.trimmed"] = True
    return made


def said(words: str) -> Markup | str:
    """Return words in the reader's language; what no catalogue holds is marked as the English it is."""
    found = say(words)
    if found != words or language().code == "en" or not words:
        return found
    return Markup('<span lang="en">{}</span>').format(words)


@lru_cache(maxsize=1)
def static_version() -> str:
    """Return a short hash of everything that is served as it is, so that browsers fetch a changed file."""
    digest = sha256()
    folder = files("mullbed.web").joinpath("static")
    for entry in sorted(folder.iterdir(), key=lambda one: one.name):
        if entry.is_file():
            digest.update(entry.name.encode())
            digest.update(entry.read_bytes())
    return digest.hexdigest()[:10]


def words_of(context: object) -> dict[str, Any]:
    """Return the fields of a context, unchanged.

    Raises
    ------
    TypeError
        When it is no dataclass.
    """
    if not is_dataclass(context) or isinstance(context, type):
        raise TypeError("a page's context is a dataclass")
    return {field.name: getattr(context, field.name) for field in fields(context)}


def page_text(template: str, context: object, reader: str = "") -> str:
    """Return a page as text."""
    return environment().get_template(template).render(words_of(context), reader=reader)


def page(request: Request, template: str, context: object, status: int = 200) -> HTMLResponse:
    """Return a page as an answer."""
    reader = reader_mark(request)
    return HTMLResponse(page_text(template, context, reader), status, {"x-reader": reader})


def reader_mark(request: Request) -> str:
    """Return a mark of who reads, so that a phone never shows one reader's pages or notes to another."""
    visitor = visitor_of(request)
    told = f"reader {visitor.name} {visitor.where.garden or ''}"
    return sha256(told.encode()).hexdigest()[:16]
