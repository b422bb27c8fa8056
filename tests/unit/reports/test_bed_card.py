"""Cards: one a bed, to scale, the thicknesses of plan.json, loads added up, nothing of the grower's is run."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from importlib import resources
from pathlib import Path

import pytest
from season_sample import FIRST, GARDEN, PLAN, PLANNED, US_GARDEN

from mullbed.domain.garden import Garden, UnitSystem
from mullbed.domain.season_plan import SeasonPlan
from mullbed.reports.bed_card import card_book, steps
from mullbed.reports.json_documents import plan_document
from mullbed.reports.pdf import cards_pdf, page_pictures, square_code

METRIC, US = UnitSystem.METRIC, UnitSystem.US


def book(plan: SeasonPlan = PLAN, garden: Garden = GARDEN, units: UnitSystem = METRIC) -> dict:
    return json.loads(json.dumps(card_book(plan, garden, units=units, made_on=FIRST, code=square_code)))


def shown_thicknesses(words: str) -> list[float]:
    return [float(value) for value in re.findall(r"([\d.]+)\u00a0cm", words)]


def test_every_bed_has_a_card_and_every_laying_day_a_sheet() -> None:
    made = book()
    assert [card["name"] for card in made["cards"]] == ["Wall bed", "Low bed", "Gate & <Arch> bed", "Well bed"]
    assert [day["date"] for day in made["days"]] == ["Saturday 24 April", "Sunday 6 June", "Tuesday 13 July"]
    assert made["cards"][3]["date"] == "Leave it be"


def test_each_thickness_on_a_card_is_that_of_plan_json() -> None:
    document = plan_document(PLAN, GARDEN)
    cards = {card["name"]: card for card in book()["cards"]}
    seen = set()
    for layer in document["layers"]:
        card = cards[f"{layer['bed']} bed"]
        wanted = [lift["thickness_mm"] / 10 for lift in layer["lifts"]]
        if layer["bed"] not in seen:
            seen.add(layer["bed"])
            told = [thick for step in card["steps"] for thick in shown_thicknesses(step["rest"])]
            drawn = [float(label["depth"].split()[0]) for label in card["cut"]["labels"] if label["depth"]]
            assert told == wanted
            lying = [layer["lying_before_mm"] / 10] if layer["lying_before_mm"] else []
            assert sorted(drawn) == sorted(wanted + lying)
        else:
            visit = card["visits"][0]
            assert [thick for part in visit["parts"] for thick in shown_thicknesses(part["rest"])] == wanted
            assert visit["thickness"] == f"{layer['thickness_mm'] / 10:.1f} cm"


def test_the_cut_on_a_card_is_to_the_scale_it_states() -> None:
    for card, planned in zip(book()["cards"], (PLANNED[0], PLANNED[2], PLANNED[3]), strict=False):
        cut = card["cut"]
        ruler = {int(mark["name"]): mark["y"] for mark in cut["ruler"]}
        assert ruler[0] - ruler[5] == pytest.approx(5 * cut["mm_per_cm"])
        cover = planned.lying_before + sum(lift.thickness for lift in planned.layer.lifts)
        assert cut["height"] >= cover * 100 * cut["mm_per_cm"]
        assert cut["height"] < 70


def test_two_beds_have_two_cuts() -> None:
    cuts = [card["cut"]["svg"] for card in book()["cards"]]
    assert len(set(cuts)) == len(cuts)


def test_loads_of_a_day_are_added_up_over_beds() -> None:
    moved = replace(PLANNED[1], layer=replace(PLANNED[1].layer, day=PLANNED[0].layer.day))
    day = book(replace(PLAN, layers=(PLANNED[0], PLANNED[2], moved)))["days"][0]
    carry = {load["rest"]: load["amount"] for load in day["carry"]}
    assert carry["fresh grass clippings"] == "5 buckets"
    assert carry["wheat straw"] == "2½ barrows"
    assert carry["water, 58 L"] == "6½ cans"
    assert day["allow"] == "Three beds. Allow 75 minutes."


def test_steps_go_from_the_soil_up_and_water_comes_last() -> None:
    todo = steps(PLANNED[0], METRIC)
    assert [step["verb"] for step in todo] == ["Spread", "Cover with", "Pour"]
    assert [step["amount"].replace("\u00a0", " ") for step in todo] == ["3 buckets", "2 bags", "2 cans"]


def test_no_type_on_paper_is_smaller_than_fourteen_points() -> None:
    source = resources.files("mullbed.reports").joinpath("cards.typ").read_text(encoding="utf-8")
    sizes = [
        float(size)
        for size in re.findall(r"([\d.]+)pt\b(?=[,)\s])", re.sub(r"(stroke|offset|spacing|radius)[^,)]*", "", source))
    ]
    assert min(sizes) >= 14
    assert max(sizes) == 40


def test_the_pdf_is_whole_and_tagged() -> None:
    pdf = cards_pdf(PLAN, GARDEN, units=METRIC, made_on=FIRST)
    assert pdf.startswith(b"%PDF-") and pdf.rstrip().endswith(b"%%EOF")
    assert b"pdfuaid" in pdf or b"StructTreeRoot" in pdf


@pytest.mark.parametrize("garden", [GARDEN, US_GARDEN])
def test_no_card_runs_over_its_page(garden: Garden) -> None:
    pages = page_pictures(card_book(PLAN, garden, units=garden.site.units, made_on=FIRST, code=square_code), FIRST)
    assert len(pages) == 2 * len(GARDEN.beds) + 3


def test_a_long_name_and_many_lifts_still_fit() -> None:
    lifts = (*PLANNED[3].layer.lifts, *PLANNED[0].layer.lifts)
    name = "The long border by the old glasshouse wall"
    heavy = replace(PLANNED[3], layer=replace(PLANNED[3].layer, bed=name, lifts=lifts), lying_before=0.05)
    garden = replace(GARDEN, beds=(replace(GARDEN.beds[2], name=name),))
    made = card_book(
        replace(PLAN, layers=(heavy,), forecasts={}), garden, units=METRIC, made_on=FIRST, code=square_code
    )
    assert len(page_pictures(made, FIRST)) == 3


def test_words_of_the_grower_are_printed_and_never_run() -> None:
    name = '#panic("run") $x$ *bold* \\ "quoted"'
    garden = replace(GARDEN, beds=(replace(GARDEN.beds[3], name=name),))
    made = card_book(replace(PLAN, layers=(), forecasts={}), garden, units=METRIC, made_on=FIRST, code=square_code)
    assert len(page_pictures(made, FIRST)) == 2


def test_the_code_holds_bed_and_date_or_the_address_asked_for() -> None:
    card = card_book(PLAN, GARDEN, units=METRIC, made_on=FIRST)["cards"][0]
    assert card["address"] == "mullbed:Wall/2027-04-24"
    asked = card_book(PLAN, GARDEN, units=METRIC, made_on=FIRST, address="https://garden.test/{bed}/{date}")["cards"][0]
    assert asked["address"] == "https://garden.test/Wall/2027-04-24"
    assert "<svg" in square_code("mullbed:Wall/2027-04-24")


def test_the_pdf_is_the_same_each_time(tmp_path: Path) -> None:
    first = cards_pdf(PLAN, GARDEN, units=METRIC, made_on=FIRST)
    assert first == cards_pdf(PLAN, GARDEN, units=METRIC, made_on=FIRST)


def test_a_name_no_font_can_show_still_gives_cards() -> None:
    garden = replace(GARDEN, beds=(replace(GARDEN.beds[3], name="Beet \U0001f331\U00020000"),))
    assert cards_pdf(replace(PLAN, layers=(), forecasts={}), garden, units=METRIC, made_on=FIRST).startswith(b"%PDF-")
