"""Members run side by side as if each ran alone: neighbours, pieces of work and empty slots change no bit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from mullbed.simulate.case import BedCase, CropCover, DigIn, Lay, Pour, RakeOff
from mullbed.simulate.ensemble import Members, draw_members
from mullbed.simulate.rows import LANES
from mullbed.simulate.run import Packed, pack, run_packed
from season_bed import LEAVES, STRAW, column, fresh, lift, rainy

DAYS = 60


@pytest.fixture(scope="module")
def season() -> tuple[Packed, Members]:
    crop = CropCover(np.full(DAYS, 0.7), np.full(DAYS, 0.4), np.full(DAYS, 0.1))
    first = Lay(0, (lift(LEAVES, 0.3, free=0.5), fresh(0.4), lift(STRAW, 0.03)), 2.0)
    events = (first, Lay(25, (fresh(0.06), lift(LEAVES, 0.2)), 2.0), Pour(10, 30.0), RakeOff(30, 0.5), DigIn(45, 0.2))
    case = BedCase("a bed", rainy(DAYS, -4, 19, 2.5, 0.4, 8.0), column(6.0), events, crop)
    return pack(case), draw_members(case, 2 * LANES + 5, 7)


def some(members: Members, chosen: slice | list[int]) -> Members:
    return Members(members.records[chosen], members.draws[chosen], np.ascontiguousarray(members.year_of[chosen]))


def test_a_member_alone_gives_the_bits_it_gives_among_others(season) -> None:
    packed, members = season
    together = run_packed(packed, members)
    for member in (0, 1, LANES - 1, min(LANES, members.count - 1), members.count - 1):
        alone = run_packed(packed, some(members, [member]))
        assert np.array_equal(alone.ledgers[0], together.ledgers[member])
        for name, values in alone.daily.items():
            assert np.array_equal(values[0], together.daily[name][member], equal_nan=True), name


def test_the_order_of_members_changes_no_bit(season) -> None:
    packed, members = season
    backward = list(range(members.count))[::-1]
    assert np.array_equal(
        run_packed(packed, some(members, backward)).ledgers[backward], run_packed(packed, members).ledgers
    )


def test_a_slot_that_is_never_filled_changes_no_bit(season) -> None:
    packed, members = season
    more = replace(
        packed,
        cohort_lift=np.append(packed.cohort_lift, 99),
        cohort_sublayer=np.append(packed.cohort_sublayer, packed.sublayers),
        cohort_part=np.append(packed.cohort_part, 1.0),
        sublayers=packed.sublayers + 1,
    )
    assert np.array_equal(run_packed(more, members).ledgers, run_packed(packed, members).ledgers)


def test_a_season_of_members_that_differ_much_closes_its_books(season) -> None:
    packed, members = season
    balance = run_packed(packed, members, tolerance=1e-12).balance
    assert 0.0 < max(balance.carbon, balance.nitrogen, balance.water) < 1e-12


def test_two_cohorts_in_a_sublayer_equal_one_of_their_sum() -> None:
    """Known: P55, the split of a cohort."""
    case = BedCase("a bed", rainy(DAYS, 8, 20, 3.0, 0.3, 6.0), column(), (Lay(0, (lift(LEAVES, 0.2, free=0.3),)),))
    packed, members = pack(case), draw_members(case, 3, 1)
    halves = replace(
        packed,
        cohort_lift=np.zeros(2, dtype=np.int64),
        cohort_sublayer=np.zeros(2, dtype=np.int64),
        cohort_part=np.full(2, 0.5),
    )
    assert run_packed(halves, members).ledgers == pytest.approx(
        run_packed(packed, members).ledgers, rel=1e-9, abs=1e-12
    )
