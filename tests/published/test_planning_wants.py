"""What the planner says crops want, against the published tables, by way of a bed planted with each.

Published: German Fertiliser Ordinance 2017 (as amended to 2021), Annex 4 Table 4: nitrogen need, soil mineral nitrogen
counted in. Beside it the uptake by AHDB RB209 section 6 (2021) Table 6.27, another country's table of the same crops.
"""

from __future__ import annotations

import csv
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from mullbed.domain.bed import Bed, BedCrop
from mullbed.domain.daily_weather import WeatherYears
from mullbed.files.bundled_garden import bundled_garden
from mullbed.files.garden_file import read_garden
from mullbed.plan.season_terms import weekly_want
from mullbed.plan.terms import DAYS_A_WEEK
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues
from mullbed.simulate.bed_case import bed_case
from mullbed.weather.place_weather import place_weather

FIRST, LAST = date(2027, 1, 4), date(2028, 1, 2)
KILOGRAMS_A_HECTARE = 10.0
ORDINANCE = "Duengeverordnung"


@pytest.fixture(scope="module")
def place() -> tuple[Bed, WeatherYears]:
    garden = read_garden(bundled_garden())
    return garden.beds[0], place_weather(garden.site, FIRST, LAST, 1)


def planned_want(crop: str, place: tuple[Bed, WeatherYears], share: float = 1.0, goal: float | None = None) -> float:
    """Return the want the planner sees over a season of a bed with one crop. [kg ha-1]"""
    bed, weather = place
    grown = BedCrop(crop, share, date(2027, 4, 1), date(2027, 10, 1), False, yield_goal=goal)
    case = bed_case(replace(bed, crops=(grown,), layers=()), weather, all_crops(), all_residues())
    weeks = weather.days // DAYS_A_WEEK
    want = weekly_want(case, 0, weeks)
    sown = (grown.planted - FIRST).days // DAYS_A_WEEK
    picked = (grown.harvested - FIRST + timedelta(days=6)).days // DAYS_A_WEEK
    assert np.all(want[:sown] == 0.0) and np.all(want[picked + 1 :] == 0.0)
    return KILOGRAMS_A_HECTARE * float(want.sum())


def test_a_planted_bed_wants_what_the_ordinance_says(shared_data: Path, place: tuple[Bed, WeatherYears]) -> None:
    names = {crop.name.lower(): crop for crop in all_crops().values()}
    text = (shared_data / "crops_nutrients.csv").read_text(encoding="utf-8")
    rows = [row for row in csv.DictReader(text.splitlines()) if ORDINANCE in row["source"]]
    checked = 0
    for row in rows:
        crop = names.get(row["crop"].lower())
        if crop is None or row["status"] != "published" or not row["N_supply_need_kg_ha"]:
            continue
        need = float(row["N_supply_need_kg_ha"])
        assert planned_want(crop.key, place) == pytest.approx(need, rel=0.02), row["crop"]
        checked += 1
    assert checked >= 60


def test_half_a_bed_wants_half_and_a_higher_goal_more(place: tuple[Bed, WeatherYears]) -> None:
    whole = planned_want("kale", place)
    assert planned_want("kale", place, share=0.5) == pytest.approx(0.5 * whole)
    goal = all_crops()["kale"].yield_goal.mid
    assert planned_want("kale", place, goal=1.2 * goal) > 1.05 * whole


SAME_CROPS = {
    "brussels_sprouts": "Brussels sprouts",
    "white_cabbage_processing_storage": "White cabbage storage",
    "broccoli": "Calabrese",
    "cauliflower": "Cauliflower summer",
    "lettuce_iceberg": "Lettuce crisp",
    "onion_bulb": "Bulb onions spring",
    "leek": "Leeks",
    "beetroot": "Beetroot",
    "carrot_processing": "Carrots",
    "radish": "Radish",
}


def test_needs_of_one_country_and_uptake_of_another_tell_of_the_same_crops(
    shared_data: Path, place: tuple[Bed, WeatherYears]
) -> None:
    """They are not the same thing (a need leaves nitrogen in the soil, an uptake depends on the yield): within 1.6."""
    text = (shared_data / "crops_rb209_n_uptake.csv").read_text(encoding="utf-8")
    uptake = {row["crop"]: float(row["n_uptake_kg_ha"]) for row in csv.DictReader(text.splitlines())}
    ratios = [planned_want(key, place) / uptake[name] for key, name in SAME_CROPS.items()]
    assert min(ratios) >= 0.625 and max(ratios) <= 1.6
    assert float(np.median(ratios)) == pytest.approx(1.0, abs=0.15)
