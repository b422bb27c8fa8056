"""A change in an equation reaches loops compiled before: the cache folder's name follows the code."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import mullbed

LOOP = '''"""A small loop over one equation."""
from mullbed.compiled import loop
from mullbed.processes.decomposition import daily_loss

@loop
def lost_in(days):
    pool = 100.0
    for _ in range(days):
        pool -= daily_loss(pool, 0.1, 1.0)
    return 100.0 - pool
'''
PROGRAM = """
from mullbed.compiled import cache_folder
before = any(cache_folder().rglob("small_loop.lost_in*.nbi"))
from mullbed.simulate.small_loop import lost_in
print(lost_in(10), cache_folder(), before)
"""


@pytest.fixture
def copied(tmp_path: Path) -> Path:
    """Return a copy of the package with one small loop added."""
    copy = tmp_path / "code"
    shutil.copytree(Path(mullbed.__file__).parent, copy / "mullbed", ignore=shutil.ignore_patterns("__pycache__"))
    (copy / "mullbed" / "simulate" / "small_loop.py").write_text(LOOP, encoding="utf-8")
    return copy


def told(copied: Path) -> tuple[float, str, bool]:
    surroundings = {**os.environ, "PYTHONPATH": str(copied), "XDG_CACHE_HOME": str(copied.parent / "cache")}
    surroundings["NUMBA_DISABLE_JIT"] = "0"
    done = subprocess.run([sys.executable, "-c", PROGRAM], env=surroundings, capture_output=True, text=True, check=True)
    value, folder, before = done.stdout.split()
    return float(value), folder, before == "True"


@pytest.mark.skipif(sys.platform != "linux", reason="the cache folder is named by an environment variable there")
def test_an_edited_equation_changes_result_and_cache_folder(copied: Path) -> None:
    first, folder, before = told(copied)
    again, same_folder, kept = told(copied)
    assert (again, same_folder) == (first, folder)
    assert (before, kept) == (False, True)
    place = copied / "mullbed" / "processes" / "decomposition.py"
    text = place.read_text(encoding="utf-8")
    sound = "return pool * (1.0 - math.exp(-rate * modifier))"
    assert text.count(sound) == 1
    place.write_text(text.replace(sound, "return pool * (1.0 - math.exp(-2.0 * rate * modifier))"), encoding="utf-8")
    edited, other_folder, anew = told(copied)
    assert first == pytest.approx(63.2120558829, abs=1e-9)  # known: 100 (1 - 1/e)
    assert edited == pytest.approx(86.4664716763, abs=1e-9)  # known: 100 (1 - 1/e^2)
    assert other_folder != folder
    assert not anew


TELLING = """
import mullbed.compiled as compiled
compiled.tell_before_compiling()
compiled.tell_before_compiling()
place = compiled.cache_folder() / "loops"
place.mkdir(parents=True)
(place / "kernel.run_members-1.py311.nbi").touch()
compiled._told = False
compiled.tell_before_compiling()
"""


def test_the_first_compilation_is_announced_once_and_a_cached_loop_is_not(tmp_path: Path) -> None:
    surroundings = {**os.environ, "XDG_CACHE_HOME": str(tmp_path), "NUMBA_DISABLE_JIT": "0"}
    done = subprocess.run([sys.executable, "-c", TELLING], env=surroundings, capture_output=True, text=True, check=True)
    assert done.stdout == ""
    assert done.stderr.strip() == "Preparing the model for this machine, once: about half a minute."
