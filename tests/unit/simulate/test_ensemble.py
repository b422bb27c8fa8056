"""Members: equal seeds, common random numbers, spreads that are kept, and bit-equal results for any threads."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from mullbed.domain.daily_weather import WeatherKnown
from mullbed.domain.spread import Evidence, Spread
from mullbed.errors import InputFault
from mullbed.reference.place_doubt import doubt_of_weather
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par
from mullbed.simulate.case import BedCase, Lay
from mullbed.simulate.ensemble import GROUPS, draw_lifts, draw_members, from_spread, spread_shares, standard_draws
from mullbed.simulate.run import simulate
from season_bed import LEAVES, column, exact, fresh, greens, lift, rainy, weather


def doubtful(kilograms: float = 0.5):
    rich = replace(greens(3.5), nitrogen=Spread(0.02, 0.035, 0.062, "", Evidence.PUBLISHED))
    return replace(fresh(kilograms), residue=rich, dry_matter_log_sd=0.3)


def bed(*lifts, days: int = 120) -> BedCase:
    return BedCase("a bed", rainy(days, 10, 22, 3.0, 0.4, 6.0), column(), (Lay(0, lifts),))


def test_equal_seeds_give_equal_members_and_other_seeds_do_not() -> None:
    case = bed(doubtful(), lift(LEAVES, 0.4))
    one, two, other = (draw_members(case, 32, seed) for seed in (7, 7, 8))
    assert np.array_equal(one.records, two.records) and np.array_equal(one.draws, two.draws)
    assert not np.array_equal(one.records, other.records)


def test_compared_cases_share_their_random_numbers() -> None:
    alone, beside = bed(doubtful()), bed(lift(LEAVES, 0.3), doubtful())
    first, second = draw_members(alone, 32, 3), draw_members(beside, 32, 3)
    assert np.array_equal(first.records, second.records)
    assert np.array_equal(first.draws[:, 0], second.draws[:, 1])


def test_more_members_begin_with_the_same_ones() -> None:
    assert np.array_equal(standard_draws(5, 10, "x"), standard_draws(5, 100, "x")[:10])


def test_a_spread_is_drawn_with_its_percentiles() -> None:
    spread = Spread(0.02, 0.035, 0.062, "", Evidence.PUBLISHED)
    values = from_spread(spread, np.random.default_rng(1).standard_normal(200_000))
    assert np.percentile(values, (10, 50, 90)) == pytest.approx([0.02, 0.035, 0.062], rel=0.02)


def test_an_exact_number_is_drawn_exactly() -> None:
    assert np.all(from_spread(exact(0.4), np.array([-2.0, 0.0, 2.0])) == 0.4)


@pytest.mark.parametrize("known", list(WeatherKnown))
def test_place_and_material_are_as_unsure_as_their_weather_is_coarse(known: WeatherKnown) -> None:
    case = bed(doubtful())
    case = replace(case, weather=replace(case.weather, known=known))
    members, doubt = draw_members(case, 4000, 3), doubt_of_weather(known)
    assert np.std(np.log(members.records[:, par.PLACE_RATE])) == pytest.approx(doubt.place_log_sd, rel=0.05)
    assert np.std(np.log(members.draws[:, 0, at.D_RATE])) == pytest.approx(doubt.material_log_sd, rel=0.05)


def test_nothing_varied_makes_equal_members() -> None:
    draws = draw_lifts((doubtful(),), 8, 1, frozenset())
    assert np.all(draws == draws[0])


def test_results_do_not_depend_on_threads() -> None:
    case = bed(doubtful(), lift(LEAVES, 0.4))
    members = draw_members(case, 200, 1)
    one, two = simulate(case, members, threads=1, per_lift=True), simulate(case, members, threads=2, per_lift=True)
    for name, values in one.daily.items():
        assert np.array_equal(values, two.daily[name], equal_nan=True), name
    assert np.array_equal(one.lifts.thickness, two.lifts.thickness, equal_nan=True)


def test_every_cause_adds_to_the_spread() -> None:
    case = bed(doubtful(), lift(LEAVES, 0.4))

    def run(vary):
        return simulate(case, draw_members(case, 64, 1, vary=vary)).daily["net_nitrogen"][:, -1]

    shares = spread_shares(run)
    assert set(shares) == set(GROUPS)
    assert all(share > 0.0 for share in shares.values())
    assert sum(shares.values()) == pytest.approx(1.0)


def test_a_faster_main_pool_gives_more_from_greens() -> None:
    case = bed(doubtful())
    usual = simulate(case, draw_members(case, 32, 1)).daily["net_nitrogen"][:, 60].mean()
    twice = draw_members(case, 32, 1, override={"main_rate": 2 * 0.0572})
    assert simulate(case, twice).daily["net_nitrogen"][:, 60].mean() > usual


@pytest.mark.parametrize("kilograms", [0.0, -1.0, 100.0, float("nan")])
def test_absurd_amounts_are_refused(kilograms: float) -> None:
    with pytest.raises(InputFault):
        bed(lift(LEAVES, kilograms))


def test_impossible_weather_is_refused() -> None:
    sky = weather(10, 5, 15, 2.0, 0.0)
    broken = replace(sky, rain=np.full_like(sky.rain, np.nan))
    with pytest.raises(InputFault, match="rain"):
        BedCase("a bed", broken, column())


def test_one_day_and_polar_night_run() -> None:
    sky = weather(1, -40, -30, 0.0, 3.0, radiation=0.0)
    case = BedCase("a bed", sky, column(-5.0), (Lay(0, (lift(LEAVES, 0.4),)),))
    outcome = simulate(case, draw_members(case, 4, 1))
    assert np.isfinite(outcome.ledgers).all()


@pytest.mark.parametrize("override", [{"main_rat": 0.1}, {"main_rate": float("nan")}, {"main_rate": -1.0}])
def test_an_override_without_meaning_is_refused(override) -> None:
    with pytest.raises(InputFault, match="override"):
        draw_members(bed(lift(LEAVES, 0.4)), 4, 1, override=override)


def test_only_the_outputs_asked_for_are_kept() -> None:
    case = bed(doubtful(), lift(LEAVES, 0.4))
    members = draw_members(case, 70, 1)
    whole, some = simulate(case, members), simulate(case, members, keep=("thickness",))
    assert set(some.daily) == {"thickness", "soil_side_nitrogen", "net_nitrogen", "soil_nitrogen", "leached_bare"}
    for name, values in some.daily.items():
        assert np.array_equal(values, whole.daily[name]), name
