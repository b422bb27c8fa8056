"""What holds follows from the entries alone, whatever the order they come in."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from itertools import permutations

from hypothesis import given
from hypothesis import strategies as st

from mullbed.domain.record import Entry, correction, withdrawal
from mullbed.domain.record_seen import Observed
from mullbed.domain.record_standing import in_order, standing
from record_entries import START, an_entry, id_of


def corrected(of: Entry, number: int, word: str = "crackles", second: int | None = None) -> Entry:
    moment = START + timedelta(seconds=number if second is None else second)
    return correction(of, Observed("squeeze", word), id=id_of(number), written_at=moment, author="Ada")


def taken_back(of: Entry, number: int) -> Entry:
    return withdrawal(of, id=id_of(number), written_at=START + timedelta(seconds=number), author="Ada")


A = an_entry(1)
B = corrected(A, 2)


def test_s1_what_nobody_touched_holds() -> None:
    other = an_entry(9)
    assert standing([other, A]) == (A, other)


def test_s2_a_correction_stands_in_place_of_all_before_it() -> None:
    c = corrected(B, 3)
    assert standing([A, B, c]) == (c,)


def test_s3_of_two_corrections_the_later_holds() -> None:
    c = corrected(A, 3)
    assert standing([A, c, B]) == (c,)
    same_moment = corrected(A, 4, second=3)
    assert standing([A, c, same_moment]) == (max(c, same_moment, key=lambda one: one.id),)


def test_s4_taking_back_the_first_takes_back_all() -> None:
    assert standing([A, B, taken_back(A, 3)]) == ()


def test_s4_taking_back_a_correction_brings_back_what_was_before() -> None:
    assert standing([A, B, taken_back(B, 3)]) == (A,)


def test_s4_a_correction_of_a_correction_outlives_the_one_between() -> None:
    c = corrected(B, 3)
    assert standing([A, B, c, taken_back(B, 4)]) == (c,)
    assert standing([A, B, c, taken_back(c, 4)]) == (B,)
    assert standing([A, B, c, taken_back(c, 4), taken_back(B, 5)]) == (A,)


def test_s5_taking_back_a_withdrawal_undoes_it() -> None:
    w = taken_back(A, 3)
    again = taken_back(w, 4)
    assert standing([A, B, w, again]) == (B,)
    assert standing([A, B, w, again, taken_back(again, 5)]) == ()


def test_s6_a_slow_clock_does_not_undo_a_correction() -> None:
    early = corrected(B, 3, second=-86_400)
    assert standing([A, B, early]) == (early,)


def test_s6_the_order_of_arrival_does_not_matter() -> None:
    w = taken_back(B, 3)
    all_of_them = [A, B, w, taken_back(w, 4), corrected(B, 5, "drips freely")]
    outcomes = {standing(order) for order in permutations(all_of_them)}
    assert len(outcomes) == 1
    assert [one.id for one in next(iter(outcomes))] == [id_of(5)]


def test_entries_are_sorted_by_day_then_moment() -> None:
    late = replace(an_entry(7), day=A.day)
    early = an_entry(8, day=A.day - timedelta(days=1))
    assert standing([late, A, early]) == (early, A, late)


@given(st.lists(st.tuples(st.booleans(), st.integers(0, 30)), max_size=24), st.randoms())
def test_any_tangle_folds_the_same_in_any_order(steps: list[tuple[bool, int]], chance: object) -> None:
    """Every target is an earlier entry; each chain gives one entry or none."""
    made = [A, an_entry(100), an_entry(101)]
    roots = {one.id: one.id for one in made}
    for number, (takes_back, at) in enumerate(steps, start=200):
        target = made[at % len(made)]
        new = taken_back(target, number) if takes_back or target.withdraws else corrected(target, number)
        roots[new.id] = roots[target.id]
        made.append(new)
    holding = standing(made)
    assert holding == tuple(sorted(holding, key=in_order))
    assert len({roots[one.id] for one in holding}) == len(holding) <= 3
    assert not any(one.withdraws for one in holding)
    shuffled = list(made)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    assert standing(shuffled) == holding
    for one in holding:
        if not any(other.withdraws == one.id for other in made):
            continue
        backs = [other for other in made if other.withdraws == one.id]
        assert all(any(again.withdraws == back.id for again in made) for back in backs)
