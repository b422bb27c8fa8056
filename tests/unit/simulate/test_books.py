"""The books of a run are judged: any element that does not close, any law that is broken, is named with its day."""

from __future__ import annotations

import numpy as np
import pytest

from mullbed.errors import BalanceError, DirectionError
from mullbed.simulate import layout as at
from mullbed.simulate.balance import judge
from mullbed.simulate.case import BedCase
from mullbed.simulate.ensemble import NOTHING, draw_members
from mullbed.simulate.run import pack, run_packed
from season_bed import column, weather


def clean() -> np.ndarray:
    books = np.zeros((3, at.BOOKS))
    books[:, at.ERROR_C], books[:, at.DAY_C] = (1e-15, 3e-15, 2e-15), (4, 17, 9)
    return books


def test_the_largest_error_and_its_day_are_kept() -> None:
    balance = judge(clean(), "a bed", 1e-12)
    assert (balance.carbon, balance.carbon_day) == (3e-15, 17)


@pytest.mark.parametrize(
    ("element", "error", "day"),
    [("carbon", at.ERROR_C, at.DAY_C), ("nitrogen", at.ERROR_N, at.DAY_N), ("water", at.ERROR_WATER, at.DAY_WATER)],
)
@pytest.mark.parametrize("amount", [2e-9, float("nan"), float("inf")])
def test_an_element_that_does_not_close_is_named_with_its_day(element, error, day, amount) -> None:
    books = clean()
    books[1, error], books[1, day] = amount, 33
    with pytest.raises(BalanceError) as told:
        judge(books, "a bed", 1e-9)
    assert (told.value.element, told.value.case, told.value.day) == (element, "a bed", 33)


def test_a_taker_that_gives_is_refused() -> None:
    books = clean()
    books[2, at.TAKER_GAVE], books[2, at.TAKER_DAY] = 1e-6, 41
    with pytest.raises(DirectionError, match="taker") as told:
        judge(books, "a bed", 1e-9)
    assert (told.value.day, told.value.amount) == (41, 1e-6)


def test_a_pool_below_zero_is_refused() -> None:
    books = clean()
    books[0, at.BELOW_ZERO], books[0, at.BELOW_DAY] = -1e-6, 12
    with pytest.raises(DirectionError, match="below zero") as told:
        judge(books, "a bed", 1e-9)
    assert (told.value.day, told.value.amount) == (12, -1e-6)


def test_heat_that_does_not_follow_carbon_is_refused() -> None:
    books = clean()
    books[0, at.ERROR_HEAT] = 1e-6
    with pytest.raises(BalanceError, match="heat"):
        judge(books, "a bed", 1e-9)


def test_a_run_of_numbers_that_are_none_does_not_pass() -> None:
    case = BedCase("a bed", weather(5, 10, 20, 2.0, 3.0), column())
    members = draw_members(case, 1, 1, vary=NOTHING)
    run_packed(pack(case), members)
    members.records[0, :] = float("nan")
    with pytest.raises(BalanceError):
        run_packed(pack(case), members)
