"""``mullbed weather``: any table becomes a file a garden can name, once it was seen and confirmed."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
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


@pytest.fixture
def four_years(tmp_path: Path) -> Path:
    """Return a weather file of four invented years."""
    lines = ["date,tmin_c,tmax_c,precip_mm"]
    for number in range(4 * 365 + 1):
        day = date(2021, 1, 1) + timedelta(days=number)
        season = 10.0 - 9.0 * math.cos(2.0 * math.pi * day.timetuple().tm_yday / 365.0)
        spell = 3.0 * math.sin(number / 5.3)
        rain = 7.5 if (number * 7919) % 11 in (0, 1, 2) else 0
        lines.append(f"{day},{season + spell - 4.0:.1f},{season + spell + 5.0:.1f},{rain}")
    path = tmp_path / "weather.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


ASKED = ("--latitude", "48", "--from", "2027-04-01", "--until", "2027-09-30")


@pytest.mark.parametrize("way", ["years", "blocks", "generated"])
def test_possible_seasons_are_shown_with_what_they_do_not_know(
    way: str, four_years: Path, mullbed: Callable[..., Any], repository: Path
) -> None:
    ended = mullbed("weather", "possible", str(four_years), *ASKED, "--way", way, "--json")
    assert ended.code == 0, ended.err
    document = json.loads(ended.out)
    assert document["weaknesses"]
    assert faults_of(document, repository, "weather possible") == (set(), set())
    assert document["possible"]["rain"]["p50"] == pytest.approx(document["past"]["rain"]["p50"], rel=0.3)
    shown = mullbed("weather", "possible", str(four_years), *ASKED, "--way", way, "--plain")
    assert "WHAT THIS WAY DOES NOT KNOW" in shown.out
    assert all(len(line) <= 80 for line in shown.out.splitlines())


def test_another_climate_and_a_forecast_are_put_on_top(
    four_years: Path, tmp_path: Path, mullbed: Callable[..., Any]
) -> None:
    asked = ("weather", "possible", str(four_years), *ASKED, "--json")
    plain = json.loads(mullbed(*asked).out)
    warm = json.loads(mullbed(*asked, "--warmer", "2", "--rain-times", "0.5").out)
    shift = warm["possible"]["mean_temperature"]["p50"] - plain["possible"]["mean_temperature"]["p50"]
    assert shift == pytest.approx(2.0)
    assert warm["possible"]["rain"]["p50"] == pytest.approx(0.5 * plain["possible"]["rain"]["p50"])
    assert warm["evidence"] == "a guess"
    coming = tmp_path / "coming.csv"
    days = "\n".join(f"2027-04-{day:02d},8,19,40" for day in range(1, 11))
    coming.write_text(f"date,tmin_c,tmax_c,precip_mm\n{days}\n", encoding="utf-8")
    soaked = json.loads(mullbed(*asked, "--forecast", str(coming)).out)
    assert soaked["possible"]["rain"]["p10"] > 400.0
    assert "10 days of a forecast" in soaked["source"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--way", "dice"), "generated"),
        (("--seasons", "1"), "3 to"),
        (("--warmer", "1,2,3"), "one, or twelve"),
        (("--warmer", "99"), "-10 to 10"),
        (("--rain-times", "much"), "parted by commas"),
        (("--until", "2020-01-01"), "days"),
        (("--from", "soon"), "2027-04-01"),
    ],
)
def test_a_season_that_cannot_be_made_ends_with_two(
    words: tuple[str, ...], said: str, four_years: Path, mullbed: Callable[..., Any]
) -> None:
    ended = mullbed("weather", "possible", str(four_years), *ASKED, *words)
    assert (ended.code, ended.out) == (2, "")
    assert said in ended.err


def test_one_place_is_read_out_of_a_grid(tmp_path: Path, mullbed: Callable[..., Any]) -> None:
    xarray = pytest.importorskip("xarray")
    pytest.importorskip("h5netcdf")
    path, out = tmp_path / "grid.nc", tmp_path / "weather.csv"
    days = [f"2024-05-{day:02d}" for day in range(1, 31)]
    dims, shape = ("time", "lat", "lon"), (30, 2, 2)
    cells = np.arange(4.0).reshape(1, 2, 2) + np.sin(np.arange(30.0)).reshape(30, 1, 1)
    xarray.Dataset(
        {
            "tmin": (dims, cells + 5.0, {"units": "degC"}),
            "tmax": (dims, cells + 15.0, {"units": "degC"}),
            "pr": (dims, np.ones(shape), {"units": "mm"}),
        },
        coords={"time": np.array(days, dtype="datetime64[ns]"), "lat": [48.0, 49.0], "lon": [16.0, 17.0]},
    ).to_netcdf(path, engine="h5netcdf")
    refused = mullbed("weather", "read", str(path))
    assert refused.code == 2
    assert "--longitude" in refused.err
    ended = mullbed("weather", "read", str(path), "--latitude", "49", "--longitude", "17.2", "--out", str(out))
    assert ended.code == 0, ended.err
    assert read_daily_weather(out).low == pytest.approx(8.0 + np.sin(np.arange(30.0)), abs=1e-4)
