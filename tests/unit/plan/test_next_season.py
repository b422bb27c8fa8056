"""A garden carried into its next season: what lies, keeps, stands and is owed goes with it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from mullbed.domain.doings import BedAccount
from mullbed.domain.garden import Garden
from mullbed.files.bundled_garden import bundled_garden
from mullbed.files.garden_file import read_garden
from mullbed.plan.next_season import a_year_later, next_season
from mullbed.plan.nutrient_account import CARRIED
from mullbed.reference.residues import all_residues

END = date(2027, 10, 20)


@pytest.fixture(scope="module")
def garden() -> Garden:
    return read_garden(bundled_garden())


def carried(garden: Garden, now: Garden | None = None, **more: object) -> Garden:
    accounts = more.pop("accounts", ())
    return next_season(garden, now or garden, accounts, END, all_residues(), **more)  # type: ignore[arg-type]


def test_the_season_keeps_its_days_of_the_year(garden: Garden) -> None:
    coming = carried(garden)
    assert (coming.first_day, coming.last_day) == (date(2028, 3, 15), date(2028, 10, 31))
    assert coming.site.weeks_away == ((date(2028, 8, 9), date(2028, 8, 22)),)
    assert a_year_later(date(2028, 2, 29)) == date(2029, 2, 28)
    assert coming.containers == garden.containers


def test_layers_of_two_years_are_carried_and_older_ones_are_soil(garden: Garden) -> None:
    plum = garden.bed("Plum Bed")
    assert plum is not None
    old = replace(plum.layers[0], day=date(2026, 3, 1))
    now = replace(garden, beds=(replace(plum, layers=(old, *plum.layers)),))
    assert carried(garden, now).beds[0].layers == plum.layers


def test_cover_that_was_carried_off_is_not_carried_over(garden: Garden) -> None:
    plum = garden.bed("Plum Bed")
    assert plum is not None
    (layer,) = plum.layers
    half = replace(garden, beds=(replace(plum, taken_off=((date(2027, 5, 1), 0.5),)),))
    (left,) = carried(garden, half).beds[0].layers
    assert left.dry_matter == pytest.approx(layer.dry_matter / 2.0)
    assert left.lifts[0].count == layer.lifts[0].count / 2.0
    none = replace(garden, beds=(replace(plum, taken_off=((date(2027, 5, 1), 1.0),)),))
    assert carried(garden, none).beds[0].layers == ()
    before = replace(garden, beds=(replace(plum, taken_off=((date(2026, 5, 1), 1.0),)),))
    assert carried(garden, before).beds[0].layers == plum.layers


def test_only_crops_that_stand_on_are_carried_unless_the_same_are_grown_again(garden: Garden) -> None:
    standing = {crop.crop for bed in carried(garden).beds for crop in bed.crops}
    assert standing == {"kale", "leek", "strawberry_fruiting_year_spring_dose"}  # known: those picked after 20 October
    again = carried(garden, same_crops=True).bed("South Tunnel")
    assert again is not None
    assert [(crop.crop, crop.planted) for crop in again.crops] == [
        ("tomato", date(2028, 5, 5)),
        ("basil", date(2028, 5, 20)),
    ]


def test_stocks_that_keep_go_along_and_what_comes_again_comes_a_year_later(garden: Garden) -> None:
    names = {one.name: one for one in carried(garden).supplies}
    assert names["leaf stack"].first_day == garden.first_day
    assert names["our lawn"].first_day == date(2028, 4, 5)
    assert names["our lawn"].last_day == date(2028, 10, 20)
    clippings = replace(garden.supplies[0], every_days=None, last_day=None, first_day=END, name="last cut")
    now = replace(garden, supplies=(clippings,))
    assert "last cut" not in {one.name for one in carried(garden, now).supplies}


def test_phosphorus_left_over_counts_against_the_next_year_and_a_debt_does_not(garden: Garden) -> None:
    accounts = (BedAccount("Gate Bed", 5.0, 2.0, 0.0, 0.0), BedAccount("Wren Bed", 1.0, 2.0, 0.0, 0.0))
    gate, wren = carried(garden, accounts=accounts).beds[:2]
    assert [(one.name, one.day, one.phosphorus, one.nitrogen) for one in gate.inputs] == [
        (CARRIED, date(2028, 3, 15), 3.0, 0.0)
    ]
    assert wren.inputs == ()


def test_mineral_nitrogen_is_carried_only_while_it_is_true(garden: Garden) -> None:
    assert garden.bed("Garlic Bed").soil.mineral_nitrogen == 3.0  # type: ignore[union-attr]
    stale = carried(garden, tested={"Garlic Bed": date(2027, 9, 1)}).bed("Garlic Bed")
    fresh = carried(garden, tested={"Garlic Bed": date(2028, 2, 1)}).bed("Garlic Bed")
    assert stale is not None and fresh is not None
    assert (stale.soil.mineral_nitrogen, fresh.soil.mineral_nitrogen) == (None, 3.0)
