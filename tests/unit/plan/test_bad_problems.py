"""Problems nobody should pose: the planner answers with a plan or refuses clearly, and never hangs on them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from tests.unit.plan import invented as garden

from mullbed.errors import InputFault
from mullbed.files.bundled_garden import bundled_garden
from mullbed.plan.choice_model import built
from mullbed.plan.choose import solved
from mullbed.plan.clash import keeping, smallest_clash
from mullbed.plan.offers import BedOffers
from mullbed.plan.ready_made import ready_made
from mullbed.plan.scenarios import scenarios_of
from mullbed.plan.solve import Effort, start_values
from mullbed.plan.terms import Arrival, PlanTerms
from mullbed.plan.uncertain import BedScenarios, Outlook, charges, looked_at
from mullbed.usecases.make_season_plan import make_season_plan

EFFORT = Effort(gap=0.01, nodes=200, seconds=30.0)


def answer(
    problem: PlanTerms, offers: tuple[BedOffers, ...] | None = None, effort: Effort = EFFORT
) -> tuple[tuple[tuple[int, ...], ...], float]:
    """Return a plan that keeps every rule, and its gap."""
    offers = offers if offers is not None else garden.offered(problem)
    chosen, solution = solved(problem, offers, effort)
    choice = built(problem, offers, without=("R11",))
    assert choice.model.largest_violation(start_values(choice, chosen)) < 1e-6
    assert solution.gap >= 0.0
    return chosen, solution.gap


@pytest.mark.parametrize("count", [0.0, 0.4], ids=["nothing comes", "less than a container comes"])
def test_no_supply_gives_an_empty_plan(count: float) -> None:
    problem = garden.terms(stocks=(garden.clippings(count), garden.leaves(count)))
    assert answer(problem) == (((),), pytest.approx(0.0, abs=1e-9))


def test_one_huge_supply_is_used_as_far_as_the_rules_go() -> None:
    problem = garden.terms(stocks=(garden.clippings(1e7), garden.leaves(1e7)))
    chosen, gap = answer(problem)
    assert chosen[0]
    assert gap <= 0.02


def test_all_batches_on_hold_gives_an_empty_plan() -> None:
    held = tuple(replace(stock, held=True) for stock in (garden.clippings(), garden.leaves()))
    assert answer(garden.terms(stocks=held))[0] == ((),)


def test_beds_whose_crops_want_nothing_are_covered_and_not_fed_past_their_ceiling() -> None:
    idle = garden.bed(want=np.zeros(12), nitrogen_fed_ceiling=0.0)
    problem = garden.terms((idle,))
    offers = garden.offered(problem)
    chosen, _ = answer(problem, offers)
    assert chosen[0], "the soil is covered all the same"
    fed = offers[0].given_by_member[list(chosen[0])].sum(axis=0)
    assert float(np.sort(fed)[-2:].mean()) <= 0.6


def test_a_garden_whose_weeks_are_all_away_gives_an_empty_plan() -> None:
    away = (garden.FIRST - timedelta(days=1), garden.FIRST + timedelta(days=365))
    assert answer(garden.terms(away=(away,)))[0] == ((),)


def test_a_bed_far_too_small_for_one_container_gets_nothing_and_is_told_why() -> None:
    problem = garden.terms((garden.bed(area=0.01),))
    assert answer(problem)[0] == ((),)
    assert ready_made(problem)[1].most("Low") == "R7"
    assert ready_made(garden.terms())[1].most("Low") != "R7"


def test_ten_thousand_layers_on_one_bed_are_chosen_from() -> None:
    """Copies that differ a little, so that none can simply be left out."""
    problem = garden.terms()
    one = garden.offered(problem)[0]
    times = -(-10_000 // len(one.candidates))
    many = one.keep(np.tile(np.arange(len(one.candidates)), times))
    factors = np.linspace(0.9, 1.1, len(many.candidates))[:, None]
    many = replace(many, given=many.given * factors, given_by_member=many.given_by_member * factors)
    assert len(many.candidates) >= 10_000
    chosen, gap = answer(problem, (many,), Effort(gap=0.05))
    assert chosen[0]
    assert gap < 1.0, "a proof of some kind, though so many like layers make it a loose one"
    scenarios = scenarios_of(problem, 8, 1)
    bed = (BedScenarios(problem.beds[0], many, scenarios, problem),)
    assert np.isfinite(charges(bed, chosen, Outlook())[0]).all()
    assert looked_at(bed, chosen, Outlook()).mean < looked_at(bed, ((),), Outlook()).mean


def test_a_bed_with_forty_supplies_is_offered_no_more_layers_a_week_than_can_be_weighed() -> None:
    softs = tuple(garden.clippings(name=f"soft {n}", nitrogen=0.02 + 0.001 * n) for n in range(20))
    dries = tuple(garden.leaves(name=f"dry {n}", nitrogen=0.006 + 0.0001 * n) for n in range(20))
    problem = garden.terms(stocks=(*softs, *dries))
    found = ready_made(problem)[0][0]
    by_week = np.bincount([one.week for one in found])
    assert by_week.max() <= 60
    assert len({one.soft.stock for one in found if one.soft is not None}) > 10
    chosen, _ = answer(problem, garden.offers_for(problem, (found,)), Effort(gap=0.05, nodes=20))
    assert chosen[0]


def test_fixes_that_contradict_each_other_are_named_without_the_innocent() -> None:
    problem = garden.terms((garden.bed("Low"), garden.bed("Wall")))
    choice = built(problem, garden.offered(problem))
    same_week = [place for place, one in enumerate(choice.offers[1].candidates) if one.week == 0][:2]
    found = smallest_clash(keeping(choice, {0: (0,), 1: same_week}))
    assert {limit.bed for limit in found} == {1}
    assert {limit.layer for limit in found if limit.rule == "fix"} == set(same_week)


@pytest.mark.parametrize("weeks", [1, 2])
def test_a_season_of_a_week_or_two_has_a_plan(weeks: int) -> None:
    bed = garden.bed(weeks=weeks, want=np.full(weeks, 2.0))
    chosen, _ = answer(garden.terms((bed,), weeks=weeks))
    assert len(chosen) == 1


def test_supplies_that_always_fail_are_not_counted_on() -> None:
    """All scenarios lose what comes later; charged, nothing of it is worth its work."""
    later = (Arrival(garden.FIRST + timedelta(days=14), 10.0),)
    problem = garden.terms(stocks=(garden.clippings(arrivals=later, may_fail=1.0), garden.leaves(0.0)))
    scenarios = scenarios_of(problem, 8, 1)
    assert all(np.all(shares[:, 2:] == 0.0) for shares in scenarios.came[:1])


SEASON = """
[site]
name = "Late"
latitude = 47.6
[season]
first_day = 2027-04-05
last_day = 2027-07-25
[weather]
daily_file = "{weather}"
[soil]
texture = "sandy loam"
[[beds]]
name = "Low"
size = "1.2 m x 6 m"
[[supplies]]
residue = "dry leaves"
amount = "20 bag"
"""


def season(folder: Path, text: str = SEASON) -> Path:
    path = folder / "garden.toml"
    path.write_text(text.format(weather=bundled_garden().parent / "weather.csv"))
    return path


def test_a_season_that_ends_before_it_begins_is_refused_with_its_place(tmp_path: Path) -> None:
    turned = SEASON.replace("2027-07-25", "2026-07-25")
    with pytest.raises(InputFault) as refused:
        make_season_plan(season(tmp_path, turned), threads=1)
    assert "season" in str(refused.value)


def test_a_garden_of_dry_residue_and_bare_beds_is_planned(tmp_path: Path) -> None:
    made = make_season_plan(season(tmp_path), threads=1, today=date(2027, 4, 5))
    assert all(not lift.fresh for planned in made.plan.layers for lift in planned.layer.lifts)
    assert made.plan.gap >= 0.0
