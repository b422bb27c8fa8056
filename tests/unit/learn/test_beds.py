"""Beds that learn: directions, wrong entries, order of entries, what beds share, what it costs."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from mullbed.domain.learnt import Surprise
from mullbed.domain.observation import Observation
from mullbed.learn.beds import Posterior, learn_bed, learn_garden
from mullbed.learn.priors import named_lifts, same_past, until
from mullbed.simulate.case import BedCase, Lay
from mullbed.simulate.ensemble import draw_members
from mullbed.simulate.run import pack, run_packed
from season_bed import LEAVES, Evidence, Spread, column, fresh, greens, lift, rainy, showers, weather

DAYS = 90
SKY = weather(DAYS, 12, 24, 3.5, showers(DAYS, 0.35, 6.0, 1))
RICH = replace(greens(3.5), nitrogen=Spread(0.02, 0.035, 0.062, "", Evidence.PUBLISHED))
GREENS = replace(fresh(0.5), residue=RICH, dry_matter_log_sd=0.3)
BROWNS = replace(lift(LEAVES, 0.4, free=0.8), dry_matter_log_sd=0.3)
COUNT = 256


def bed(name: str = "Low bed", later: int | None = 60) -> BedCase:
    events = [Lay(0, (BROWNS, GREENS, BROWNS))]
    if later is not None:
        events.append(Lay(later, (GREENS, BROWNS)))
    return BedCase(name, SKY, column(), tuple(events))


def seen(what: str, day: int, answer: float | str, name: str = "Low bed", entry: str = "") -> Observation:
    when = SKY.first_day + timedelta(days=day)
    if isinstance(answer, str):
        return Observation(what, name, when, word=answer, entry=entry)
    return Observation(what, name, when, value=answer, entry=entry)


def middle(posterior: Posterior, name: str, day: int, case: BedCase | None = None) -> tuple[float, float]:
    """Return middle and width of an output under what was learnt."""
    told = posterior.told(case or bed())
    members = draw_members(told, COUNT, 1, learned=posterior.learned(told))
    values = run_packed(pack(told), members, keep=(name,)).daily[name][:, day]
    return float(np.median(values)), width_of(values)


def width_of(values: np.ndarray) -> float:
    return float(np.subtract(*np.percentile(values, (90.0, 10.0))))


@pytest.fixture(scope="module")
def unseen() -> Posterior:
    return learn_bed(bed(), [], COUNT)


SLOW = [seen("mass left", 30, 0.92), seen("mass left", 45, 0.9), seen("darkening", 45, "as laid")]


@pytest.fixture(scope="module")
def slow() -> Posterior:
    return learn_bed(bed(), SLOW, COUNT)


def test_with_nothing_seen_members_are_as_doubtful_as_before(unseen: Posterior) -> None:
    case = bed()
    usual = run_packed(pack(case), draw_members(case, COUNT, 1), keep=("carbon_left",)).daily["carbon_left"][:, 50]
    there, width = middle(unseen, "carbon_left", 50)
    assert there == pytest.approx(float(np.median(usual)), rel=0.1)
    assert width == pytest.approx(width_of(usual), rel=0.25)


def test_a_bed_seen_to_be_slow_is_forecast_slow_and_surer(slow: Posterior, unseen: Posterior) -> None:
    assert slow.beds[0].place_rate.mid < 0.8
    before, after = middle(unseen, "carbon_left", 50), middle(slow, "carbon_left", 50)
    assert after[0] > 1.1 * before[0]
    assert middle(slow, "decay_modifier", 50)[1] > 0.0
    with_layers = [middle(one, "carbon_dioxide", 55) for one in (unseen, slow)]
    assert with_layers[1][0] < 0.7 * with_layers[0][0]
    assert with_layers[1][1] < 0.8 * with_layers[0][1]


def test_layers_of_the_next_weeks_are_forecast_with_what_was_learnt(slow: Posterior, unseen: Posterior) -> None:
    """The layer of day 60 was not seen; the bed's slowness holds for it too."""
    gone = [
        middle(one, "carbon_dioxide", 85)[0] - middle(one, "carbon_dioxide", 62)[0] for one in (unseen, slow)
    ]  # fmt: skip
    assert gone[1] < 0.85 * gone[0]


def test_one_absurd_entry_moves_the_state_little_and_is_named(slow: Posterior) -> None:
    absurd = seen("thickness by ruler", 40, 0.9)
    with_it = learn_bed(bed(), [*SLOW, absurd], COUNT)
    there, width = middle(slow, "carbon_left", 50)
    assert abs(middle(with_it, "carbon_left", 50)[0] - there) < 0.25 * width
    named = [one for one in with_it.beds[0].entries if one.surprise is Surprise.SLIP]
    assert [one.observation for one in named] == [absurd]
    assert named[0].slip > 0.9
    assert named[0].chance < 0.01


