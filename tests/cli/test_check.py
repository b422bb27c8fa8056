"""``mullbed check`` from the shell: the worked example, clean JSON, units, seeds."""

from __future__ import annotations

import json
from collections.abc import Callable

EXAMPLE = (
    "check", "--lift", "dry leaves:25mm", "--lift", "grass clippings:50mm", "--lift", "dry leaves:12mm",
    "--area", "1m2", "--water", "2mm", "--repeat", "3.5 weeks", "--season", "26 weeks",
)  # fmt: skip


def test_the_example_shows_a_season_load_several_times_any_crop_and_says_so(mullbed: Callable[..., object]) -> None:
    ended = mullbed(*EXAMPLE, "--json")
    document = json.loads(ended.out)
    crops = json.loads(mullbed("crops", "--json").out)["crops"]
    most_wanted = 10 * max(crop["nitrogen_want"]["mid"] for crop in crops)  # kg/ha
    season = document["season"]
    assert season["layers"] == 8  # known: floor(26 / 3.5) + 1
    assert season["nitrogen_kg_ha"]["mid"] > 3 * most_wanted
    assert any(
        "nitrogen" in finding["text"].casefold() and "crop" in finding["text"] for finding in document["findings"]
    )
    assert ended.err  # progress goes beside, never into, the document
    for key in ("cn", "nitrogen", "phosphorus", "moisture", "dry_matter"):
        assert document[key]["low"] < document[key]["mid"] < document[key]["high"]
    assert document["thickness"]["fresh_mm"] > document["thickness"]["wilted_mm"] > 0


def test_the_same_seed_gives_the_same_document_and_another_seed_another(mullbed: Callable[..., object]) -> None:
    first, again, other = (mullbed(*EXAMPLE, "--json", "--seed", seed).out for seed in ("3", "3", "4"))
    assert first == again
    assert first != other


def test_the_text_shows_the_same_answer_in_us_units_and_in_plain_ascii(mullbed: Callable[..., object]) -> None:
    ended = mullbed(*EXAMPLE, "--units", "us", "--plain")
    assert ended.code == 0
    assert ended.out.isascii()
    assert " in fresh" in ended.out
    assert "lb" in ended.out
    assert max(map(len, ended.out.splitlines())) <= 80
