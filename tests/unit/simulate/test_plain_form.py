"""The plain form, the same source run as ordinary Python, closes to 1e-12 and agrees with the compiled form."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

TESTS = Path(__file__).resolve().parents[2]


def season(*, plain: bool) -> dict[str, object]:
    surroundings = {**os.environ, "PYTHONPATH": os.pathsep.join([str(TESTS), os.environ.get("PYTHONPATH", "")])}
    surroundings["NUMBA_DISABLE_JIT"] = "1" if plain else "0"
    told = subprocess.run(
        [sys.executable, str(Path(__file__).with_name("plain_season.py"))],
        env=surroundings,
        check=True,
        capture_output=True,
        text=True,
    )
    return json.loads(told.stdout)


@pytest.fixture(scope="module")
def plain() -> dict[str, object]:
    return season(plain=True)


def test_the_plain_form_closes_to_the_last_digits(plain) -> None:
    assert 0.0 < max(plain["errors"]) < 1e-12


def test_plain_and_compiled_agree(plain) -> None:
    compiled = season(plain=False)
    assert np.array(compiled["ledgers"]) == pytest.approx(np.array(plain["ledgers"]), rel=1e-9, abs=1e-9)
    assert np.array(compiled["thickness"]) == pytest.approx(np.array(plain["thickness"]), rel=1e-9, abs=1e-12)
