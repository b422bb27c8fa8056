"""Members drawn from what was learnt: streams are replaced row by row, the rest stays as it was."""

from __future__ import annotations

import numpy as np
import pytest

from mullbed.simulate import parameters as par
from mullbed.simulate.case import BedCase, Lay
from mullbed.simulate.ensemble import draw_members
from mullbed.simulate.learned import Learned
from season_bed import LEAVES, column, fresh, lift, rainy

PLACE = par.PARAMETERS[par.PLACE_RATE]
MAIN = par.PARAMETERS[par.MAIN_RATE]
MAIN_LOG_SD = np.sqrt(np.log(1.0 + MAIN.spread**2))


def bed() -> BedCase:
    return BedCase("a bed", rainy(30, 10, 22, 3.0, 0.4, 6.0), column(), (Lay(0, (lift(LEAVES, 0.4), fresh(0.5))),))


def test_a_learnt_stream_takes_the_place_of_the_random_one_and_no_other() -> None:
    deviates = np.linspace(-1.0, 1.0, 8)
    learned = Learned({("place a bed",): deviates}, 8)
    with_it, without = draw_members(bed(), 8, 1, learned=learned), draw_members(bed(), 8, 1)
    assert with_it.records[:, par.PLACE_RATE] == pytest.approx(np.exp(PLACE.spread * deviates))
    others = [one for one in range(len(par.PARAMETERS)) if one != par.PLACE_RATE]
    assert np.array_equal(with_it.records[:, others], without.records[:, others])
    assert np.array_equal(with_it.draws, without.draws)


def test_rows_hold_together_for_any_number_of_members() -> None:
    deviates = np.arange(8.0) / 10.0
    learned = Learned({("place a bed",): deviates, ("main_rate",): -deviates}, 8)
    for count in (4, 8, 20):
        found = draw_members(bed(), count, 1, learned=learned).records
        place = np.log(found[:, par.PLACE_RATE]) / PLACE.spread
        assert set(np.round(place, 6)) <= set(np.round(deviates, 6))
        main = np.log(found[:, par.MAIN_RATE] / MAIN.middle) / MAIN_LOG_SD
        assert main == pytest.approx(-place)


def test_what_does_not_vary_stands_at_the_middle_of_what_was_learnt() -> None:
    learned = Learned({("main_rate",): np.array([0.4, 0.8])}, 2)
    found = draw_members(bed(), 6, 1, vary=frozenset({"place"}), learned=learned).records[:, par.MAIN_RATE]
    assert np.all(found == found[0])
    assert np.log(found[0] / MAIN.middle) / MAIN_LOG_SD == pytest.approx(0.6)


def test_biases_pick_their_own_copy_of_the_weather() -> None:
    case = bed()
    years = case.weather.years // 2
    learned = Learned({}, 4, 2, np.array([0, 1, 0, 1]))
    found = draw_members(case, 4, 1, learned=learned).year_of
    assert (found // years).tolist() == [0, 1, 0, 1]
    known = Learned({}, 4, 2, np.array([0, 1, 0, 1]), np.array([2, 2, 3, 3]))
    assert draw_members(case, 4, 1, learned=known).year_of.tolist() == [2, years + 2, 3, years + 3]
    fixed = draw_members(case, 4, 1, vary=frozenset({"place"}), learned=known).year_of
    assert np.all(fixed == fixed[0])
    assert fixed[0] // years == 1


def test_a_place_can_be_known_under_another_name() -> None:
    learned = Learned({("place a bed",): np.array([0.5, 0.7])}, 2).at_place("a bed", "any place")
    one, other = (draw_members(bed(), 2, 1, place=name, learned=learned).records for name in ("any place", "a bed"))
    assert np.array_equal(one, other)
