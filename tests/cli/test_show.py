"""Claims and lessons from the command line."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path


def test_every_claim_has_a_standing_a_source_and_what_would_settle_it(mullbed: Callable[..., object]) -> None:
    ended = mullbed("show", "claims", "--json")
    claims = json.loads(ended.out)["claims"]
    assert len(claims) == 10
    assert {one["standing"] for one in claims} <= {"supported", "partly", "not supported"}
    assert all(one["sources"] and one["settling"]["words"] for one in claims)
    harvest = next(one for one in claims if one["key"] == "compost_feeds_better")
    assert harvest["settling"]["pairs"] > 9  # the table's variation of harvests, a difference of a fifth


def test_every_lesson_lasts_half_an_hour(mullbed: Callable[..., object]) -> None:
    lessons = json.loads(mullbed("show", "lesson", "--json").out)["lessons"]
    assert len(lessons) == 7
    assert all(sum(step["minutes"] for step in one["steps"]) == 30 for one in lessons)


def test_sheets_are_page_and_print(mullbed: Callable[..., object], tmp_path: Path) -> None:
    assert mullbed("show", "lesson", "does it work?", "--out", str(tmp_path / "a")).code == 0
    assert (tmp_path / "a" / "lessons.pdf").read_bytes().startswith(b"%PDF")
    assert mullbed("show", "claims", "--out", str(tmp_path / "b")).code == 0
    assert "Piles waste their nitrogen" in (tmp_path / "b" / "claims.html").read_text(encoding="utf-8")
    assert mullbed("show", "lesson", "no such lesson").code == 2
