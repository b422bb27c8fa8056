"""Field checks and laboratory tables from the command line into the record, and what the soil outlook makes of them."""

from __future__ import annotations

import json
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest


@pytest.fixture
def garden(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mullbed: Callable[..., object]) -> Path:
    """Return a record that holds the demo garden."""
    record = tmp_path / "record.sqlite"
    monkeypatch.setenv("MULLBED_RECORD", str(record))
    monkeypatch.setenv("MULLBED_AUTHOR", "Ada")
    demo = Path(str(files("mullbed.files").joinpath("demo/garden.toml")))
    assert mullbed("garden", "new", str(demo)).code == 0
    return record


def test_a_check_is_kept_with_all_that_makes_it_comparable(garden: Path, mullbed: Callable[..., object]):
    ended = mullbed(
        "log", "check", "Garlic", "infiltration", "3:00", "4:00", "3:20", "--bore", "6 in", "--days-since-rain", "2",
        "--operator", "Bo", "--depth", "10 cm", "--json",
    )  # fmt: skip
    assert ended.code == 0, ended.err
    told = json.loads(ended.out)
    facts = told["entry"]["facts"]
    assert facts["readings"] == pytest.approx([20.0, 15.0, 18.0])  # known: one inch in 3 min is 20 in/h
    assert (facts["operator"], facts["days_since_rain"], facts["depth"]) == ("Bo", 2, pytest.approx(0.1))
    assert "463 mL" in facts["method"]
    assert told["scored"]["classes"][0] == "rapid"
    assert told["entry"]["bed"] == "Garlic Bed"
    assert told["entry"]["version"] == 2


def test_a_check_without_its_unit_or_on_no_bed_is_refused_with_every_reason(
    garden: Path, mullbed: Callable[..., object]
):
    ended = mullbed("log", "check", "Garlic", "nitrate", "fifty")
    assert ended.code == 2 and "nitrate or nitrate-N" in ended.err
    assert mullbed("log", "check", "Nowhere", "worms", "9").code == 2
    assert mullbed("log", "check", "Garlic", "shine", "9").code == 2


def test_a_laboratory_table_is_kept_once_and_moves_what_the_soil_is_taken_to_be(
    garden: Path, tmp_path: Path, mullbed: Callable[..., object]
):
    table = tmp_path / "report.csv"
    table.write_text(
        "Parcel,day,depth,OM [%],P (Bray 1) [mg/kg],pH\n"
        "Garlic Bed,2026-03-02,0-15 cm,4.4,61,6.6\n"
        "Long Potato,2026-03-02,0-15 cm,3.1,12,6.9\n",
        encoding="utf-8",
    )
    ended = mullbed("log", "laboratory", str(table), "--column", "bed=Parcel", "--laboratory", "Hill Test", "--json")
    assert ended.code == 0, ended.err
    kept = json.loads(ended.out)["kept"]
    assert len(kept) == 2
    names = {value["name"]: value for value in kept[0]["facts"]["values"]}
    assert names["phosphorus class"]["method"] == "very high"  # from memory: Bray 1 above 40
    again = mullbed("log", "laboratory", str(table), "--column", "bed=Parcel", "--laboratory", "Hill Test")
    assert "0 soil tests" in again.out.replace("No soil", "0 soil") or "no soil test" in again.out.casefold()
    assert "2 samples had been kept before" in again.out.replace("Two", "2")
    ended = mullbed("outlook", "--kept", "--bed", "Garlic Bed", "--years", "1", "--members", "16", "--json")
    (bed,) = json.loads(ended.out)["beds"]
    assert bed["tests"][0]["value"] == pytest.approx(0.044)


def test_a_laboratory_table_with_a_fault_keeps_nothing(garden: Path, tmp_path: Path, mullbed: Callable[..., object]):
    table = tmp_path / "report.csv"
    table.write_text("bed,P [mg/kg],pH\nGarlic Bed,61,6.6\nNowhere,12,66\n", encoding="utf-8")
    ended = mullbed("log", "laboratory", str(table))
    assert ended.code == 2
    assert "method" in ended.err and "66" in ended.err
    assert "soil test" not in mullbed("log", "list").out
