"""The soil over years from the command line: files, record, faults."""

from __future__ import annotations

import json
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest


@pytest.fixture
def garden(tmp_path: Path) -> Path:
    """Return a copy of the example garden."""
    for name in ("garden.toml", "weather.csv"):
        (tmp_path / name).write_bytes(files("mullbed.files").joinpath("demo", name).read_bytes())
    return tmp_path / "garden.toml"


def plan_file(folder: Path, bed: str) -> Path:
    """Write a plan of one layer, of the keys a plan's document has."""
    lift = {"residue": "straw_wheat", "container": "kg", "count": 7.0, "thickness_mm": 40, "dry_matter": 1000.0}
    lift["fresh"] = False
    path = folder / "plan.json"
    path.write_text(json.dumps({"layers": [{"bed": bed, "date": "2027-04-20", "lifts": [lift]}]}), encoding="utf-8")
    return path


def test_page_print_table_and_document_tell_the_same(mullbed: Callable[..., object], garden: Path) -> None:
    plan = plan_file(garden.parent, "Gate Bed")
    ended = mullbed(
        "outlook", str(garden), "--plan", str(plan), "--bed", "gate bed", "--years", "2", "--members", "32",
        "--out", str(garden.parent / "out"), "--json",
    )  # fmt: skip
    assert ended.code == 0, ended.err
    told = json.loads(ended.out)["beds"][0]
    assert told["dry_matter"] == pytest.approx(1000.0)
    assert len(told["days"]) == len(told["planned"]["organic_matter"]["p50"]) == 3
    assert told["planned"]["nitrogen_supply"]["p50"][0] is None
    assert {one["nutrient"] for one in told["balances"]} == {"phosphorus", "potassium"}
    folder = garden.parent / "out"
    assert told["sentence"].split(":")[0] in (folder / "outlook.html").read_text(encoding="utf-8").replace(
        "&#x27;", "'"
    )
    assert (folder / "outlook.pdf").read_bytes().startswith(b"%PDF")
    assert len((folder / "outlook.csv").read_text(encoding="utf-8").splitlines()) == 1 + 2 * 4 * 3
    assert json.loads((folder / "outlook.json").read_text(encoding="utf-8")) == json.loads(ended.out)


def test_soil_tests_of_the_record_are_held_against_it(
    mullbed: Callable[..., object], garden: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("MULLBED_RECORD", str(garden.parent / "record.sqlite"))
    assert mullbed("garden", "new", str(garden)).code == 0
    assert mullbed("log", "soil-test", "Gate Bed", "--organic-matter", "5.2", "--day", "2025-04-02").code == 0
    ended = mullbed("outlook", "--kept", "--bed", "Gate Bed", "--years", "1", "--members", "128", "--json")
    assert ended.code == 0, ended.err
    told = json.loads(ended.out)["beds"][0]
    assert told["now"] == 2
    assert told["days"][0] == "2025-03-15"
    assert told["tests"][0]["value"] == pytest.approx(0.052)
    assert told["tests"][0]["expected"]["mid"] == pytest.approx(0.04, abs=0.003)
    assert told["informed"] < 1.0
    assert told["planned"]["organic_matter"]["p50"][0] > 0.041  # moved towards the test
    ended = mullbed("outlook", "--kept", "--bed", "Gate Bed", "--years", "1", "--members", "32", "--plain")
    assert "came 5.2 %" in " ".join(ended.out.split())


def test_faults_are_sentences(mullbed: Callable[..., object], garden: Path) -> None:
    ended = mullbed("outlook", str(garden), "--bed", "No Such Bed")
    assert ended.code == 2
    assert "Gate Bed" in ended.err
    broken = garden.parent / "broken.json"
    broken.write_text("{}", encoding="utf-8")
    ended = mullbed("outlook", str(garden), "--plan", str(broken))
    assert ended.code == 2
    assert "plan.json" in ended.err
