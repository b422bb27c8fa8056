"""Errors say where, what, what is allowed and how to mend it; all faults at once."""

from __future__ import annotations

import re

import pytest

from mullbed import errors
from mullbed.errors import BalanceError, Fault, InputFault, MullbedError, NoPlan, NotFound


def test_every_fault_is_told_at_once_each_on_its_line() -> None:
    faults = [
        Fault("garden.toml line 4", "area is -2 m2", "more than zero", "Give the area of the bed."),
        Fault("garden.toml line 9", "'straww'", "a residue of the table", "Write straw."),
    ]
    told = str(InputFault(iter(faults)))
    assert told.splitlines() == [fault.sentence() for fault in faults]
    for part in ("garden.toml line 4", "area is -2 m2", "more than zero", "Give the area of the bed."):
        assert part in told.splitlines()[0]


def test_a_balance_error_names_element_case_day_and_amount() -> None:
    told = str(BalanceError("nitrogen", "bed Long", 41, 3.2e-7))
    assert all(part in told for part in ("nitrogen", "bed Long", "41", "3.2e-07"))


def test_a_name_that_is_nowhere_comes_with_the_nearest_names() -> None:
    assert "Did you mean: straw, straw of barley?" in str(NotFound("residue", "straww", ["straw", "straw of barley"]))
    assert "Did you mean" not in str(NotFound("residue", "zzz", []))


def test_no_plan_keeps_every_reason_apart() -> None:
    assert NoPlan(["too little green", "too much nitrogen"]).reasons == ("too little green", "too much nitrogen")


@pytest.mark.parametrize(
    "name", [n for n, v in vars(errors).items() if isinstance(v, type) and issubclass(v, Exception)]
)
def test_every_error_stands_in_the_drawn_tree_and_under_the_root(name: str) -> None:
    assert issubclass(getattr(errors, name), MullbedError)
    assert re.search(rf"\b{name}\b", errors.__doc__ or "")
