"""A garden's record from the command line: begun, written back, planned on, walked, handed over, carried on."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest
from test_log import SMALL

from mullbed.files.bundled_garden import bundled_garden


@pytest.fixture(autouse=True)
def record(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return where the record of the test lies; nothing is in it yet."""
    place = tmp_path / "record.sqlite"
    monkeypatch.setenv("MULLBED_RECORD", str(place))
    monkeypatch.setenv("MULLBED_AUTHOR", "Ada")
    return place


@pytest.fixture
def small(tmp_path: Path, mullbed: Callable[..., object]) -> Path:
    """Return the file of a small garden that is kept."""
    file = tmp_path / "garden.toml"
    file.write_text(SMALL, encoding="utf-8")
    assert mullbed("garden", "new", str(file)).code == 0
    return file


def document(mullbed: Callable[..., object], *words: str) -> dict[str, object]:
    ended = mullbed(*words, "--json")
    assert ended.code == 0, ended.err
    return json.loads(ended.out)


def test_a_garden_is_kept_once_and_written_back_to_the_letter(mullbed: Callable[..., object], tmp_path: Path) -> None:
    first = document(mullbed, "garden", "new", str(bundled_garden()))
    assert (first["garden"], first["first"], len(first["beds"])) == ("tanglewick", True, 12)  # type: ignore[arg-type]
    assert document(mullbed, "garden", "new", str(bundled_garden()))["entries"] == []
    out = tmp_path / "out"
    assert mullbed("garden", "write", "--out", str(out)).code == 0
    for name in ("garden.toml", "weather.csv"):
        assert (out / name).read_bytes() == (bundled_garden().parent / name).read_bytes()


def test_a_new_version_keeps_the_old_and_gives_up_beds_that_are_gone(
    small: Path, mullbed: Callable[..., object]
) -> None:
    changed = SMALL.replace("South Bed", "East Bed").replace("1.2 m x 4 m", "1.2 m x 5 m")
    small.write_text(changed, encoding="utf-8")
    told = document(mullbed, "garden", "new", str(small))
    assert (told["first"], told["given_up"]) == (False, ["South Bed"])
    shown = json.loads(mullbed("log", "list", "--kind", "bed", "--newest", "50", "--json").out)["entries"]
    areas = [entry["facts"]["area"] for entry in shown if entry["bed"] == "North Bed"]
    assert areas == [pytest.approx(4.8), pytest.approx(6.0)]
    assert mullbed("garden", "write").out == changed


def test_the_record_is_handed_over_and_taken_in_elsewhere_without_loss(
    small: Path, tmp_path: Path, mullbed: Callable[..., object], repository: Path
) -> None:
    picture = tmp_path / "bed.png"
    picture.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(64))
    for words in (
        ("layer", "north", "grass clippings: 2 buckets", "dry leaves: 1 bag"),
        ("seen", "north", "sour"),
        ("water", "north", "2 cans", "--corrects", "last"),
        ("batch", "hay: 2 bales", "--name", "lane"),
        ("test", "lane"),
        ("photo", str(picture), "--bed", "north"),
        ("take-back", "last"),
    ):
        mullbed("log", *words)
    whole, tables = tmp_path / "whole", tmp_path / "tables"
    assert document(mullbed, "garden", "hand-over", str(whole))["garden"] == "two-beds"
    written = json.loads((whole / "record.json").read_text(encoding="utf-8"))
    schema = json.loads((repository / "docs/reference/record.schema.json").read_text(encoding="utf-8"))
    jsonschema.validate(written, schema, cls=jsonschema.Draft202012Validator)
    mullbed("garden", "hand-over", str(tables))
    (tables / "record.json").unlink()
    for number, source in enumerate((whole, tables, tables / "record.ics")):
        other = str(tmp_path / f"other{number}.sqlite")
        taken = document(mullbed, "garden", "take-in", str(source), "--record", other)
        assert len(taken["new"]) == len(written["entries"])  # type: ignore[arg-type]
        assert document(mullbed, "garden", "take-in", str(source), "--record", other)["new"] == []
        again = tmp_path / f"again{number}"
        if number == 2:
            continue  # a calendar holds no pictures
        mullbed("garden", "hand-over", str(again), "--record", other)
        shown = json.loads((again / "record.json").read_text(encoding="utf-8"))["entries"]
        assert sorted(shown, key=lambda one: one["id"]) == sorted(written["entries"], key=lambda one: one["id"])
        photos = list(again.glob("photo-*"))
        assert [one.read_bytes() for one in photos] == [picture.read_bytes()]


def test_rows_written_by_hand_become_new_lines(small: Path, tmp_path: Path, mullbed: Callable[..., object]) -> None:
    table = tmp_path / "record-weather.csv"
    table.write_text("day,rain [mm],low [Cel]\r\n2026-05-01,4.5,\r\n2026-05-02,0,3\r\n", encoding="utf-8")
    assert len(document(mullbed, "garden", "take-in", str(table))["new"]) == 2  # type: ignore[arg-type]
    shown = json.loads(mullbed("log", "list", "--kind", "weather", "--json").out)["entries"]
    assert [(one["day"], one["facts"]["rain"], one["facts"]["low"]) for one in shown] == [
        ("2026-05-01", 4.5, None),
        ("2026-05-02", 0.0, 3.0),
    ]


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("record-weather.csv", "day,rain [in]\r\n2026-05-01,4\r\n", "Write it as 'rain [mm]'"),
        ("record-weather.csv", "day,rain [mm]\r\n2026-05-01,wet\r\n", "line 2, rain [mm]: 'wet'"),
        ("moons.csv", "day\r\n", "no table is called moons.csv"),
        ("record.json", '{"format": "other"}', "another document"),
        ("beds.geojson", '{"features": [{"properties": {}}]}', "no name"),
        ("record.ics", "BEGIN:NONSENSE", "no calendar"),
    ],
)
def test_open_files_that_are_wrong_are_refused_whole(
    name: str, text: str, told: str, small: Path, tmp_path: Path, mullbed: Callable[..., object]
) -> None:
    file = tmp_path / name
    file.write_text(text, encoding="utf-8")
    ended = mullbed("garden", "take-in", str(file))
    assert (ended.code, told in ended.err) == (2, True), ended.err
    assert json.loads(mullbed("log", "list", "--json").out)["entries"] == []


