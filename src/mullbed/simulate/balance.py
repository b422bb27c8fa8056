"""Judge the books of a run: carbon, nitrogen, water and heat close, and the laws of direction hold."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mullbed.errors import BalanceError, DirectionError
from mullbed.simulate import layout as at


@dataclass(frozen=True, slots=True)
class Balance:
    """Largest relative error of each balance over members and days, and its day. [1]"""

    carbon: float
    nitrogen: float
    water: float
    carbon_day: int
    nitrogen_day: int
    water_day: int


def judge(books: NDArray[np.float64], case: str, tolerance: float) -> Balance:
    """Return the worst of all members; ``books`` has shape (members, BOOKS).

    Raises
    ------
    BalanceError
        When a relative error of carbon, nitrogen, water or heat is above the tolerance or not a number.
    DirectionError
        When a taker gave or a pool fell below zero.
    """
    worst: dict[str, tuple[float, int]] = {}
    for element, column, day_column in (
        ("carbon", at.ERROR_C, at.DAY_C),
        ("nitrogen", at.ERROR_N, at.DAY_N),
        ("water", at.ERROR_WATER, at.DAY_WATER),
    ):
        values = books[:, column]
        member = int(np.argmax(np.where(np.isnan(values), np.inf, values))) if values.size else 0
        error, day = float(values[member]), int(books[member, day_column])
        if not error <= tolerance:
            raise BalanceError(element, case, day, error)
        worst[element] = (error, day)
    gave = float(books[:, at.TAKER_GAVE].max())
    if not gave <= 1e-9:
        worst_day = int(books[int(np.argmax(books[:, at.TAKER_GAVE])), at.TAKER_DAY])
        raise DirectionError("a taker never becomes a giver and no cohort grows without input", case, worst_day, gave)
    below = float(books[:, at.BELOW_ZERO].min())
    if not below >= -1e-9:
        worst_day = int(books[int(np.argmin(books[:, at.BELOW_ZERO])), at.BELOW_DAY])
        raise DirectionError("no pool falls below zero", case, worst_day, below)
    heat = float(books[:, at.ERROR_HEAT].max())
    if not heat <= tolerance:
        worst_day = int(books[int(np.argmax(books[:, at.ERROR_HEAT])), at.HEAT_DAY])
        raise BalanceError("heat", case, worst_day, heat)
    return Balance(
        worst["carbon"][0],
        worst["nitrogen"][0],
        worst["water"][0],
        worst["carbon"][1],
        worst["nitrogen"][1],
        worst["water"][1],
    )
