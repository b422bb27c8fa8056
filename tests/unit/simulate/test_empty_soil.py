"""A soil whose mineral nitrogen is a rounding below nothing makes no nitrogen out of it."""

from __future__ import annotations

import numpy as np

from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par
from mullbed.simulate.rows import (
    BIO,
    COLUMN_ROWS,
    DPM,
    DPM_N,
    HUM,
    LANES,
    RECORD,
    RPM,
    RPM_N,
    SOIL_AMMONIUM,
    SOIL_NITRATE,
    SOIL_WARMTH,
    SOIL_WATER,
)
from mullbed.simulate.steps_books import stored_nitrogen
from mullbed.simulate.steps_soil import turn_over_humus

turn_over = getattr(turn_over_humus, "py_func", turn_over_humus)
stored = getattr(stored_nitrogen, "py_func", stored_nitrogen)


def test_nothing_comes_from_an_empty_soil() -> None:
    column = np.zeros(COLUMN_ROWS)
    soil = np.zeros(at.SOIL_CONSTANTS)
    soil[at.FIELD_CAPACITY], soil[at.WILTING_POINT] = 0.3, 0.1
    pools = {DPM: 78.0, DPM_N: 0.8, RPM: 420.0, RPM_N: 13.6, BIO: 108.0, HUM: 2886.0}
    for row, value in pools.items():
        column[row : row + LANES] = value
    column[RECORD + LANES * par.SOIL_POOL_RATE :][:LANES] = 1.0
    for horizon in range(3):
        column[SOIL_WARMTH + LANES * horizon :][:LANES] = 25.0
        column[SOIL_WATER + LANES * horizon :][:LANES] = 0.28 * at.HORIZON_MM[horizon]
    column[SOIL_AMMONIUM : SOIL_AMMONIUM + LANES] = -2.8e-21
    column[SOIL_NITRATE : SOIL_NITRATE + LANES] = -1.8e-22
    before = np.array([stored(column, lane) for lane in range(LANES)])
    turn_over(0.0, soil, 0.2, column)
    after = np.array([stored(column, lane) for lane in range(LANES)])
    assert np.all(column[SOIL_AMMONIUM + LANES :][:LANES] > 0.0)
    np.testing.assert_allclose(after, before, rtol=1e-12)
