"""The report: one file, no outside request, no script, every picture told in words and in a table."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest
from season_sample import FIRST, GARDEN, PLAN

from mullbed.domain.garden import UnitSystem
from mullbed.reports.season_report import report_html

METRIC, US = UnitSystem.METRIC, UnitSystem.US
VOID = {"meta", "br"}


class Page(HTMLParser):
    """Tags, ids and references of a page; refuses tags that do not nest."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.ids: list[str] = []
        self.open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        self.tags.append((tag, found))
        if "id" in found:
            self.ids.append(found["id"])
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open[-1] == tag, (tag, self.open[-3:])
        self.open.pop()


@pytest.fixture(scope="module")
def text() -> str:
    return report_html(PLAN, GARDEN, units=METRIC, made_on=FIRST)


@pytest.fixture(scope="module")
def page(text: str) -> Page:
    return Page(text)


def test_tags_nest_and_ids_are_unique(page: Page) -> None:
    assert page.open == []
    assert len(page.ids) == len(set(page.ids))


def test_nothing_is_asked_of_the_network(text: str, page: Page) -> None:
    for tag, attributes in page.tags:
        assert tag not in {"script", "link", "img", "iframe", "object", "form"}
        for name in ("src", "href", "action", "srcset"):
            assert attributes.get(name, "#").startswith("#"), (tag, attributes)
        assert not any(name.startswith("on") for name in attributes)
    style = text.split("<style>")[1].split("</style>")[0]
    assert "url(" not in style and "@import" not in style
    assert "default-src 'none'" in text
    assert all(target.startswith("#") for target in re.findall(r"url\(([^)]*)\)", text))


def test_every_reference_inside_the_page_is_met(text: str, page: Page) -> None:
    ids = set(page.ids)
    for _, attributes in page.tags:
        for target in attributes.get("aria-labelledby", "").split():
            assert target in ids
        if attributes.get("href", "").startswith("#"):
            assert attributes["href"][1:] in ids
    assert {target[1:] for target in re.findall(r"url\(([^)]*)\)", text)} <= ids


def test_every_picture_has_words_and_every_bed_a_table(text: str, page: Page) -> None:
    pictures = [attributes for tag, attributes in page.tags if tag == "svg" and attributes.get("role") == "img"]
    assert len(pictures) == len(GARDEN.beds) * (2 + 2 + 1)  # ribbon and chart for desk and phone, one cut
    assert all(len(attributes["aria-labelledby"].split()) == 2 for attributes in pictures)
    hidden = [attributes for tag, attributes in page.tags if tag == "svg" and "role" not in attributes]
    assert all(attributes.get("aria-hidden") == "true" or "x" in attributes for attributes in hidden)
    assert text.count("All values as a table") == len(GARDEN.beds)
    assert text.count('<th scope="col">Question</th>') == len(GARDEN.beds)


def test_the_answer_is_the_heading_and_names_are_only_text(text: str) -> None:
    assert "<h1>Shredded autumn leaves run short in July: 2 bags.</h1>" in text
    assert "<Arch>" not in text and "Gate &amp; &lt;Arch&gt; bed" in text


def test_it_says_how_it_was_worked_out_and_from_which_sources(text: str) -> None:
    assert "41,472 seasons" in text
    assert "within 1.8 % of the best" in text
    assert "invented weather of four years" in text
    assert text.count("<li>mullbed_model: ") == 1
    assert "Checked on" in text and "Local rules come first" in text


def test_no_type_is_smaller_than_sixteen(text: str) -> None:
    style = text.split("<style>")[1].split("</style>")[0]
    sizes = [float(size) for size in re.findall(r"font(?:-size)?:(?:[\d]+ )?(\d+)px", style)]
    drawn = [float(size) for size in re.findall(r'font-size="([\d.]+)"', text)]
    assert sizes and drawn
    assert min(sizes + drawn) >= 16


def test_a_us_report_speaks_us_units() -> None:
    text = report_html(PLAN, GARDEN, units=US, made_on=FIRST)
    assert "lb a thousand square feet" in text and "4 in high" in text
    assert not re.search(r"\d (cm|kg|m²|L)\b", text.split('id="care"')[0])
