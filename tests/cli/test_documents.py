"""The JSON documents hold the keys their page tells, no more and no fewer."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from mullbed.files.bundled_garden import bundled_garden

GARDEN = str(bundled_garden())
COMMANDS = {
    "check": ("check", "--lift", "dry leaves:25mm", "--lift", "grass clippings:50mm", "--area", "1m2"),
    "layer": ("layer", GARDEN, "--bed", "Plum Bed", "--day", "2027-05-03"),
    "forecast": ("forecast", GARDEN, "--bed", "Plum Bed", "--members", "32"),
    "noticed": (
        "noticed",
        GARDEN,
        "--bed",
        "Plum Bed",
        "--sign",
        "sour",
        "--sign",
        "scorched",
        "--not",
        "slimy",
        "--quick",
    ),
    "residues": ("residues",),
    "crops": ("crops",),
    "cautions": ("cautions", GARDEN),
}
#: Commands of the record, and the lines that are kept before them.
OF_THE_RECORD = {
    "garden new": ("garden", "new", GARDEN),
    "log": ("log", "weather", "--rain", "4"),
    "round": ("round", "--day", "2027-06-01"),
}
BANDS = {"low", "mid", "high"}
LEAVES = ({"low", "mid", "high", "unit", "evidence", "range_evidence", "source"}, {"p10", "p50", "p90"})
BY_NAME = {
    "beds",
    "budget",
    "promise",
    "rehearsal",
    "unmet",
    "supply_left",
    "spread_by",
    "backing",
    "sources",
    "values",
    "numbers",
}


def told(repository: Path, command: str) -> set[str]:
    """Return the paths the page tells of a command."""
    page = (repository / "docs" / "reference" / "json.md").read_text(encoding="utf-8")
    section = page.split(f"\n## {command}\n")[1].split("\n## ")[0]
    return set(re.findall(r"^\| `([^`]+)` \|", section, re.M))


def paths(value: object, above: str = "", by_name: bool = False) -> Iterator[str]:
    """Return every path of a document as the page writes it."""
    if isinstance(value, dict):
        if set(value) in LEAVES:
            yield above
            return
        if set(value) >= BANDS and not by_name:
            yield above + "{}"
        for key, below in value.items():
            if key in BANDS and set(value) >= BANDS and not by_name:
                continue
            name = "*" if by_name else key
            deeper = (key in BY_NAME and not by_name) or (by_name and above.startswith("unmet"))
            yield from paths(below, f"{above}.{name}" if above else name, deeper and isinstance(below, dict))
    elif isinstance(value, list):
        if not value:
            yield above + "[]"
        for entry in value[:50]:
            yield from paths(entry, above + "[]")
    else:
        yield above


def faults_of(document: object, repository: Path, command: str) -> tuple[set[str], set[str]]:
    """Return keys the page does not tell, and keys it tells that are not there."""
    found, page = set(paths(document)), told(repository, command)
    assert page
    empty = {path for path in found if path.endswith("[]")}
    unknown = {
        path
        for path in found - page
        if f"{path}[]" not in page and not (path in empty and any(key.startswith(path) for key in page))
    }
    missing = {key for key in page - found if key.removesuffix("[]") not in found and not key.startswith(tuple(empty))}
    return unknown, missing


@pytest.mark.parametrize("command", COMMANDS)
def test_a_document_holds_the_keys_its_page_tells(
    command: str, repository: Path, mullbed: Callable[..., object]
) -> None:
    ended = mullbed(*COMMANDS[command], "--json")
    assert ended.code == 0, ended.err
    assert faults_of(json.loads(ended.out), repository, command) == (set(), set())


@pytest.mark.parametrize("command", OF_THE_RECORD)
def test_a_document_of_the_record_holds_the_keys_its_page_tells(
    command: str, repository: Path, tmp_path: Path, mullbed: Callable[..., object], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("MULLBED_RECORD", str(tmp_path / "record.sqlite"))
    if command != "garden new":
        assert mullbed("garden", "new", GARDEN).code == 0
    ended = mullbed(*OF_THE_RECORD[command], "--json")
    assert ended.code == 0, ended.err
    assert faults_of(json.loads(ended.out), repository, command) == (set(), set())
