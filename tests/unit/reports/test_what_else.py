"""Sentences and picture of what else could be done and of what a supply brings."""

from __future__ import annotations

from datetime import date
from types import SimpleNamespace

import pytest

from mullbed.domain.layer import Layer, Lift
from mullbed.domain.season_plan import Alternative, SupplyWeeks, Worth
from mullbed.domain.spread import Evidence
from mullbed.reports.supply_picture import supply_sentence, supply_svg
from mullbed.reports.what_else import instead_words, together, worth_saying, worth_words


def leaves(count: float) -> Lift:
    return Lift("leaf_municipal", "bag", count, 100.0, 0.3, Evidence.GUESS, 0.02, False, 0.0, 0.1)


def test_base_and_cap_of_one_residue_are_gathered_as_one() -> None:
    assert [lift.count for lift in together([leaves(1.0), leaves(2.0)])] == [3.0]


def test_the_next_best_is_told_with_its_day_and_cost() -> None:
    told = instead_words(Alternative(Layer("Low", date(2027, 6, 12), (leaves(1.0), leaves(2.0)), 1.0), 1.26))
    assert "3 bags" in told and "12 June" in told and "1.3 g" in told
    assert "no layer at all" in instead_words(Alternative(None, 4.0))


@pytest.mark.parametrize(
    ("worth", "words"),
    [
        (Worth("supply", "leaf heap", "2027-06", "barrow", 2.3), "1 barrow more of leaf heap in June is worth 2.3 g"),
        (Worth("work in a day", None, "2027-05", "hour", 4.0), "An hour more on a laying day in May is worth 4 g"),
        (
            Worth("water in a day", None, "2027-07", "10 L", 0.5),
            "Ten litres more on a laying day in July are worth 0.5",
        ),
    ],
)
def test_what_more_is_worth_is_told_in_plain_words(worth: Worth, words: str) -> None:
    assert words in worth_words(worth)


def test_a_supply_is_drawn_and_told() -> None:
    one = SupplyWeeks("leaf heap", "leaf_municipal", "bag", (8.0, 0.0, 0.0), (0.0, 3.0, 0.0), (8.0, 5.0, 5.0))
    assert supply_sentence(one) == "Leaf heap: 8 bags come, the plan uses 3 bags; 5 bags are there at the end."
    drawn = supply_svg(one, date(2027, 6, 7))
    assert drawn.count("<rect") == 4
    assert 'role="img"' in drawn and "Leaf heap" in drawn
    unused = SupplyWeeks("straw", "straw_general", "bale", (2.0,), (0.0,), (2.0,))
    assert "none is used" in supply_sentence(unused)


def test_only_what_is_worth_saying_is_said() -> None:
    told = tuple(Worth("supply", name, "2027-06", "bag", worth) for name, worth in (("a", 2.0), ("b", 0.4), ("c", 0.1)))
    plan = SimpleNamespace(worth=told)
    assert [one.what for one in worth_saying(plan)] == ["a", "b"]  # type: ignore[arg-type]
    assert [one.what for one in worth_saying(plan, 1)] == ["a"]  # type: ignore[arg-type]
