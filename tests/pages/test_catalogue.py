"""Every sentence of the pages stands in the Spanish catalogue, and no page tells English to who reads Spanish."""

from __future__ import annotations

import html
import re
import runpy
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from mullbed.web.catalogue import Message, place_of, read_messages
from mullbed.web.reading import LANGUAGES
from pages.conftest import DAY
from pages.kept_plan import keep_plan, planned

DOCS = Path(__file__).resolve().parents[2] / "docs"
PLACES = re.compile(r"\{(\w+)\}")
ENGLISH = re.compile(
    r"\b(the|of|and|with|is|are|you|your|it|for|from|until|in|not|nothing|what|how|this|that|look|lay|layer|cover|week|"
    r"day|worked|about|water|soil|straw|dry|leave|bed)\b"
)
OWN = re.compile(
    r"straw from the stable|hay from the roadside field|\b[A-Z]\w+ [Bb]ed\b|lb, gal (or|o) in\b|\d in\b|\bin/h\b|-\w"
)
"""Words of the garden's owner, and those that are the same in both languages."""
SEEN = 1


@cache
def used() -> dict[tuple[str, str], Message]:
    return runpy.run_path(str(DOCS / "words_used.py"))["used"]()


@pytest.mark.parametrize("code", [code for code in LANGUAGES if code != "en"])
def test_a_catalogue_is_whole_and_holds_nothing_that_is_told_no_more(code: str):
    head, *messages = read_messages(place_of(code).read_text(encoding="utf-8"))
    assert f"Language: {code}\n" in head.told[0]
    kept = {(one.about, one.words) for one in messages}
    assert kept == set(used()), "run python docs/renew_words.py and translate what is new"
    empty = [one.words for one in messages if not one.told or not all(one.told) or one.doubtful]
    assert not empty, "not translated yet"


@pytest.mark.parametrize("code", [code for code in LANGUAGES if code != "en"])
def test_a_translation_has_the_places_of_its_words_and_their_blanks(code: str):
    for one in read_messages(place_of(code).read_text(encoding="utf-8"))[1:]:
        wanted = set(PLACES.findall(one.words + one.many))
        for told in one.told:
            assert set(PLACES.findall(told)) == wanted, one.words
            assert told[:1].isspace() == one.words[:1].isspace(), one.words
            assert told[-1:].isspace() == one.words[-1:].isspace(), one.words
            assert not re.search(r"\{[^}]*$|[<>]", PLACES.sub("", told)), one.words


def test_renewing_a_catalogue_changes_nothing():
    for code in LANGUAGES:
        if code != "en":
            place = Path(str(place_of(code)))
            assert runpy.run_path(str(DOCS / "renew_words.py"))["page"](place) == place.read_text(encoding="utf-8")


def kind(path: str) -> str:
    """Return an address without what differs from bed to bed."""
    return re.sub(r"/bed/[^/?]+", "/bed/*", path.partition("?")[0]) + ("?" if "?" in path else "")


class Told(HTMLParser):
    """What a page tells, without what is said to be in English and without scripts."""

    VOID = frozenset({"meta", "link", "input", "br", "img", "hr"})

    def __init__(self) -> None:
        super().__init__()
        self.open: list[tuple[str, bool]] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        silent = bool(self.open and self.open[-1][1]) or told.get("lang") == "en" or tag in ("script", "style")
        if not silent:
            self.words.append(told.get("aria-label") or "")
        if tag not in self.VOID:
            self.open.append((tag, silent))

    def handle_endtag(self, tag: str) -> None:
        while self.open and self.open.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if not (self.open and self.open[-1][1]):
            self.words.append(data.strip())


def told_in(text: str) -> list[str]:
    """Return what a page tells in the language it says it is in."""
    parser = Told()
    parser.feed(text)
    return parser.words


def test_every_page_in_spanish_tells_spanish(client: TestClient, record: Path):
    keep_plan(record, planned("Gate Bed", DAY))
    client.headers["accept-language"] = "es-ES"
    client.post("/did", data={"job": "note", "bed": "Gate Bed", "text": "…"})
    waiting, tried = ["/", "/people", "/reading", "/begin", "/noticed/look?bed=Gate+Bed&sign=sharp&enough=yes"], {}
    seen, english = set(waiting), {}
    while waiting:
        path = waiting.pop(0)
        if tried.get(kind(path), 0) >= SEEN:
            continue
        tried[kind(path)] = tried.get(kind(path), 0) + 1
        answer = client.get(path)
        assert answer.status_code in (200, 303), path
        if not answer.headers.get("content-type", "").startswith("text/html"):
            continue
        assert '<html lang="es"' in answer.text, path
        for told in told_in(answer.text):
            if ENGLISH.search(OWN.sub("", told)):
                english[told] = path
        for target in map(html.unescape, re.findall(r'href="(/[^"#]*)', answer.text)):
            if target not in seen and not target.startswith("/static"):
                seen.add(target)
                waiting.append(target)
    assert not english
    assert len(tried) > 20


def test_faults_of_forms_are_told_in_spanish_and_what_is_not_is_marked_as_english(client: TestClient):
    client.headers["accept-language"] = "es"
    told = client.post("/did", data={"job": "picked", "bed": "Gate Bed", "crop": "garlic", "mass": "mucho"}).text
    assert "Empieza por un número." in told and "Begin with a number" not in told
    told = client.post("/in-hand", data={"job": "counted", "name": "leaf stack", "count": "wide"}).text
    assert "un número como 2.5 o 2,5" in told and "Escribe un número sin más." in told
    told = client.get("/season/../nowhere").text
    assert "En esta dirección no hay nada." in told
