"""The files to run it by name commands, options and settings that there are."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest
import typer.main

from mullbed.cli.main import app

DEPLOY = Path(__file__).parents[2] / "deploy"
UNITS = ("mullbed.service", "mullbed-backup.service", "mullbed-backup.timer")


def commands(text: str) -> list[list[str]]:
    """Return the words after each ``mullbed`` that is run."""
    found = re.findall(r"(?<![\w/])(?:exec )?(?:/opt/mullbed/bin/)?mullbed ((?:serve|backup) [^\n]*)", text)
    return [shlex.split(one.replace('\\"', "").rstrip("'\"]")) for one in found if not one.startswith("backup of")]


@pytest.mark.parametrize("name", ["mullbed.service", "mullbed-backup.service", "Containerfile"])
def test_every_option_that_is_given_is_one_of_the_command(name: str) -> None:
    known = typer.main.get_command(app).commands  # type: ignore[attr-defined]
    found = commands((DEPLOY / name).read_text(encoding="utf-8"))
    assert found
    for words in found:
        options = {option for parameter in known[words[0]].params for option in parameter.opts}
        assert {word for word in words if word.startswith("--")} <= options, words


def test_every_setting_a_unit_reads_is_in_the_example() -> None:
    text = "".join((DEPLOY / name).read_text(encoding="utf-8") for name in UNITS)
    wanted = set(re.findall(r"\$\{(MULLBED_\w+)\}", text)) | {"MULLBED_RECORD"}
    told = set(re.findall(r"^#? ?(MULLBED_\w+)=", (DEPLOY / "environment.example").read_text(encoding="utf-8"), re.M))
    assert wanted <= told


def test_the_container_runs_as_nobody_in_particular_and_is_asked_for_its_health() -> None:
    text = (DEPLOY / "Containerfile").read_text(encoding="utf-8")
    assert re.search(r"^USER mullbed$", text, re.M) and "HEALTHCHECK" in text and "/health" in text
    assert "--require-hashes" in text


@pytest.mark.parametrize("name", UNITS)
def test_systemd_reads_the_unit_without_a_complaint(name: str, tmp_path: Path) -> None:
    checker = shutil.which("systemd-analyze")
    if checker is None:
        pytest.skip("SYSTEMD ABSENT: this check did not run")
    for one in UNITS:
        text = (DEPLOY / one).read_text(encoding="utf-8")
        (tmp_path / one).write_text(text.replace("/opt/mullbed/bin/mullbed", "/bin/true"), encoding="utf-8")
    done = subprocess.run([checker, "verify", str(tmp_path / name)], capture_output=True, text=True, check=False)
    said = [line for line in (done.stdout + done.stderr).splitlines() if name in line]
    assert done.returncode == 0 and not said, said
