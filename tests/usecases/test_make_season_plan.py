"""Plan a small garden edge to edge: real weather, real model, real solver."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from mullbed.domain.supply import supply_names
from mullbed.files.bundled_garden import bundled_garden
from mullbed.files.garden_file import read_garden
from mullbed.plan.choose import solved
from mullbed.plan.garden_tables import tables_of
from mullbed.plan.offers import BedOffers
from mullbed.plan.outcomes import Ensemble, priced
from mullbed.plan.season import problem_of, season_span
from mullbed.plan.season_facts import promised
from mullbed.reference.residues import all_residues
from mullbed.safety.limits import safety_limits
from mullbed.usecases.make_season_plan import MadePlan, make_season_plan
from mullbed.weather.place_weather import place_weather

SMALL = """
[site]
name = "Two beds"
latitude = 47.6
[season]
first_day = 2027-04-05
last_day = 2027-07-25
[weather]
daily_file = "{weather}"
[soil]
texture = "sandy loam"
organic_matter = "2 %"
[[beds]]
name = "Low"
size = "1.2 m x 6 m"
[[beds.crops]]
crop = "kale"
planted = 2027-04-20
harvested = 2027-07-20
start = "transplanted"
[[beds]]
name = "Wall"
size = "1 m x 5 m"
kept_moist = true
watering = "drip"
[[beds.crops]]
crop = "leek"
planted = 2027-05-01
harvested = 2027-07-25
start = "transplanted"
[limits]
minutes_per_day = 90
{limits}
"""
LAWN = """
[[supplies]]
name = "our lawn"
residue = "grass clippings"
amount = "4 bucket"
from = 2027-04-10
every = "2 weeks"
[[supplies]]
name = "leaf stack"
residue = "dry leaves"
amount = "20 bag"
"""


def written(folder: Path, supplies: str = LAWN, limits: str = "") -> Path:
    weather = bundled_garden().parent / "weather.csv"
    path = folder / "garden.toml"
    path.write_text(SMALL.format(weather=weather, limits=limits) + supplies)
    return path


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> MadePlan:
    return make_season_plan(written(tmp_path_factory.mktemp("garden")), seed=3, threads=1)


def test_the_plan_feeds_hungry_beds(made: MadePlan) -> None:
    assert made.plan.layers
    for bed in ("Low", "Wall"):
        assert made.plan.rehearsal[bed].crop_want > made.plan.rehearsal[bed].soil_alone.mid
        assert made.plan.rehearsal[bed].layers.mid > 0.5


def test_promise_and_rehearsal_agree_within_a_fifth_of_want(made: MadePlan) -> None:
    for bed, promise in made.plan.promise.items():
        came = made.plan.rehearsal[bed]
        assert abs(promise.layers.mid - came.layers.mid) <= 0.2 * promise.crop_want, bed


def test_every_layer_is_whole_containers_within_the_season_and_says_why(made: MadePlan) -> None:
    for planned in made.plan.layers:
        assert date(2027, 4, 5) <= planned.layer.day <= date(2027, 7, 25)
        assert all(lift.count == int(lift.count) and lift.count >= 1 for lift in planned.layer.lifts)
        assert planned.reasons
        assert not planned.layer.cap.fresh
        assert planned.nitrogen_laid.low < planned.nitrogen_laid.mid < planned.nitrogen_laid.high


def test_ceilings_are_kept(made: MadePlan) -> None:
    for budget in made.plan.budget.values():
        assert budget.nitrogen_laid <= budget.nitrogen_ceiling
        assert budget.phosphorus_laid <= budget.phosphorus_ceiling
        assert budget.nitrogen_fed_high <= 1.1 * budget.nitrogen_fed_ceiling


def test_what_is_gathered_is_what_is_laid(made: MadePlan) -> None:
    laid = sum(lift.count for planned in made.plan.layers for lift in planned.layer.lifts)
    assert sum(one.count for one in made.plan.gather) == pytest.approx(laid)
    assert made.plan.supply_left["leaf stack"] <= 20


def test_how_much_was_simulated_is_told(made: MadePlan) -> None:
    outcomes = made.plan.outcomes
    assert outcomes.classes == 2
    assert 0 < outcomes.candidates <= 60
    assert 16 <= outcomes.members <= 64
    assert outcomes.simulated_seasons > 100 * outcomes.members
    assert 0.0 <= made.plan.gap <= 0.05


def test_forecasts_carry_every_lift_through_time_and_close_their_books(made: MadePlan) -> None:
    for bed, forecast in made.plan.forecasts.items():
        lifts = sum(len(p.layer.lifts) for p in made.plan.layers if p.layer.bed == bed)
        assert len(forecast.lifts) == lifts
        for one in forecast.lifts:
            day = (one.layer.day - forecast.first_day).days
            assert np.isnan(one.thickness[: max(0, day)]).all()
            assert one.thickness[day] > 0.0
    assert max(made.plan.balance.carbon, made.plan.balance.nitrogen, made.plan.balance.water) < 1e-9


def test_equal_seeds_give_equal_plans(made: MadePlan, tmp_path: Path) -> None:
    again = make_season_plan(written(tmp_path), seed=3, threads=2)
    assert [p.layer for p in again.plan.layers] == [p.layer for p in made.plan.layers]
    assert again.plan.promise == made.plan.promise


def test_twice_the_main_decay_rate_changes_the_promised_nitrogen_of_the_chosen_plan(tmp_path: Path) -> None:
    garden = read_garden(written(tmp_path))
    weather, tables = (
        place_weather(garden.site, *season_span(garden), 3),
        tables_of(garden, safety_limits(garden, supply_names(garden.supplies), all_residues())),
    )
    usual, fast = Ensemble(16, 3, 1), Ensemble(16, 3, 1, (("main_rate", 2.0 * 0.0572),))
    problem = problem_of(garden, weather, tables, usual)

    def promises(ensemble: Ensemble) -> tuple[BedOffers, ...]:
        return priced(problem.classes, problem.terms, problem.candidates, tables.residues, ensemble, problem.first_day)[
            0
        ]

    ours, faster = promises(usual), promises(fast)
    chosen, _ = solved(problem.terms, ours)
    assert any(chosen)
    changes = []
    for number, layers in enumerate(chosen):
        if layers:
            first = promised(problem.terms.beds[number], ours[number], layers).layers.mid
            second = promised(problem.terms.beds[number], faster[number], layers).layers.mid
            assert second != first
            changes.append(abs(second - first) / abs(first))
    assert max(changes) > 0.01


def test_no_supply_at_all_gives_an_empty_plan_that_says_what_is_short(tmp_path: Path) -> None:
    plan = make_season_plan(written(tmp_path, supplies=""), threads=1).plan
    assert plan.layers == ()
    assert {shortage.limit for shortage in plan.shortages} == {"nothing in hand"}
    assert sum(plan.unmet["Low"].values()) > 1.0


def test_a_ceiling_next_to_nothing_gives_an_empty_plan_that_names_it(tmp_path: Path) -> None:
    plan = make_season_plan(written(tmp_path, limits='nitrogen_laid_per_year = "0.1 g/m2"'), threads=1).plan
    assert plan.layers == ()
    assert {shortage.limit for shortage in plan.shortages} == {"nitrogen laid in the year"}


def test_a_batch_on_hold_is_not_laid_and_is_told(tmp_path: Path) -> None:
    held = LAWN.replace('name = "our lawn"', 'name = "our lawn"\nheld_because = "sprayed?"')
    plan = make_season_plan(written(tmp_path, supplies=held), threads=1).plan
    assert plan.held == (("our lawn", "sprayed?", None),)
    assert not any(lift.residue == "grass_clip" for planned in plan.layers for lift in planned.layer.lifts)
