"""Planning for what may come is tried in unseen years, edge to edge on a small garden."""

from __future__ import annotations

from pathlib import Path

import pytest

from mullbed.domain.plan_worth import PlanWorth
from mullbed.errors import InputFault
from mullbed.usecases.weigh_plan import weigh_plan

GARDEN = """
[site]
name = "Mill Field"
latitude = 52.0
[season]
first_day = 2027-04-05
last_day = 2027-07-11
[weather]
monthly_low = [1, 1, 3, 5, 8, 11, 13, 13, 10, 7, 4, 2]
monthly_high = [7, 8, 11, 14, 18, 21, 23, 23, 19, 14, 10, 7]
monthly_rain = [60, 45, 50, 45, 50, 50, 50, 55, 55, 65, 65, 60]
[[beds]]
name = "Wall Bed"
area = "6 m2"
soil = { texture = "loam", organic_matter = "2 %" }
[[beds.crops]]
crop = "kale"
planted = 2027-05-03
harvested = 2027-07-10
start = "transplanted"
[[supplies]]
name = "lawn"
residue = "grass clippings"
amount = "2 barrow"
from = 2027-04-14
every = "14 days"
may_fail = "40 %"
[[supplies]]
residue = "dry leaves"
amount = "8 barrow"
"""


@pytest.fixture(scope="module")
def worth(tmp_path_factory: pytest.TempPathFactory) -> PlanWorth:
    path = tmp_path_factory.mktemp("garden") / "garden.toml"
    path.write_text(GARDEN)
    return weigh_plan(path, seed=2, threads=1)


def test_both_plans_are_tried_in_the_same_unseen_seasons(worth: PlanWorth) -> None:
    assert worth.garden == "Mill Field"
    assert worth.seasons >= 128
    assert len(worth.planned_with) + len(worth.tried_in) >= 16
    for plan in (worth.for_what_may_come, worth.for_the_mean):
        assert plan.layers > 0
        assert plan.bad_tenth_cost > plan.cost > 0.0
        assert plan.nitrogen_short > 0.0


def test_the_saving_is_that_of_the_costs(worth: PlanWorth) -> None:
    low, middle, high = worth.saved
    assert low <= middle <= high
    assert low - 1e-9 <= worth.for_the_mean.cost - worth.for_what_may_come.cost <= high + 1e-9 or low == high
    assert 0.0 <= worth.better_in <= 1.0


def test_planning_for_what_may_come_is_not_worse_where_supplies_fail_often(worth: PlanWorth) -> None:
    ahead, mean = worth.for_what_may_come, worth.for_the_mean
    counted = [0.75 * plan.cost + 0.25 * plan.bad_tenth_cost for plan in (ahead, mean)]
    assert counted[0] <= 1.02 * counted[1]


def test_a_garden_at_fault_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "garden.toml"
    path.write_text(GARDEN.replace("6 m2", "-6 m2"))
    with pytest.raises(InputFault):
        weigh_plan(path, threads=1)
