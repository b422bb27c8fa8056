"""Promise and rehearsal are brought together by correcting outcomes, and the difference is told when they are not."""

from __future__ import annotations

import numpy as np
import pytest
from tests.unit.plan import invented as garden

from mullbed.plan.offers import BedOffers
from mullbed.plan.rehearse import Attributed, Correction, Rehearsal, agreed_plan, corrected, corrections_of
from mullbed.plan.season_facts import gives_from, within


@pytest.fixture
def offers() -> BedOffers:
    return garden.offered(garden.terms())[0]


def fertile(offers: BedOffers) -> int:
    """A candidate with soft fresh matter, laid early."""
    return next(n for n, c in enumerate(offers.candidates) if c.soft is not None and c.week == 2)


def rehearsal_of(offers: BedOffers, chosen: tuple[int, ...], share: float, want: float) -> Rehearsal:
    """Every layer gives a share of what it promised."""
    members = offers.given_by_member.shape[1]
    given = np.array([np.repeat(share * offers.given[i][None], members, axis=0) for i in chosen])
    shape = (len(chosen), members, offers.given.shape[1])
    found = Attributed(chosen, given.reshape(shape), np.zeros(members))
    promised = offers.given[list(chosen)].sum()
    return Rehearsal((found,), np.array([(promised - given.sum() / members) / want]), np.zeros(1), np.zeros(1))


def test_a_correction_makes_the_promise_what_the_rehearsal_showed(offers: BedOffers) -> None:
    place = fertile(offers)
    found = rehearsal_of(offers, (place,), 0.5, 8.0).attributed[0]
    better = corrected(offers, corrections_of(found, offers))
    assert better.given[place] == pytest.approx(0.5 * offers.given[place])
    assert better.given_by_member[place].mean() == pytest.approx(0.5 * offers.given[place].sum())


def test_a_correction_is_carried_to_the_nearest_layer_in_time_by_its_dry_matter(offers: BedOffers) -> None:
    extra = np.zeros(12)
    extra[0] = 1.0
    early, late = Correction(0, 500.0, extra, np.ones(8)), Correction(11, 500.0, -extra, -np.ones(8))
    better = corrected(offers, (early, late))
    for place, candidate in enumerate(offers.candidates):
        change = better.given[place, candidate.week] - offers.given[place, candidate.week]
        load = min(2.0, (candidate.soft_load + candidate.dry_load) / 500.0)
        assert change == pytest.approx(load if candidate.week <= 5 else -load)


def test_the_plan_is_made_again_until_promise_and_rehearsal_agree(offers: BedOffers) -> None:
    place, seen = fertile(offers), []

    def solve(
        current: tuple[BedOffers, ...], lowered: np.ndarray, kept: dict[int, tuple[int, ...]]
    ) -> tuple[tuple[tuple[int, ...], ...], float]:
        seen.append(float(current[0].given[place].sum()))
        return ((place,),), 0.01

    def rehearse(current: tuple[BedOffers, ...], chosen: tuple[tuple[int, ...], ...]) -> Rehearsal:
        real = 0.4 * offers.given[place].sum()
        found = rehearsal_of(offers, chosen[0], 0.4, 1.0).attributed
        return Rehearsal(found, np.array([(current[0].given[place].sum() - real) / 1.0]), np.zeros(1), np.zeros(1))

    agreed = agreed_plan(solve, rehearse, (offers,))
    assert agreed.corrections == 1
    assert seen[1] == pytest.approx(0.4 * seen[0])
    assert agreed.rehearsal.agreed


def test_rounds_run_out_and_the_difference_is_told(offers: BedOffers) -> None:
    def solve(
        current: tuple[BedOffers, ...], lowered: np.ndarray, kept: dict[int, tuple[int, ...]]
    ) -> tuple[tuple[tuple[int, ...], ...], float]:
        return ((0,),), 0.01

    def rehearse(current: tuple[BedOffers, ...], chosen: tuple[tuple[int, ...], ...]) -> Rehearsal:
        found = rehearsal_of(offers, chosen[0], 0.4, 1.0).attributed
        return Rehearsal(found, np.array([0.9]), np.zeros(1), np.zeros(1))

    agreed = agreed_plan(solve, rehearse, (offers,), most=3)
    assert agreed.corrections == 3
    assert not agreed.rehearsal.agreed


def test_a_bed_fed_past_its_ceiling_gets_a_lower_one(offers: BedOffers) -> None:
    asked = []

    def solve(
        current: tuple[BedOffers, ...], lowered: np.ndarray, kept: dict[int, tuple[int, ...]]
    ) -> tuple[tuple[tuple[int, ...], ...], float]:
        asked.append(float(lowered[0]))
        return ((0,),), 0.01

    def rehearse(current: tuple[BedOffers, ...], chosen: tuple[tuple[int, ...], ...]) -> Rehearsal:
        found = rehearsal_of(offers, chosen[0], 1.0, 1.0).attributed
        over = np.array([2.0 if len(asked) == 1 else 0.0])
        return Rehearsal(found, np.zeros(1), over, over)

    assert agreed_plan(solve, rehearse, (offers,)).corrections == 1
    assert asked == [0.0, 2.0, 2.0]  # the last one only proves how good the plan is


def test_what_is_given_within_four_weeks_counts_from_the_day_of_laying_known() -> None:
    by_week = np.array([[0.0, 1.0, 1.0, 1.0, 1.0, 1.0]])
    assert within(by_week, 7, 28)[0] == pytest.approx(4.0)
    assert within(by_week, 12, 2)[0] == pytest.approx(1.0)


def test_a_layer_that_takes_first_gives_from_the_week_its_sum_turns_known() -> None:
    by_week = np.tile(np.array([0.0, -1.0, 0.5, 1.0, 0.0, 0.0]), (10, 1))
    days = gives_from(by_week, 8, garden.FIRST)
    assert days[1] is not None
    assert (days[1] - garden.FIRST).days == 21
    assert gives_from(-np.ones((10, 6)), 8, garden.FIRST) == (None, None, None)


def test_layers_come_off_a_bed_that_stays_past_its_ceiling(offers: BedOffers) -> None:
    """Known: two layers are too much, one is not; the one that gave most goes."""

    def solve(
        current: tuple[BedOffers, ...], lowered: np.ndarray, kept: dict[int, tuple[int, ...]]
    ) -> tuple[tuple[tuple[int, ...], ...], float]:
        return (kept.get(0, (0, 1)),), 0.01

    def rehearse(current: tuple[BedOffers, ...], chosen: tuple[tuple[int, ...], ...]) -> Rehearsal:
        found = rehearsal_of(offers, chosen[0], 1.0, 1.0).attributed
        return Rehearsal(found, np.zeros(1), np.array([2.0 if len(chosen[0]) > 1 else 0.0]), np.zeros(1))

    agreed = agreed_plan(solve, rehearse, (offers,), most=1)
    assert len(agreed.chosen[0]) == 1
    assert agreed.rehearsal.within_ceilings
    gave = [offers.given[index].sum() for index in (0, 1)]
    assert agreed.chosen[0] == ((0, 1)[int(np.argmin(gave))],)
