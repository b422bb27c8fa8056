"""``mullbed hauls``: the page's own example runs, its document keeps to the schema, holds bind."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from test_documents import paths, told

jsonschema = pytest.importorskip("jsonschema")


@pytest.fixture
def example(repository: Path, tmp_path: Path) -> Path:
    """Return the file the how-to page shows."""
    page = (repository / "docs/howto/share-residues-in-a-neighbourhood.md").read_text(encoding="utf-8")
    (text,) = re.findall(r"```toml\n(.*?)```", page, re.S)
    path = tmp_path / "mill-lane.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_pages_example_is_shared_and_told(example: Path, mullbed: Callable[..., Any]) -> None:
    ended = mullbed("hauls", str(example), "--plain")
    assert ended.code == 0
    assert all(part in ended.out for part in ("WHO BRINGS WHAT TO WHOM", "Long Acre", "12 Mill Lane", "WHAT STAYS"))
    assert "Local rules come first" in ended.out
    assert all(len(line) <= 80 for line in ended.out.splitlines())


def test_the_document_keeps_to_its_schema_and_its_page(
    example: Path, mullbed: Callable[..., Any], repository: Path, tmp_path: Path
) -> None:
    document = json.loads(mullbed("hauls", str(example), "--json", "--out", str(tmp_path / "out")).out)
    schema = json.loads((repository / "docs/reference/hauls.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(document)
    assert json.loads((tmp_path / "out" / "hauls.json").read_text("utf-8")) == document
    keys = {re.sub(r"(nitrogen|phosphorus)(\{\}|\..*)$", r"\1", path) for path in paths(document)}
    assert keys == told(repository, "hauls")
    rows = list(csv.DictReader((tmp_path / "out" / "hauls.csv").read_text("utf-8").splitlines()))
    assert sum(int(row["containers [1]"]) for row in rows) == sum(one["brought"] for one in document["givers"])
    for garden in document["gardens"]:
        assert garden["nitrogen"]["mid"] <= garden["nitrogen_ceiling"] + 1e-9
        assert garden["dry"] >= garden["soft_fresh"] - 1e-9


def test_clippings_nobody_can_vouch_for_are_held(example: Path, mullbed: Callable[..., Any]) -> None:
    text = example.read_text(encoding="utf-8")
    example.write_text(text.replace('sprayed = "no"', 'sprayed = "not known"'), encoding="utf-8")
    document = json.loads(mullbed("hauls", str(example), "--json").out)
    lawn = next(one for one in document["givers"] if one["name"] == "12 Mill Lane")
    assert (lawn["brought"], lawn["stays_because"]) == (0, "held")
    assert "sprayed" in lawn["held_because"]


def test_a_faulty_file_ends_with_two(example: Path, mullbed: Callable[..., Any]) -> None:
    example.write_text("weeks = 3\n", encoding="utf-8")
    ended = mullbed("hauls", str(example))
    assert (ended.code, ended.out) == (2, "")
    assert "first_day" in ended.err