def test_the_order_of_entries_and_doubled_ones_change_nothing() -> None:
    entries = [
        seen("squeeze", 20, "damp, no drops", entry="a"),
        seen("soil temperature", 20, 17.0, entry="b"),
        seen("smell", 20, "earthy", entry="c"),
    ]
    one = learn_bed(bed(), entries, 64)
    for other in (entries[::-1], [entries[1], entries[2], entries[0]], [*entries, entries[1]]):
        again = learn_bed(bed(), other, 64)
        assert np.array_equal(one.deviates, again.deviates)


def test_equal_seeds_give_equal_beliefs_for_any_number_of_threads() -> None:
    entries = [seen("mass left", 20, 0.7)]
    one, two, other = (learn_bed(bed(), entries, 130, number, threads) for number, threads in ((1, 1), (1, 2), (2, 1)))
    assert np.array_equal(one.deviates, two.deviates)
    assert not np.array_equal(one.deviates, other.deviates)


def test_entries_of_other_beds_and_days_are_told_not_used(unseen: Posterior) -> None:
    strange = [seen("mass left", 30, 0.2, name="No bed"), seen("mass left", -5, 0.2), seen("mass left", 200, 0.2)]
    found = learn_bed(bed(), strange, COUNT)
    assert set(found.unused) == set(strange)
    assert found.beds == ()
    assert np.array_equal(found.deviates, learn_bed(bed(), [], COUNT).deviates)


def test_a_new_bed_gains_from_what_its_neighbours_share() -> None:
    """Amounts, chemistry and rates of residues are shared: three slow beds make a fourth likely to be slow."""
    names = ("Low bed", "Wall bed", "Pear bed")
    cases = [bed(name, None) for name in (*names, "New bed")]
    entries = [seen("mass left", day, 0.93, name) for name in names for day in (30, 45)]
    found = learn_garden(cases, entries, COUNT)
    untouched = learn_garden(cases, [], COUNT)
    new = cases[-1]
    told = [middle(one, "carbon_dioxide", 50, new)[0] for one in (untouched, found)]
    assert told[1] < 0.9 * told[0]
    own = [one.place_rate.mid for one in found.beds]
    assert len(own) == 3
    assert max(own) < 1.0
    seen_bed = middle(found, "carbon_dioxide", 50, cases[0])[0]
    assert seen_bed < told[1], "a bed's own factor stays its own"


def test_learning_costs_few_runs_of_the_season(slow: Posterior) -> None:
    assert 3 <= slow.runs <= 16


def test_a_case_is_cut_after_the_last_day_that_was_seen() -> None:
    short = until(bed(), 30)
    assert short.weather.days == 31
    assert len(short.events) == 1
    assert len(named_lifts(bed(), 30).lifts) == 5
    assert len({one.draw_key for one in named_lifts(bed(), 30).lifts}) == 5
    assert [" # " in one.draw_key for one in named_lifts(bed(), 30).lifts] == [True, True, True, False, False]


def test_years_that_share_their_past_are_told_from_those_that_do_not() -> None:
    many = rainy(40, 12, 24, 3.5, 0.35, 6.0)
    assert same_past(SKY, 30)
    assert not same_past(many, 30)
    rain = many.rain.copy()
    rain[:, :21] = rain[:1, :21]
    assert same_past(replace(many, rain=rain), 20)
    assert not same_past(replace(many, rain=rain), 39)


def test_a_season_whose_past_is_not_known_learns_which_year_it_is() -> None:
    many = rainy(60, 12, 24, 3.5, 0.35, 6.0)
    case = BedCase("Low bed", many, column(), (Lay(0, (BROWNS, GREENS)),))
    entries = [replace(seen("soil moisture", day, "dry and crumbly"), day=many.first_day + timedelta(days=day))
               for day in (30, 45)]  # fmt: skip
    told = learn_bed(case, entries, COUNT)
    drier = told.learned(told.told(case))
    assert drier.year_of is not None
    assert drier.year_of.max() < many.years
    before = learn_bed(case, [], COUNT)
    rain = many.rain[:, :46].sum(axis=1)
    assert rain[drier.year_of].mean() < rain.mean()
    assert before.runs == 0


def test_beds_of_one_garden_share_one_weather_however_many_biases_it_has() -> None:
    cases = [bed(name, None) for name in ("Low bed", "Wall bed")]
    found = learn_garden(
        cases, [seen("squeeze", 20, "damp, no drops", "Low bed"), seen("cover", 30, 0.9, "Wall bed")], 64
    )
    assert found.belief.cases[0].weather is found.belief.cases[1].weather
    assert found.told(cases[0]).weather is found.told(cases[1]).weather
    assert found.told(cases[0]).weather.years == 15 * SKY.years
