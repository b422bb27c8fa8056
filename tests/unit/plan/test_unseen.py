"""Plans set into seasons they do not know: what fails is not laid, what is laid is run, halves of the weather part."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from tests.unit.plan import invented as garden

from mullbed.domain.garden import Garden, Site
from mullbed.domain.residue import Residue
from mullbed.domain.season_plan import SeasonPlan
from mullbed.domain.supply import supply_names
from mullbed.files.bundled_garden import bundled_garden
from mullbed.files.garden_file import parse_garden, read_garden
from mullbed.plan.garden_tables import Tables, tables_of
from mullbed.plan.outcomes import Ensemble
from mullbed.plan.scenarios import Scenarios
from mullbed.plan.season import Problem, plan_season, problem_of, season_span
from mullbed.plan.solve import Effort
from mullbed.plan.terms import DAYS_A_WEEK
from mullbed.plan.unseen import GardenInYears, InYears, acts_of, short_and_over, stocks_taken
from mullbed.reference.residues import all_residues
from mullbed.safety.limits import safety_limits
from mullbed.weather.daily_file import read_daily_weather
from mullbed.weather.held_out import only_years, parting_day, seen_and_unseen

MONTHLY = """
[site]
name = "Mill Field"
latitude = 52.0
[season]
first_day = 2027-04-05
last_day = 2027-08-15
[weather]
monthly_low = [1, 1, 3, 5, 8, 11, 13, 13, 10, 7, 4, 2]
monthly_high = [7, 8, 11, 14, 18, 21, 23, 23, 19, 14, 10, 7]
monthly_rain = [60, 45, 50, 45, 50, 50, 50, 55, 55, 65, 65, 60]
[[beds]]
name = "Wall Bed"
area = "6 m2"
soil = { texture = "sandy loam", organic_matter = "1.5 %" }
[[beds.crops]]
crop = "kale"
planted = 2027-05-10
harvested = 2027-08-10
start = "transplanted"
[[supplies]]
residue = "grass clippings"
amount = "4 bucket"
from = 2027-04-20
every = "14 days"
may_fail = "50 %"
[[supplies]]
residue = "dry leaves"
amount = "8 barrow"
"""


def test_the_pool_of_a_bed_known() -> None:
    """Known by hand: 3 given, 2 wanted, half of the rest kept; then nothing given and 2 wanted."""
    bed = garden.bed(weeks=2, want=np.array([2.0, 2.0]), kept=np.array([0.5, 0.5]))
    short, over = short_and_over(bed, np.zeros((1, 2)), np.array([[3.0, 0.0]]))
    assert short[0] == pytest.approx(1.5)
    assert over[0] == pytest.approx(0.5)


def test_unseen_years_of_a_short_record_share_no_day_with_the_seen_ones() -> None:
    site = read_garden(bundled_garden()).site
    first, last = season_span(read_garden(bundled_garden()))
    parting = parting_day(first, last)
    assert last < parting < date(first.year + 1, first.month, first.day)
    assert site.weather.daily_file is not None
    record = read_daily_weather(site.weather.daily_file, site.latitude)
    one, other = (~np.isnan(only_years(record, half, parting).rain) for half in (0, 1))
    assert not np.any(one & other)
    assert np.array_equal(one | other, ~np.isnan(record.rain))
    seen, unseen = seen_and_unseen(site, first, last, 1)
    blocks = {season.tobytes() for season in seen.rain[:, : 2 * DAYS_A_WEEK]}
    assert not blocks & {season.tobytes() for season in unseen.rain[:, : 2 * DAYS_A_WEEK]}


def test_halves_of_generated_seasons_part_without_a_rest() -> None:
    site: Site = parse_garden(MONTHLY, "garden.toml", Path()).site
    seen, unseen = seen_and_unseen(site, date(2027, 4, 5), date(2027, 8, 15), 3)
    assert not {row.tobytes() for row in seen.rain} & {row.tobytes() for row in unseen.rain}
    assert abs(seen.years - unseen.years) <= 1
    assert seen.first_day == unseen.first_day == date(2027, 4, 5)
    assert replace(seen, labels=()).days == (date(2027, 8, 15) - date(2027, 4, 5) + timedelta(days=1)).days


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> tuple[Garden, Tables, SeasonPlan, Problem, Ensemble]:
    path = tmp_path_factory.mktemp("garden") / "garden.toml"
    path.write_text(MONTHLY)
    made = read_garden(path)
    tables, ensemble = (
        tables_of(made, safety_limits(made, supply_names(made.supplies), all_residues())),
        Ensemble(16, 5, 1),
    )
    seen, unseen = seen_and_unseen(made.site, *season_span(made), 1)
    plan = plan_season(made, seen, tables, ensemble=Ensemble(16, 1, 1), effort=Effort(gap=0.02), outlook=None)
    return made, tables, plan, problem_of(made, unseen, tables, ensemble), ensemble


def in_unseen_seasons(
    plan: SeasonPlan, problem: Problem, scenarios: Scenarios, residues: Mapping[str, Residue], ensemble: Ensemble
) -> InYears:
    return GardenInYears(problem, scenarios, residues, ensemble).tried(acts_of(plan, problem.terms))


def all_come(problem: Problem, came: float) -> Scenarios:
    """One season a member in which everything comes, or nothing that is expected."""
    weeks = len(problem.terms.weeks)
    shares = tuple(np.full((16, weeks), came) for _ in problem.terms.stocks)
    return Scenarios(np.arange(16, dtype=np.int64), shares)


def test_a_layer_whose_residue_does_not_come_is_not_laid_and_costs_nothing(
    planned: tuple[Garden, Tables, SeasonPlan, Problem, Ensemble],
) -> None:
    _, tables, plan, problem, ensemble = planned
    assert plan.layers
    none = in_unseen_seasons(plan, problem, all_come(problem, 0.0), tables.residues, ensemble)
    bare = in_unseen_seasons(replace(plan, layers=()), problem, all_come(problem, 1.0), tables.residues, ensemble)
    every = in_unseen_seasons(plan, problem, all_come(problem, 1.0), tables.residues, ensemble)
    assert none.cost == pytest.approx(bare.cost)
    assert np.all(none.minutes == 0.0)
    assert np.all(every.minutes == pytest.approx(sum(one.minutes for one in plan.layers)))
    assert every.cost.mean() < none.cost.mean()
    assert every.bare.mean() < none.bare.mean()


def test_what_a_plan_takes_is_told_apart_by_stock(
    planned: tuple[Garden, Tables, SeasonPlan, Problem, Ensemble],
) -> None:
    _, _, plan, problem, _ = planned
    taken = [stocks_taken(one, problem.terms) for one in plan.layers]
    assert all(1 in stocks for stocks in taken), "every layer of this garden has leaves in it"
    assert any(0 in stocks for stocks in taken)
    counted = sum(item.count for item in plan.gather)
    assert sum(sum(stocks.values()) for stocks in taken) == pytest.approx(counted)
