"""What is measured: each subject is a function that does its work once and is called several times."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from functools import cache
from pathlib import Path
from typing import Any

MULLBED = str(Path(sys.executable).parent / "mullbed")
DAYS, MEMBERS = 200, 1024


@dataclass(frozen=True)
class Subject:
    """One thing to measure."""

    name: str
    once: Callable[[], object]
    repeats: int
    limit_seconds: float | None = None
    """What the project promises; shown, not enforced here."""


def command(*words: str) -> Callable[[], object]:
    """Return a function that runs the command line as a whole process."""
    return lambda: subprocess.run([MULLBED, *words], capture_output=True, check=True)


def planned() -> object:
    """Plan the bundled garden into a folder that is thrown away."""
    from mullbed.files.bundled_garden import bundled_garden

    with tempfile.TemporaryDirectory() as folder:
        return command("plan", str(bundled_garden()), "--out", str(Path(folder) / "out"))()


@cache
def laid_bed() -> tuple[Any, Any]:
    """Return the case of the bundled garden's first bed with three layers of two lifts, and its engine."""
    from mullbed.domain.filling import lift_from_depth
    from mullbed.domain.layer import Layer
    from mullbed.files.bundled_garden import bundled_garden
    from mullbed.files.garden_file import read_garden
    from mullbed.reference.crops import all_crops
    from mullbed.reference.residues import all_residues, find_residue
    from mullbed.simulate.bed_case import bed_case
    from mullbed.weather.place_weather import place_weather

    garden = read_garden(bundled_garden())
    bed, first = garden.beds[0], garden.first_day
    weather = place_weather(garden.site, first, first + timedelta(days=DAYS - 1), seed=1)
    lifts = tuple(
        lift_from_depth(find_residue(name), depth, bed.area)
        for name, depth in (("grass clippings", 0.02), ("dry leaves", 0.02))
    )
    layers = [Layer(bed.name, first + timedelta(days=day), lifts, 2.0) for day in (7, 42, 77)]
    return bed_case(bed, weather, all_crops(), all_residues(), layers), garden


def engine(members: int, beds: int = 1) -> Callable[[], object]:
    """Return a function that runs so many beds with so many members on one thread."""

    def once() -> None:
        from mullbed.simulate.ensemble import draw_members
        from mullbed.simulate.run import simulate

        case, _ = laid_bed()
        drawn = draw_members(case, members, seed=1)
        for _ in range(beds):
            simulate(case, drawn, threads=1, twin=False)

    return once


SUBJECTS = (
    Subject("start: help", command("--help"), 9, 0.3),
    Subject("start: residues", command("residues"), 9, 0.5),
    Subject("start: crops as JSON", command("crops", "--json"), 5),
    Subject(f"engine: 1 bed, {DAYS} days, {MEMBERS} members", engine(MEMBERS), 7, 0.6),
    Subject(f"engine: 1 bed, {DAYS} days, {MEMBERS // 2} members", engine(MEMBERS // 2), 7),
    Subject(f"engine: 1 bed, {DAYS} days, {MEMBERS // 4} members", engine(MEMBERS // 4), 7),
    Subject(f"engine: 4 beds, {DAYS} days, {MEMBERS // 4} members", engine(MEMBERS // 4, beds=4), 5),
    Subject(
        "check: one mix",
        command("check", "--lift", "dry leaves:25mm", "--lift", "grass clippings:25mm", "--area", "1m2"),
        3,
    ),
    Subject("plan: bundled garden with all outputs", planned, 1, 60.0),
)

#: Ratio of two subjects that should be near the number given: growth is linear.
RATIOS = (
    (f"engine: 1 bed, {DAYS} days, {MEMBERS} members", f"engine: 1 bed, {DAYS} days, {MEMBERS // 4} members", 4.0),
    (
        f"engine: 4 beds, {DAYS} days, {MEMBERS // 4} members",
        f"engine: 1 bed, {DAYS} days, {MEMBERS // 4} members",
        4.0,
    ),
)
