"""``mullbed plan`` and ``mullbed layer`` from the shell: outputs whole, standard output clean, faults in sentences."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from mullbed.files.bundled_garden import bundled_garden
from mullbed.reports.plan_folder import OUTPUTS

GARDEN = str(bundled_garden())


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, str, Path]:
    """Return what one plan of the bundled garden printed, and its folder."""
    import subprocess
    import sys

    out = tmp_path_factory.mktemp("season") / "out"
    done = subprocess.run(
        [sys.executable, "-m", "mullbed", "plan", GARDEN, "--out", str(out), "--json"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout, done.stderr, out


def test_a_plan_prints_one_document_that_is_plan_json(planned: tuple[str, str, Path]) -> None:
    out, err, folder = planned
    assert json.loads(out) == json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    assert err.strip(), "progress is told on standard error"
    assert "Traceback" not in err


def test_a_plan_leaves_its_six_outputs_and_nothing_else(planned: tuple[str, str, Path]) -> None:
    folder = planned[2]
    assert {path.name for path in folder.iterdir()} == set(OUTPUTS)
    assert all(path.stat().st_size > 0 for path in folder.iterdir())
    assert [path.name for path in folder.parent.iterdir()] == ["out"], "half-written folders lie about"


def test_the_document_of_a_plan_holds_the_keys_its_page_tells(planned: tuple[str, str, Path], repository: Path) -> None:
    from test_documents import faults_of

    assert faults_of(json.loads(planned[0]), repository, "plan") == (set(), set())


@pytest.mark.parametrize("command", [("plan",), ("layer", "--bed", "Plum Bed"), ("forecast",)])
def test_a_garden_that_is_not_there_ends_with_two(
    command: tuple[str, ...], mullbed: Callable[..., object], tmp_path: Path
) -> None:
    ended = mullbed(*command, str(tmp_path / "none.toml"))
    assert (ended.code, ended.out) == (2, "")
    assert "none.toml" in ended.err


def test_a_broken_garden_writes_nothing(mullbed: Callable[..., object], tmp_path: Path) -> None:
    (tmp_path / "garden.toml").write_text("site = 3\n", encoding="utf-8")
    ended = mullbed("plan", str(tmp_path / "garden.toml"), "--out", str(tmp_path / "out"))
    assert (ended.code, ended.out) == (2, "")
    assert not (tmp_path / "out").exists()


def test_the_next_layer_of_a_bed_is_told_in_both_ways(mullbed: Callable[..., object]) -> None:
    words = ("layer", GARDEN, "--bed", "Plum Bed", "--day", "2027-05-03")
    text, document = mullbed(*words), mullbed(*words, "--json")
    assert text.code == document.code == 0, document.err
    told = json.loads(document.out)
    assert told["bed"] == "Plum Bed"
    assert told["lifts"]
    for part in ("LAY", "GIVES", "COSTS"):
        assert part in text.out


def test_a_bed_that_is_not_there_is_named_with_those_that_are(mullbed: Callable[..., object]) -> None:
    ended = mullbed("layer", GARDEN, "--bed", "Moon Bed")
    assert (ended.code, ended.out) == (2, "")
    assert "Moon Bed" in ended.err
    assert "Plum Bed" in ended.err
