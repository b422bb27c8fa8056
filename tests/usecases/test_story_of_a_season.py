"""One season from an empty machine: begun, held, laid otherwise, gone sour, mended, planned anew, handed on.

A small invented garden; every step is a command a grower types.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from mullbed.cli import main

GARDEN = """
[site]
name = "Fennel Row"
latitude = 51.2
elevation = "40 m"

[season]
first_day = 2026-04-01
last_day = 2026-09-30

[weather]
monthly_low = [1, 1, 3, 5, 9, 12, 14, 14, 11, 8, 4, 2]
monthly_high = [6, 7, 11, 15, 19, 22, 24, 24, 20, 15, 10, 7]
monthly_rain = [60, 50, 50, 45, 55, 60, 65, 65, 60, 70, 70, 70]

[soil]
texture = "loam"
organic_matter = "4 %"

[[beds]]
name = "Low Bed"
size = "1.2 m x 5 m"

[[beds.crops]]
crop = "white_cabbage_fresh"
planted = 2026-05-10
harvested = 2026-09-10

[[beds]]
name = "High Bed"
size = "1.2 m x 5 m"

[[supplies]]
residue = "grass clippings"
amount = "4 buckets"
from = 2026-04-20
every = "14 days"

[[supplies]]
residue = "dry leaves"
amount = "8 bags"
from = 2026-04-01
"""


@pytest.fixture
def empty_machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a folder where nothing was ever kept."""
    monkeypatch.setenv("MULLBED_RECORD", str(tmp_path / "here" / "record.sqlite"))
    monkeypatch.setenv("MULLBED_AUTHOR", "Ada")
    return tmp_path


def test_a_seasons_story_from_an_empty_machine_to_a_copy_elsewhere(
    empty_machine: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def mullbed(*words: str, code: int = 0) -> str:
        monkeypatch.setattr("sys.argv", ["mullbed", *words])
        with pytest.raises(SystemExit) as ended:
            main.run()
        shown = capsys.readouterr()
        assert int(ended.value.code or 0) == code, shown.err + shown.out
        return shown.out if code == 0 else shown.err

    def document(*words: str) -> dict[str, object]:
        return dict(json.loads(mullbed(*words, "--json")))

    file = empty_machine / "garden.toml"
    file.write_text(GARDEN, encoding="utf-8")

    # The garden is made, a plan is kept.
    assert "Fennel Row" in mullbed("garden", "new", str(file))
    first_plan = document("plan", "--as-done", "--day", "2026-04-05")
    assert first_plan["layers"]

    # Hay of unknown history is held; a test sown, read clear, and the batch freed.
    told = mullbed("log", "batch", "hay: 3 bales", "--name", "lane hay", "--from", "the farm", "--day", "2026-04-06")
    assert "held" in told.casefold() or "hold" in told.casefold()
    refused = mullbed("log", "layer", "high", "hay: 1 bale", "--day", "2026-04-08", code=2)
    assert "lane hay" in refused and "ocal" in refused
    mullbed("log", "test", "lane hay", "--day", "2026-04-07")
    mullbed("log", "test-read", "lane hay", "clear", "--last", "--day", "2026-04-28")
    listed = mullbed("log", "list", "--newest", "20")
    assert "lane hay" in listed

    # What is laid differs from the plan: twice as thick, nothing dry on top, then rain.
    mullbed("log", "layer", "low", "grass clippings: 8 buckets", "--day", "2026-05-20")
    for day, rain in (("2026-05-20", "14"), ("2026-05-21", "22"), ("2026-05-22", "9")):
        mullbed("log", "weather", "--rain", rain, "--low", "9", "--high", "17", "--day", day)

    # The nose tells; the first cause named is the right one.
    before = document("bed", "Low Bed", "--day", "2026-05-23")
    mullbed("log", "seen", "low", "smell", "sour", "--day", "2026-05-23")
    mullbed("log", "seen", "low", "squeeze", "drips freely", "--day", "2026-05-23")
    mullbed("log", "seen", "low", "thickness", "3 cm", "--day", "2026-05-23")
    sour = document("noticed", "--as-done", "--bed", "Low Bed", "--sign", "sour", "--day", "2026-05-23")
    causes = sour["causes"]
    assert isinstance(causes, list)
    assert causes[0]["cause"] == "gone_sour", causes[0]
    assert "air" in json.dumps(causes[0]).casefold()

    # The walk says so too, and what was learnt corrects the forecast.
    walk = document("round", "--day", "2026-05-23")
    low = next(one for one in walk["beds"] if one["bed"] == "Low Bed")  # type: ignore[union-attr]
    assert low["stops"][0]["job"] == "open it up"
    folder = empty_machine / "written"
    mullbed("garden", "write", "--out", str(folder))
    plain = document("forecast", str(folder / "garden.toml"), "--bed", "Low Bed", "--members", "64")
    learnt = document(
        "forecast", str(folder / "garden.toml"), "--bed", "Low Bed", "--members", "64", "--learn", "--keep"
    )
    assert plain != learnt
    assert "learnt" in learnt

    # Planned again from today with what was laid and harvested.
    mullbed("log", "water", "high", "18 L", "--day", "2026-05-24")
    mullbed("log", "harvest", "low", "white_cabbage_fresh", "2.4 kg", "--day", "2026-07-20")
    second_plan = document("plan", "--as-done", "--day", "2026-07-21")
    days = [one["date"] for one in second_plan["layers"]]  # type: ignore[union-attr]
    assert all(day >= "2026-07-21" for day in days)
    assert second_plan != first_plan
    changes = second_plan["changes"]
    assert first_plan["changes"] is None and isinstance(changes, list)
    told_of = {(one["bed"], one["day_after"]) for one in changes if one["day_after"]}
    assert told_of == {(one["bed"], one["date"]) for one in second_plan["layers"]}  # type: ignore[union-attr]
    after = document("bed", "Low Bed", "--day", "2026-07-21")
    assert before["layers"] == after["layers"]

    # Backed up, restored elsewhere: all figures equal. Handed over in open files: nothing lost.
    backup = empty_machine / "record.backup"
    mullbed("backup", str(backup))
    here = {
        "bed": after,
        "round": document("round", "--day", "2026-07-21"),
        "list": document("log", "list", "--newest", "500"),
    }
    elsewhere = empty_machine / "elsewhere" / "record.sqlite"
    monkeypatch.setenv("MULLBED_RECORD", str(elsewhere))
    mullbed("restore", str(backup))
    shutil.rmtree(empty_machine / "here")
    there = {
        "bed": document("bed", "Low Bed", "--day", "2026-07-21"),
        "round": document("round", "--day", "2026-07-21"),
        "list": document("log", "list", "--newest", "500"),
    }
    assert here == there
    open_files = empty_machine / "open"
    mullbed("garden", "hand-over", str(open_files))
    monkeypatch.setenv("MULLBED_RECORD", str(empty_machine / "third" / "record.sqlite"))
    mullbed("garden", "take-in", str(open_files))
    assert document("log", "list", "--newest", "500") == here["list"]
    assert document("bed", "Low Bed", "--day", "2026-07-21") == here["bed"]
