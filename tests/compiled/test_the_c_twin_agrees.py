"""The twin in C, put together from the equations as they stand, gives the numbers of the compiled loop."""

from __future__ import annotations

import importlib.util
import os
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from mullbed.simulate.case import BedCase, CropCover, Feed, Lay, Pour, RakeOff
from mullbed.simulate.ensemble import draw_members
from mullbed.simulate.run import pack, run_packed
from season_bed import LEAVES, STRAW, column, fresh, lift, rainy

DAYS = 60
WANTED = ("thickness", "soil_side_nitrogen", "moisture", "decay_modifier")


@pytest.mark.skipif(os.environ.get("NUMBA_DISABLE_JIT") == "1", reason="the twin is that of the compiled loop")
def test_twin_and_loop_agree(repository: Path, tmp_path: Path) -> None:
    place = repository / "benchmarks" / "twin.py"
    told = importlib.util.spec_from_file_location("twin", place)
    assert told is not None and told.loader is not None
    twin = importlib.util.module_from_spec(told)
    told.loader.exec_module(twin)
    if twin.compiler() is None:
        pytest.skip("no C compiler")
    crop = CropCover(np.full(DAYS, 0.7), np.full(DAYS, 0.4), np.full(DAYS, 0.1))
    first = Lay(0, (lift(LEAVES, 0.3, free=0.5), fresh(0.4), lift(STRAW, 0.03)), 2.0)
    events = (first, Feed(5, 1.0, 2.0, 10.0, 1.0), Lay(25, (fresh(0.06),), 2.0), Pour(10, 30.0), RakeOff(30, 0.5))
    case = BedCase("a bed", rainy(DAYS, -4, 19, 2.5, 0.4, 8.0), column(6.0), events, crop, kept_moist=True)
    packed, members = pack(case), draw_members(case, 21, 7)
    packed = replace(packed, cohort_sublayer=np.maximum(0, packed.cohort_sublayer - 1))
    ours = run_packed(packed, members, keep=WANTED)
    theirs = twin.run_twin(twin.build(tmp_path, ("-O1", "-march=native"), "twin"), packed, members, WANTED)
    scale = np.abs(ours.ledgers).max(axis=0)
    assert theirs["ledgers"] == pytest.approx(ours.ledgers, rel=1e-9, abs=1e-9 * scale.max())
    for name in WANTED:
        assert theirs["daily"][name] == pytest.approx(ours.daily[name], rel=1e-8, abs=1e-12, nan_ok=True), name
