"""The day loop is one source: compiled and as plain Python it gives the same books, closed to 1e-12."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

TESTS = Path(__file__).parent.parent

PROGRAM = """
import json, sys
sys.path.insert(0, sys.argv[1])
import numpy as np
from season_bed import LEAVES, STRAW, column, fresh, lift, showers, weather
from mullbed.simulate.case import BedCase, CropCover, DigIn, Feed, Lay, Pour, RakeOff
from mullbed.simulate.ensemble import draw_members
from mullbed.simulate.run import pack, run_packed
days = 50
sky = weather(days, -2, 18, 2.5, showers(days, 0.4, 9.0, 3))
crop = CropCover(np.full(days, 0.7), np.full(days, 0.4), np.full(days, 0.1))
events = (Lay(0, (lift(LEAVES, 0.3, free=0.5), fresh(0.4), lift(STRAW, 0.3))), Lay(20, (fresh(0.03),), 3.0),
          Feed(5, 1.0, 2.0, 10.0, 1.0), Pour(8, 60.0), RakeOff(30, 0.3), DigIn(35, 0.3), Lay(40, (lift(LEAVES, 0.2),)))
case = BedCase("a bed", sky, column(), events, crop, kept_moist=True)
outcome = run_packed(pack(case), draw_members(case, 2, 11), tolerance=1e-12)
balance = outcome.balance
print(json.dumps({"ledgers": outcome.ledgers.tolist(), "errors": [balance.carbon, balance.nitrogen, balance.water]}))
"""


def books(plain: bool) -> dict[str, list[list[float]]]:
    environment = {**os.environ, "NUMBA_DISABLE_JIT": "1" if plain else "0"}
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(TESTS)], env=environment, capture_output=True, text=True, check=True
    )
    return json.loads(done.stdout)


def test_compiled_and_plain_loop_agree_and_close() -> None:
    plain, compiled = books(plain=True), books(plain=False)
    assert max(plain["errors"]) < 1e-12
    assert np.array(compiled["ledgers"]) == pytest.approx(np.array(plain["ledgers"]), rel=1e-9, abs=1e-12)
