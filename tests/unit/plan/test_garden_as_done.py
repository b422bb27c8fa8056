"""The garden as it stands: layers laid, supplies used, crops sown and picked, containers weighed, soil tested."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from mullbed.domain.bed import DatedInput, PhosphorusStatus
from mullbed.domain.doings import CameIn, Doings, Picked, Poured, SoilTested, Sown, TakenOff, Weighed
from mullbed.domain.filling import fill
from mullbed.domain.garden import Garden
from mullbed.domain.layer import Layer, Lift
from mullbed.domain.spread import Evidence
from mullbed.domain.supply import Supply
from mullbed.files.bundled_garden import bundled_garden
from mullbed.files.garden_file import read_garden
from mullbed.plan.garden_as_done import garden_as_done
from mullbed.plan.nutrient_account import bed_account
from mullbed.reference.containers import find_container
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues
from mullbed.simulate.bed_case import bed_case
from mullbed.simulate.case import DigIn, Pour, RakeOff
from mullbed.weather.generator import generated_seasons

TODAY = date(2027, 5, 20)


@pytest.fixture(scope="module")
def garden() -> Garden:
    return read_garden(bundled_garden())


def done(garden: Garden, doings: Doings, today: date = TODAY, *, from_today: bool = True) -> Garden:
    return garden_as_done(
        garden,
        doings,
        today,
        crops=all_crops(),
        residues=all_residues(),
        container=find_container,
        from_today=from_today,
    )


def lifted(garden: Garden, residue: str, container: str, count: float, bed: str = "Gate Bed") -> Lift:
    own = {one.name: one for one in garden.containers}
    here = garden.bed(bed)
    assert here is not None
    return fill(all_residues()[residue], own.get(container) or find_container(container), count, here.area)


def in_hand(garden: Garden, name: str) -> list[Supply]:
    return [one for one in garden.supplies if one.name == name]


def test_nothing_done_before_the_season_leaves_the_garden_as_written(garden: Garden) -> None:
    assert done(garden, Doings(), garden.first_day - timedelta(days=30)) == garden


def test_a_season_under_way_is_planned_from_today(garden: Garden) -> None:
    assert done(garden, Doings()).first_day == TODAY
    assert done(garden, Doings(), from_today=False).first_day == garden.first_day
    assert done(garden, Doings(), garden.last_day + timedelta(days=3)).first_day == garden.first_day


def test_a_layer_laid_lies_on_its_bed_and_is_gone_from_the_heap(garden: Garden) -> None:
    layer = Layer("Gate Bed", TODAY - timedelta(days=3), (lifted(garden, "leaf_municipal", "leaf sack", 5.0),), 2.0)
    now = done(garden, Doings(layers=(layer,)))
    bed = now.bed("Gate Bed")
    assert bed is not None
    assert bed.layers[-1] == layer
    (stack,) = in_hand(now, "leaf stack")
    assert stack.count == pytest.approx(55.0)  # known: 60 sacks less 5


def test_a_lift_counted_in_another_container_is_taken_by_volume(garden: Garden) -> None:
    layer = Layer("Gate Bed", TODAY, (lifted(garden, "leaf_municipal", "big barrow", 10.0),), 0.0)
    (stack,) = in_hand(done(garden, Doings(layers=(layer,))), "leaf stack")
    assert stack.count == pytest.approx(60.0 - 10.0 * 90.0 / 100.0)  # known: barrows of 90 L, sacks of 100 L


def test_what_comes_again_is_expected_from_its_next_day_and_old_clippings_are_gone(garden: Garden) -> None:
    now = done(garden, Doings())
    lawn = in_hand(now, "our lawn")
    coming = [one for one in lawn if one.every_days is not None]
    assert [one.first_day for one in coming] == [date(2027, 5, 25)]  # known: 5 April and every 10 days
    shelf = all_residues()["grass_clip"].shelf_life_days
    assert shelf is not None
    assert all((TODAY - one.first_day).days <= shelf for one in lawn if one.every_days is None)


def test_what_was_laid_is_drawn_from_the_oldest_that_still_kept(garden: Garden) -> None:
    two = replace(
        garden,
        supplies=(
            Supply("straw_wheat", "bale", 2.0, date(2027, 4, 1), name="old"),
            Supply("straw_wheat", "bale", 2.0, date(2027, 5, 1), name="new"),
            Supply("straw_wheat", "bale", 2.0, date(2027, 6, 1), name="to come"),
        ),
    )
    layer = Layer("Gate Bed", TODAY, (lifted(garden, "straw_wheat", "bale", 3.0),), 0.0)
    now = done(two, Doings(layers=(layer,)))
    assert [(one.name, one.count) for one in now.supplies] == [("new", 1.0), ("to come", 2.0)]


def test_laying_more_than_was_counted_leaves_nothing_and_is_no_fault(garden: Garden) -> None:
    layer = Layer("Gate Bed", TODAY, (lifted(garden, "leaf_municipal", "leaf sack", 70.0, "Long Potato"),), 0.0)
    assert in_hand(done(garden, Doings(layers=(layer,))), "leaf stack") == []


def test_a_batch_that_came_in_stands_for_the_arrival_it_was_expected_as(garden: Garden) -> None:
    came = Supply("grass_clip", "green bucket", 7.0, TODAY, name="our lawn", shelf_life_days=3.0)
    beyond = done(garden, Doings(came_in=(CameIn(TODAY, came),)))
    instead = done(garden, Doings(came_in=(CameIn(TODAY, came, "our lawn"),)))
    assert sum(one.count for one in in_hand(beyond, "our lawn") if one.first_day == TODAY) == 7.0
    coming = [one.first_day for one in in_hand(instead, "our lawn") if one.every_days is not None]
    assert coming in ([date(2027, 5, 25)], [date(2027, 6, 4)])
    total = {name: len(in_hand(one, "our lawn")) for name, one in (("beyond", beyond), ("instead", instead))}
    assert total["instead"] <= total["beyond"]


def test_a_held_batch_stays_held(garden: Garden) -> None:
    hay = Supply(
        "hay_grass", "bale", 2.0, TODAY, held_because="sprayed?", held_until=date(2027, 6, 10), name="lane hay"
    )
    (found,) = in_hand(done(garden, Doings(came_in=(CameIn(TODAY, hay),))), "lane hay")
    assert (found.held_because, found.held_until) == ("sprayed?", date(2027, 6, 10))


def test_crops_take_the_days_they_were_really_sown_and_picked(garden: Garden) -> None:
    doings = Doings(
        sown=(Sown("Gate Bed", date(2027, 3, 28), "spinach_leaf"), Sown("Gate Bed", date(2027, 5, 15), "radish", 0.2)),
        picked=(Picked("Gate Bed", date(2027, 5, 12), "spinach_leaf", 4.0),),
    )
    bed = done(garden, doings).bed("Gate Bed")
    assert bed is not None
    spinach, bean, radish = bed.crops
    assert (spinach.planted, spinach.harvested) == (date(2027, 3, 28), date(2027, 5, 12))
    assert (radish.crop, radish.share) == ("radish", 0.2)
    assert bean == garden.beds[0].crops[1]


def test_a_crop_that_still_bears_stands_past_its_planned_end(garden: Garden) -> None:
    picked = Picked("Gate Bed", date(2027, 5, 20), "spinach_leaf", 1.0, last=False)
    bed = done(garden, Doings(picked=(picked,))).bed("Gate Bed")
    assert bed is not None
    assert bed.crops[0].harvested == date(2027, 5, 27)


def test_weighings_and_soil_tests_replace_guesses(garden: Garden) -> None:
    doings = Doings(
        weighed=(
            Weighed(TODAY, "leaf sack", "leaf_municipal", 7.0),
            Weighed(TODAY, "leaf sack", "leaf_municipal", 8.0),
            Weighed(TODAY, "bale", "straw_wheat", 14.0),
        ),
        soil_tests=(SoilTested("Gate Bed", TODAY, 0.05, 3.0, PhosphorusStatus.HIGH),),
    )
    now = done(garden, doings)
    own = {one.name: dict(one.weighed) for one in now.containers}
    assert own["leaf sack"]["leaf_municipal"] == 7.5
    assert own["bale"]["straw_wheat"] == 14.0
    bed = now.bed("Gate Bed")
    assert bed is not None
    assert (bed.soil.organic_matter.mid, bed.soil.organic_matter.evidence) == (0.05, Evidence.MEASURED)
    assert (bed.soil.mineral_nitrogen, bed.soil.phosphorus_status) == (3.0, PhosphorusStatus.HIGH)


def test_what_comes_after_today_is_left_out(garden: Garden) -> None:
    layer = Layer("Gate Bed", TODAY + timedelta(days=1), (lifted(garden, "leaf_municipal", "leaf sack", 5.0),), 2.0)
    assert done(garden, Doings(layers=(layer,))) == done(garden, Doings())


def test_water_written_down_reaches_the_engine_in_place_of_the_usual(garden: Garden) -> None:
    poured = (Poured("Gate Bed", date(2027, 4, 20), 6.0), Poured("Gate Bed", date(2027, 4, 30), 8.0))
    now = done(garden, Doings(poured=poured))
    monthly = (8.0,) * 12, (18.0,) * 12, (50.0,) * 12
    first, last = date(2027, 3, 15), date(2027, 6, 30)
    weather = generated_seasons(*monthly, first, last, 47.6, np.random.default_rng(1))
    bed = now.bed("Gate Bed")
    assert bed is not None
    pours = {
        event.day: event.water
        for event in bed_case(bed, weather, all_crops(), all_residues()).events
        if isinstance(event, Pour)
    }
    start, end = (date(2027, 4, 20) - first).days, (date(2027, 4, 30) - first).days
    assert {day: depth for day, depth in pours.items() if start <= day <= end} == {start: 6.0, end: 8.0}
    assert any(day > end for day in pours)


def test_cover_carried_off_leaves_the_engine_and_cover_drawn_aside_stays(garden: Garden) -> None:
    taken = (TakenOff("Gate Bed", date(2027, 4, 1), 0.5), TakenOff("Gate Bed", date(2027, 4, 20)))
    bed = done(garden, Doings(taken_off=taken)).bed("Gate Bed")
    assert bed is not None
    monthly = (8.0,) * 12, (18.0,) * 12, (50.0,) * 12
    weather = generated_seasons(*monthly, date(2027, 3, 15), date(2027, 6, 30), 47.6, np.random.default_rng(1))
    raked = [one for one in bed_case(bed, weather, all_crops(), all_residues()).events if isinstance(one, RakeOff)]
    assert raked == [RakeOff(17, 0.5)]  # known: 15 March to 1 April


def test_what_was_fed_or_dug_in_reaches_the_engine(garden: Garden) -> None:
    given = DatedInput(date(2027, 4, 1), "horn meal", 6.0, 0.1, 0.0)
    doings = Doings(fed=(("Gate Bed", given),), dug_in=(("Gate Bed", date(2027, 4, 2), 0.1),))
    bed = done(garden, doings).bed("Gate Bed")
    assert bed is not None
    assert bed.inputs == (given,)
    monthly = (8.0,) * 12, (18.0,) * 12, (50.0,) * 12
    weather = generated_seasons(*monthly, date(2027, 3, 15), date(2027, 6, 30), 47.6, np.random.default_rng(1))
    events = bed_case(bed, weather, all_crops(), all_residues()).events
    assert [one for one in events if isinstance(one, DigIn)] == [DigIn(18, 0.1)]  # known: 15 March to 2 April


def test_the_account_is_what_was_laid_less_what_was_picked(garden: Garden) -> None:
    lift = lifted(garden, "leaf_municipal", "leaf sack", 5.0)
    layer = Layer("Gate Bed", TODAY, (lift,), 0.0)
    picked = (Picked("Gate Bed", TODAY, "spinach_leaf", 7.2),)
    now = done(garden, Doings(layers=(layer,), picked=picked), from_today=False)
    bed = now.bed("Gate Bed")
    assert bed is not None
    crop, leaf = all_crops()["spinach_leaf"], all_residues()["leaf_municipal"]
    account = bed_account(bed, (garden.first_day, TODAY), picked, all_crops(), all_residues())
    assert account.phosphorus_laid == pytest.approx(lift.dry_matter * leaf.phosphorus.mid)
    removed = crop.phosphorus_removed.mid * (7.2 / bed.area) / crop.yield_goal.mid
    assert account.phosphorus_removed == pytest.approx(removed)
    assert account.phosphorus == pytest.approx(account.phosphorus_laid - removed)
    again = bed_account(bed, (garden.first_day, TODAY), picked, all_crops(), all_residues(), account)
    assert again.phosphorus == pytest.approx(2.0 * account.phosphorus)
    whole = bed_account(bed, (garden.first_day, garden.last_day), (), all_crops(), all_residues())
    assert whole.phosphorus_removed > removed
