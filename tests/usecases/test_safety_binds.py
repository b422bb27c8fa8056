"""From a garden file to an answer: rules of safety bind a check, a layer and a season, and a reason sets them aside."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from tests.unit.safety.invented import rules_without

from mullbed.errors import InputFault, NoPlan
from mullbed.reference.safety_rules import all_safety_rules
from mullbed.usecases.check_mix import check_mix
from mullbed.usecases.design_layer import design_layer
from mullbed.usecases.list_cautions import list_cautions
from mullbed.usecases.make_season_plan import MadePlan, make_season_plan

TEXT = """
[site]
name = "Mill Field"
latitude = 52.0
profile = "home"
dangers = []
[season]
first_day = 2027-04-05
last_day = 2027-07-25
[weather]
monthly_low = [1, 1, 3, 5, 8, 11, 13, 13, 10, 7, 4, 2]
monthly_high = [7, 8, 11, 14, 18, 21, 23, 23, 19, 14, 10, 7]
monthly_rain = [60, 45, 50, 45, 50, 50, 50, 55, 55, 65, 65, 60]
[[beds]]
name = "Wall Bed"
area = "6 m2"
soil = { texture = "sandy loam", organic_matter = "1.5 %" }
near = { building = "1 m" }
[[beds.crops]]
crop = "kale"
planted = 2027-05-01
harvested = 2027-07-20
start = "transplanted"
[[supplies]]
name = "kitchen tub"
residue = "kitchen scraps"
amount = "4 bucket"
every = "14 days"
[[supplies]]
name = "leaf pile"
residue = "dry leaves"
amount = "20 bag"
"""
STOCK = TEXT.replace('profile = "home"', 'profile = "livestock"')
FIRE = TEXT.replace("dangers = []", 'dangers = ["fire"]')
DAY = date(2027, 5, 20)


def written(folder: Path, text: str) -> Path:
    path = folder / "garden.toml"
    path.write_text(text, encoding="utf-8")
    return path


def names_all(told: str, rule: str) -> bool:
    """The rule, its source, the day it was checked and who decides."""
    row = all_safety_rules()[rule]
    return all(part in told for part in (rule, row.source, row.checked.isoformat(), "Local codes decide."))


def scraps_in(made: MadePlan) -> int:
    return sum(lift.residue == "food_scraps" for one in made.plan.layers for lift in one.layer.lifts)


def planned(folder: Path, text: str) -> MadePlan:
    return make_season_plan(written(folder, text), members=16)


def test_a_season_lays_no_scraps_where_stock_is_kept(tmp_path: Path) -> None:
    made = planned(tmp_path, STOCK)
    assert scraps_in(made) == 0
    assert any(names_all(one.told(), "scraps_near_livestock") for one in made.plan.refusals)
    assert [name for name, _, until in made.plan.held if until is None] == ["kitchen tub"]
    with rules_without("scraps_near_livestock"):
        free = planned(tmp_path, STOCK)
    assert scraps_in(free) > 0
    assert free.plan.refusals == ()


def test_a_layer_is_refused_on_the_fire_strip_and_laid_with_a_reason(tmp_path: Path) -> None:
    with pytest.raises(NoPlan) as refused:
        design_layer(written(tmp_path, FIRE), "Wall Bed", today=DAY, day=DAY, members=16)
    assert names_all(str(refused.value), "fire_strip")
    assert "lies 1 m from a building" in str(refused.value)
    aside = '[[overrides]]\nrule = "fire_strip"\nreason = "Stone wall, watered daily."\nwho = "Ada"\nday = 2027-04-01\n'
    laid = design_layer(written(tmp_path, FIRE + aside), "Wall Bed", today=DAY, day=DAY, members=16)
    ((told, by),) = laid.design.set_aside
    assert (told.rule, by.reason, by.who) == ("fire_strip", "Stone wall, watered daily.", "Ada")
    assert laid.planned.layer.lifts


def test_manure_waits_for_the_harvest_in_a_layer(tmp_path: Path) -> None:
    text = TEXT.replace('residue = "kitchen scraps"', 'residue = "horse manure"')
    found = design_layer(written(tmp_path, text), "Wall Bed", today=DAY, day=DAY, members=16)
    assert {lift.residue for lift in found.planned.layer.lifts}.isdisjoint({"fym_horse", "man_horse_straw"})
    assert any(names_all(one.told(), "raw_manure_wait") for one in found.design.refusals)


def test_a_mix_is_told_what_is_refused_at_the_site(tmp_path: Path) -> None:
    lifts = ["kitchen scraps:1 bucket", "dry leaves:30 mm"]
    found = check_mix(lifts, "2 m2", garden=written(tmp_path, STOCK), members=16)
    assert found.findings[0].code == "rule_forbids"
    assert names_all(str(found.findings[0].values["told"]), "scraps_near_livestock")
    at_home = check_mix(lifts, "2 m2", garden=written(tmp_path, TEXT), members=16)
    assert "rule_forbids" not in {finding.code for finding in at_home.findings}


def test_crops_the_lead_in_the_soil_forbids_are_not_planned_for(tmp_path: Path) -> None:
    text = TEXT.replace('organic_matter = "1.5 %"', 'organic_matter = "1.5 %", lead = 250')
    with pytest.raises(InputFault) as refused:
        make_season_plan(written(tmp_path, text))
    assert names_all(str(refused.value), "lead_leaf_and_root")
    assert "kale" in str(refused.value)
    with pytest.raises(InputFault):
        design_layer(written(tmp_path, text), "Wall Bed", today=DAY)


def test_what_is_in_force_follows_the_garden(tmp_path: Path) -> None:
    found = list_cautions(written(tmp_path, FIRE))
    keys = {rule.key for rule in found.rules}
    assert "fire_strip" in keys and "termite_gap" not in keys and "scraps_near_livestock" not in keys
    assert [one.rule for one in found.refusals] == ["fire_strip"]
    assert {one.supply for one in found.heavy} <= {"kitchen tub", "leaf pile"}
