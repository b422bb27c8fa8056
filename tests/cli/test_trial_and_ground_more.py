"""Jar, ring, trend and swapped sides from the command line."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

TRIAL = """
name = "Layers or bare"
question = "More beans?"
fairness = "same nitrogen laid"
blocks = 6
control = "B"
worthwhile = 0.2
[[treatments]]
code = "A"
way = "layers as planned"
[[treatments]]
code = "B"
way = "bare with the same nitrogen"
[[measures]]
key = "{measure}"
"""


def test_a_jar_of_ten_centimetres_at_twenty_degrees_is_read_by_stokes(mullbed: Callable[..., object]) -> None:
    told = json.loads(mullbed("ground", "jar", "--json").out)
    assert told["sand_seconds"] == pytest.approx(45.0, abs=1.0)  # published with the check
    assert told["silt_seconds"] / 3600 == pytest.approx(7.7, abs=0.15)
    assert mullbed("ground", "jar", "--column", "3 m").code == 2


def test_one_inch_in_a_ring_of_six_inches(mullbed: Callable[..., object]) -> None:
    told = json.loads(mullbed("ground", "ring", "--bore", "6 in", "--json").out)
    assert told["litres_per_inch"] == pytest.approx(0.463, abs=5e-4)  # known
    assert mullbed("ground", "ring").code == 2


def test_a_trend_without_a_control_is_weak_and_small_changes_of_organic_matter_are_not_told(
    mullbed: Callable[..., object],
) -> None:
    ended = mullbed("trial", "trend", "2026=3.0", "2027=3.1", "2028=3.2", "--organic-matter")
    assert ended.code == 0
    assert "can't be told" in ended.out
    assert "weak" in ended.out
    assert "rose" in mullbed("trial", "trend", "2026=1", "2027=2.1", "2028=2.9", "2029=4").out
    assert mullbed("trial", "trend", "2026=a").code == 2


@pytest.mark.parametrize(("measure", "code"), [("harvest", 0), ("worms", 2)])
def test_sides_are_swapped_for_a_crop_and_never_for_the_soil(
    mullbed: Callable[..., object], tmp_path: Path, measure: str, code: int
) -> None:
    plan = tmp_path / "trial.toml"
    plan.write_text(TRIAL.format(measure=measure), encoding="utf-8")
    first = json.loads(mullbed("trial", "lay-out", str(plan), "--out", str(tmp_path / "out"), "--json").out)
    ended = mullbed("trial", "lay-out", str(tmp_path / "out" / "trial.json"), "--swap", "--json")
    assert ended.code == code, ended.err
    if code:
        assert "Soil remembers" in ended.err
    else:
        before = [plot["treatment"] for plot in first["plots"]]
        assert [plot["treatment"] for plot in json.loads(ended.out)["plots"]] == [
            {"A": "B", "B": "A"}[treatment] for treatment in before
        ]


def test_the_report_of_a_trial_is_printed(mullbed: Callable[..., object], tmp_path: Path) -> None:
    plan = tmp_path / "trial.toml"
    plan.write_text(TRIAL.format(measure="harvest"), encoding="utf-8")
    told = json.loads(mullbed("trial", "lay-out", str(plan), "--out", str(tmp_path / "out"), "--json").out)
    rows = [f"{one['code']},{5 + number % 3 + (one['treatment'] == 'A')}" for number, one in enumerate(told["plots"])]
    (tmp_path / "read.csv").write_text("\n".join(["plot,value", *rows]), encoding="utf-8")
    report = tmp_path / "report.pdf"
    ended = mullbed(
        "trial", "analyse", str(tmp_path / "out/trial.json"), str(tmp_path / "read.csv"), "--out", str(report)
    )
    assert ended.code == 0, ended.err
    assert report.read_bytes().startswith(b"%PDF")
