"""``mullbed behaviour``: every case beside what was expected of it, on the screen, as JSON and as a page."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree


def test_one_case_is_told_with_range_and_source(mullbed: Callable[..., object]) -> None:
    ended = mullbed("behaviour", "--case", "winter_frost", "--members", "8", "--plain")
    assert ended.code == 0
    assert "Two months of frost" in ended.out
    assert "[derived]" in ended.out
    assert ended.out.isascii()


def test_the_document_and_the_page_hold_the_same_expectations(mullbed: Callable[..., object], tmp_path: Path) -> None:
    ended = mullbed("behaviour", "--case", "dry_heat", "--members", "8", "--json", "--report", str(tmp_path / "out"))
    assert ended.code == 0
    (case,) = json.loads(ended.out)["cases"]
    page = (tmp_path / "out" / "BEHAVIOUR.md").read_text(encoding="utf-8")
    for one in case["expectations"]:
        assert one["says"] in page
        assert one["p10"] <= one["p50"] <= one["p90"]
        assert 0.0 <= one["share"] <= 1.0
    chart = ElementTree.parse(tmp_path / "out" / "dry_heat.svg").getroot()
    described = chart.find("{http://www.w3.org/2000/svg}desc")
    assert described is not None
    assert described.text in page


def test_a_case_that_is_not_there_is_refused_with_those_that_are(mullbed: Callable[..., object]) -> None:
    ended = mullbed("behaviour", "--case", "moon")
    assert ended.code == 2
    assert "winter_frost" in ended.err
