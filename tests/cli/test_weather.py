"""``mullbed weather``: any table becomes a file a garden can name, once it was seen and confirmed."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from test_documents import faults_of

from mullbed.weather.daily_file import read_daily_weather

DAYS = 40


@pytest.fixture
def station(tmp_path: Path) -> Path:
    """Return a table whose units stand nowhere: degrees Fahrenheit and millimetres, a gap of two days."""
    lines = ["Day,TX,TN,Rain,etr"]
    for number in range(DAYS):
        if number in (20, 21):
            continue
        day = date(2024, 5, 1) + timedelta(days=number)
        wave = (number % 7) * 1.3
        lines.append(f"{day},{68.0 + wave:.1f},{50.0 + wave / 2:.1f},{6.2 if number % 5 == 0 else 0},7.0")
    path = tmp_path / "station.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def test_what_is_guessed_is_shown_and_not_written_before_it_is_confirmed(
    station: Path, tmp_path: Path, mullbed: Callable[..., Any]
) -> None:
    shown = mullbed("weather", "read", str(station), "--plain")
    assert shown.code == 0
    told = " ".join(shown.out.split())
    assert all(part in told for part in ("guessed", "say it again with --yes", "alfalfa", "2 days without a row"))
    out = tmp_path / "weather.csv"
    refused = mullbed("weather", "read", str(station), "--out", str(out))
    assert (refused.code, refused.out) == (2, "")
    assert "--column tmax_c=TX:UNIT" in refused.err
    assert not out.exists()
    assert mullbed("weather", "read", str(station), "--yes", "--out", str(out)).code == 0
    weather = read_daily_weather(out)
    assert weather.high[0] == pytest.approx(20.0, abs=0.01)
    assert weather.missing_days == (date(2024, 5, 21), date(2024, 5, 22))


def test_a_kept_mapping_reads_the_next_table_without_questions(
    station: Path, tmp_path: Path, mullbed: Callable[..., Any]
) -> None:
    kept = tmp_path / "columns.toml"
    told = ("--column", "tmax_c=TX:°F", "--column", "tmin_c=TN:°F", "--column", "precip_mm=Rain:mm")
    assert mullbed("weather", "read", str(station), *told, "--keep-mapping", str(kept)).code == 0
    out = tmp_path / "weather.csv"
    ended = mullbed("weather", "read", str(station), "--mapping", str(kept), "--out", str(out), "--json")
    assert ended.code == 0, ended.err
    document = json.loads(ended.out)
    assert document["confirmed"] is True
    assert {one["how"] for one in document["columns"]} == {"you told it"}


def test_gaps_are_filled_as_named_and_told_in_the_file(
    station: Path, tmp_path: Path, mullbed: Callable[..., Any], repository: Path
) -> None:
    out = tmp_path / "weather.csv"
    ended = mullbed("weather", "read", str(station), "--yes", "--gaps", "line:2", "--out", str(out), "--json")
    document = json.loads(ended.out)
    assert {one["column"] for one in document["filled"]} == {"tmin_c", "tmax_c"}
    assert [one["column"] for one in document["gaps"]] == ["precip_mm"]
    text = out.read_text(encoding="utf-8")
    assert "# filled: tmax_c 2024-05-21 to 2024-05-22 by a straight line" in text
    assert "4 missing values filled in" in text
    unknown, missing = faults_of(document, repository, "weather read")
    assert (unknown, missing) == (set(), set())
    refused = mullbed("weather", "read", str(station), "--gaps", "refuse")
    assert refused.code == 2
    assert "2024-05-21" in refused.err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--column", "tmax=TX"), "tmax_c"),
        (("--gaps", "magic"), "other-years"),
        (("--dates", "backwards"), "day-month-year"),
        (("--column", "tmax_c=TOP:°F"), "no heading 'TOP'"),
        (("--mapping", "nosuch.toml"), "nosuch.toml"),
    ],
)
def test_what_is_told_wrongly_ends_with_two(
    station: Path, words: tuple[str, ...], said: str, mullbed: Callable[..., Any]
) -> None:
    ended = mullbed("weather", "read", str(station), *words)
    assert (ended.code, ended.out) == (2, "")
    assert said in ended.err


def test_the_group_shows_its_commands_and_each_explains_itself(mullbed: Callable[..., Any]) -> None:
    listed = mullbed("weather", "--help").out.split("Commands:")[1]
    names = [line.split()[0] for line in listed.splitlines() if line.startswith("  ")]
    assert names[0] == "read"
    for name in names:
        ended = mullbed("weather", name, "--help")
        assert ended.code == 0
        assert "--json" in ended.out
        assert all(len(line) <= 80 for line in ended.out.splitlines())