def test_the_walk_tells_the_foul_bed_first_and_leaves_the_others(small: Path, mullbed: Callable[..., object]) -> None:
    mullbed("log", "layer", "south", "dry leaves: 1 bag", "grass clippings: 1 bucket", "--day", "2026-05-03")
    mullbed("log", "seen", "south", "rotten egg", "--day", "2026-05-06")
    walk = document(mullbed, "round", "--day", "2026-05-07")
    first = walk["beds"][0]  # type: ignore[index]
    assert (first["bed"], first["stops"][0]["job"]) == ("South Bed", "open it up")
    assert first["stops"][0]["why"].startswith("It smelt sour or foul on 6 May")
    page = mullbed("round", "--day", "2026-05-07").out
    assert page.index("South Bed") < page.index("DON'T")
    assert all(len(line) <= 80 for line in page.splitlines())
    assert mullbed("round", "--day", "2026-05-07", "--plain").out.isascii()


def test_next_year_carries_layers_stocks_and_the_account_and_can_be_taken_back(
    small: Path, tmp_path: Path, mullbed: Callable[..., object]
) -> None:
    mullbed("log", "layer", "north", "dry leaves: 4 bags", "--day", "2026-05-03")
    mullbed("log", "layer", "north", "grass clippings: 2 buckets, dried", "--day", "2026-06-03")
    mullbed("log", "harvest", "north", "radish", "6 kg", "--last", "--day", "2026-06-10")
    mullbed("log", "weighed", "dry leaves: bag 7 kg", "--day", "2026-06-10")
    over = document(mullbed, "garden", "next-year", "--as-of", "2026-10-31")
    assert (over["first_day"], over["last_day"]) == ("2027-03-15", "2027-10-31")
    assert over["layers"]["North Bed"] == ["2026-05-03", "2026-06-03"]  # type: ignore[index]
    north = next(one for one in over["accounts"] if one["bed"] == "North Bed")  # type: ignore[union-attr]
    assert north["phosphorus"] == pytest.approx(north["phosphorus_laid"] - north["phosphorus_removed"])
    assert north["phosphorus_removed"] > 0.0
    twice = mullbed("garden", "next-year", "--as-of", "2026-10-31")
    assert (twice.code, "already" in twice.err) == (2, True)
    text = mullbed("garden", "write").out
    assert "first_day = 2027-03-15" in text
    assert '"grass_clip: 2 bucket, dried"' in text
    assert 'amount = "16 bag"' in text  # known: 20 bags less 4
    assert 'mass = "7 kg"' in text
    late = mullbed("log", "water", "north", "1 can", "--day", "2026-10-01").out
    assert "carried over already" in " ".join(late.split())
    written = tmp_path / "next"
    mullbed("garden", "write", "--out", str(written))
    assert document(mullbed, "garden", "new", str(written / "garden.toml"))["first"] is False
    mullbed("log", "take-back", str(over["id"]))
    mullbed("garden", "new", str(small))
    assert mullbed("garden", "write").out == SMALL


def test_a_plan_made_from_the_record_uses_what_is_left_and_is_walked(
    small: Path, mullbed: Callable[..., object]
) -> None:
    cabbage = (
        '[[beds.crops]]\ncrop = "white_cabbage_fresh"\nplanted = 2026-05-10\nharvested = 2026-10-20\n'
        'start = "transplanted"\n'
    )
    poor = SMALL.replace('texture = "sandy loam"', 'texture = "sandy loam"\norganic_matter = "1.2 %"')
    small.write_text(poor.replace("[[supplies]]", cabbage + "[[supplies]]", 1), encoding="utf-8")
    mullbed("garden", "new", str(small))
    mullbed("log", "layer", "north", "dry leaves: 15 bags", "--day", "2026-03-20", "--although", "for the test")
    ended = mullbed("plan", "--as-done", "--day", "2026-04-02", "--json")
    assert ended.code == 0, ended.err
    plan = json.loads(ended.out)
    leaves = sum(one["count"] for one in plan["gather"] if one["supply"] == "leaves")
    assert leaves <= 5.0 + 1e-9  # known: 20 bags less 15
    assert all(layer["date"] >= "2026-04-02" for layer in plan["layers"])
    kept = json.loads(mullbed("log", "list", "--kind", "plan", "--json").out)["entries"]
    assert [(one["facts"]["name"], one["facts"]["version"]) for one in kept] == [("season plan", 1)]
    assert plan["layers"], "the small garden has something to lay"
    first = min(plan["layers"], key=lambda layer: layer["date"])
    walk = document(mullbed, "round", "--day", first["date"])
    here = next(one for one in walk["beds"] if one["bed"] == first["bed"])  # type: ignore[union-attr]
    assert "lay it" in [stop["job"] for stop in here["stops"]]
    mullbed("log", "layer", first["bed"], "grass clippings: 1 bucket", "dry leaves: 1 bag", "--day", first["date"])
    after = document(mullbed, "round", "--day", first["date"])
    here = next(one for one in after["beds"] if one["bed"] == first["bed"])  # type: ignore[union-attr]
    assert "lay it" not in [stop["job"] for stop in here["stops"]]
