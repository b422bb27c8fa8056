"""A small region of our own invention, and how its files are held against each other."""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

SPEC = """
name = "Two valleys"
gardens = "gardens.csv"
members = 4
seed = 3

[season]
first_day = 2027-04-01
weeks = 10
years = 3

[weather.wet]
file = "wet.csv"
latitude = 51.0
[weather.dry]
file = "dry.csv"
latitude = 47.5

[soils.sand]
texture = "sandy loam"
organic_matter = "2 %"
[soils.clay]
texture = "clay loam"

[crop]
crop = "white_cabbage_fresh"
planted = 2027-04-20
harvested = 2027-06-08

[[ways]]
name = "little and often"
[[ways.layers]]
lifts = ["grass clippings: 5 mm", "straw: 15 mm"]
water = "2 mm"
first = 2027-04-08
every = "3 weeks"
times = 3

[[ways]]
name = "once"
[[ways.layers]]
lifts = ["dry leaves: 40 mm"]
days = [2027-04-10]
"""
GARDENS = [
    ("Ash", 51.00, 7.00, "wet", "sand", 12.0),
    ("Beech", 51.02, 7.03, "wet", "clay", 20.0),
    ("Cherry", 51.05, 6.98, "wet", "sand", 8.0),
    ("Dogwood", 47.50, 7.10, "dry", "clay", 30.0),
    ("Elder", 47.52, 7.12, "dry", "sand", 10.0),
]


def write_station(path: Path, warmth: float, rain: float, first: date = date(2010, 1, 1), years: int = 9) -> None:
    """Write nine invented years of daily weather, alike from run to run."""
    chances = np.random.default_rng(int(10 * warmth))
    days = (first.replace(year=first.year + years) - first).days
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow(["date", "tmin_c", "tmax_c", "precip_mm"])
        for number in range(days):
            day = first + timedelta(days=number)
            middle = (
                warmth - 9.0 * np.cos(2.0 * np.pi * (day.timetuple().tm_yday - 20) / 365.0) + chances.normal(0.0, 2.0)
            )
            wet = chances.random() < 0.35
            fallen = chances.exponential(rain / 0.35) if wet else 0.0
            writer.writerow([day, f"{middle - 5.0:.1f}", f"{middle + 5.0:.1f}", f"{fallen:.1f}"])


@pytest.fixture(scope="session")
def small_region(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the file of a region of five gardens, two ways, three years and four members."""
    folder = tmp_path_factory.mktemp("region")
    write_station(folder / "wet.csv", 10.0, 3.0)
    write_station(folder / "dry.csv", 13.0, 0.8)
    with (folder / "gardens.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow(["name", "latitude", "longitude", "weather", "soil", "area_m2"])
        writer.writerows(GARDENS)
    path = folder / "region.toml"
    path.write_text(SPEC, encoding="utf-8")
    return path


@pytest.fixture
def two_a_chunk(monkeypatch: pytest.MonkeyPatch) -> None:
    """Put two gardens in a chunk, so that the small region has three."""
    from mullbed.usecases import run_region

    monkeypatch.setattr(run_region, "MOST_IN_CHUNK", 2)


@pytest.fixture
def bytes_of() -> Callable[[Path], dict[str, str]]:
    """Return a function that tells a digest of every file in a folder."""

    def digests(folder: Path) -> dict[str, str]:
        files = sorted(path for path in folder.rglob("*") if path.is_file())
        return {path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}

    return digests


@pytest.fixture
def mullbed_words(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., tuple[int, str, str]]:
    """Return a function that runs ``mullbed`` with words and tells exit code and both outputs."""
    import sys

    from mullbed.cli import main

    def run(*words: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["mullbed", *words])
        with pytest.raises(SystemExit) as ended:
            main.run()
        shown = capsys.readouterr()
        code = ended.value.code
        return (code if isinstance(code, int) else 0), shown.out, shown.err

    return run
