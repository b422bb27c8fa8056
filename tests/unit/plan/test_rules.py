"""Each numbered rule of the planner with a case that breaks when the rule is left out."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pytest
from tests.unit.plan import invented as garden

from mullbed.domain.safety import HarvestWait
from mullbed.plan.candidates import Candidate
from mullbed.plan.choice_model import highest_fifth
from mullbed.plan.choose import solved
from mullbed.plan.ledger import chosen_ledger, drawn, taken_from
from mullbed.plan.offers import BedOffers
from mullbed.plan.ready_made import ready_made
from mullbed.plan.solve import Effort
from mullbed.plan.terms import Arrival, DayLimits, Growing, PlanTerms, Stock, Weights

EXACT = Effort(gap=1e-4, nodes=5000)
HUNGRY = np.full(12, 3.0)


def plan(problem: PlanTerms, without: tuple[str, ...] = ()) -> tuple[tuple[BedOffers, ...], list[list[Candidate]]]:
    """Solve with some rules left out; return offers and the layers laid by bed."""
    offers = garden.offered(problem, without)
    chosen, _ = solved(problem, offers, EXACT, without=frozenset(without))
    return offers, [[offer.candidates[i] for i in of_bed] for offer, of_bed in zip(offers, chosen, strict=True)]


def hungry(**changes: object) -> PlanTerms:
    """One bed that always wants more than it can get."""
    fields: dict[str, object] = {
        "want": HUNGRY,
        "nitrogen_fed_ceiling": 1e3,
        "nitrogen_ceiling": 1e3,
        "phosphorus_ceiling": 1e3,
    }
    return garden.terms((garden.bed(**{**fields, **changes}),))


def days_between(layers: list[Candidate]) -> int:
    days = sorted(layer.day for layer in layers)
    return min((b - a).days for a, b in pairwise(days))


def test_r1_lays_at_most_one_layer_a_week() -> None:
    once = (Arrival(garden.FIRST + timedelta(days=16), 4.0),)
    softs = tuple(garden.clippings(name=name, arrivals=once, shelf_life_days=1.0) for name in ("lawn", "verge"))
    problem = replace(hungry(), stocks=(*softs, garden.leaves()), limits=DayLimits(days_between_layers=0))

    def in_that_week(without: tuple[str, ...]) -> int:
        return sum(layer.week == 2 for layer in plan(problem, without)[1][0])

    assert in_that_week(()) == 1
    assert in_that_week(("R1",)) == 2


def test_r2_keeps_layers_apart() -> None:
    problem = hungry()
    assert days_between(plan(problem)[1][0]) >= 21
    assert days_between(plan(problem, ("R2",))[1][0]) < 21


def test_r2_counts_a_layer_that_lies_already() -> None:
    problem = hungry(last_laid=garden.FIRST + timedelta(days=3))
    first = min(layer.day for layer in plan(problem)[1][0])
    assert (first - garden.FIRST).days >= 3 + 21


def test_r3_takes_no_more_than_there_is() -> None:
    problem = replace(hungry(), stocks=(garden.clippings(4), garden.leaves(6)))

    def missing(without: tuple[str, ...]) -> float:
        offers = garden.offered(problem, without)
        chosen, _ = solved(problem, offers, EXACT, without=frozenset(without))
        taken = taken_from(offers, chosen, problem)
        return sum(drawn(number, taken[number], problem)[1] for number in range(len(problem.stocks)))

    assert missing(()) == 0.0
    assert missing(("R3",)) > 0.0


def test_r3_takes_nothing_before_it_exists() -> None:
    late = garden.clippings(arrivals=(Arrival(garden.FIRST + timedelta(days=35), 10.0),))
    laid = plan(replace(hungry(), stocks=(late, garden.leaves())))[1][0]
    fresh = [layer.day for layer in laid if layer.soft is not None]
    assert fresh and min(fresh) >= garden.FIRST + timedelta(days=35)


@pytest.mark.parametrize(("days", "usable"), [(0, True), (6, True), (7, False)])
def test_r4_lays_nothing_past_its_shelf_life(days: int, usable: bool) -> None:
    stock = garden.clippings(shelf_life_days=6.0)
    assert stock.usable_on(stock.arrivals[0], garden.FIRST + timedelta(days=days)) is usable


def test_r4_soft_fresh_matter_is_laid_the_day_it_comes() -> None:
    wednesday = garden.FIRST + timedelta(days=16)
    soon = garden.clippings(arrivals=(Arrival(wednesday, 10.0),), shelf_life_days=1.0)
    laid = plan(replace(hungry(), stocks=(soon, garden.leaves())))[1][0]
    assert [layer.day for layer in laid if layer.soft is not None] == [wednesday]


def test_r5_lays_nothing_that_is_held() -> None:
    until = garden.FIRST + timedelta(days=40)
    held = garden.clippings(held=True, held_until=until)
    fresh = [c.day for c in plan(replace(hungry(), stocks=(held, garden.leaves())))[1][0] if c.soft is not None]
    assert fresh and min(fresh) >= until
    never = garden.clippings(held=True)
    assert all(c.soft is None for c in plan(replace(hungry(), stocks=(never, garden.leaves())))[1][0])


def test_r6_keeps_the_cover_under_its_thickest() -> None:
    problem = replace(hungry(), limits=DayLimits(thickest_cover=0.012), weights=Weights(bare=5.0))

    def thickest(without: tuple[str, ...]) -> float:
        offers = garden.offered(problem, without)
        chosen, _ = solved(problem, offers, EXACT, without=frozenset(without))
        heights = offers[0].thickness[list(chosen[0])].sum(axis=0)
        return max(float(heights[offers[0].candidates[i].week]) for i in chosen[0])

    assert thickest(()) <= 0.012 + 1e-9
    assert thickest(("R6",)) > 0.012


def single(rule: str, problem: PlanTerms) -> tuple[list[Candidate], list[Candidate]]:
    """Return the candidates with and without one rule of single layers."""
    return list(ready_made(problem)[0][0]), list(ready_made(problem, (rule,))[0][0])


def test_r7_keeps_soft_fresh_lifts_thin() -> None:
    flat = garden.clippings(unit=replace(garden.clippings().unit, thickness=0.084))
    problem = replace(hungry(), stocks=(flat, garden.leaves()), limits=DayLimits(thickest_soft_fresh=0.02))

    def height(layer: Candidate) -> float:
        return 0.0 if layer.soft is None else flat.unit.thickness * layer.soft.count / 4.0

    kept, free = single("R7", problem)
    assert max(map(height, kept)) <= 0.02 + 1e-9
    assert max(map(height, free)) > 0.02


def moisture(layer: Candidate, stocks: tuple[Stock, ...]) -> float:
    water = 1000.0 * layer.water + layer.dry_load * 180.0 / 1000.0
    if layer.soft is not None:
        water += layer.soft_load * 1600.0 / 400.0
    return water / (water + layer.soft_load + layer.dry_load)


def test_r8_keeps_moisture_as_laid_within_its_window() -> None:
    problem = hungry()
    found = [moisture(layer, problem.stocks) for layer in ready_made(problem)[0][0]]
    assert min(found) >= 0.50 - 1e-9
    assert max(found) <= 0.65 + 1e-9


def test_r8_refuses_what_is_too_wet_to_be_mended() -> None:
    soaked = garden.leaves(unit=replace(garden.leaves().unit, free_water=2.5))
    problem = replace(hungry(), stocks=(garden.clippings(), soaked))
    assert all(layer.soft is None for layer in ready_made(problem)[0][0])
    assert ready_made(problem)[1].by_bed["Low"]["R8"] > 0


def test_r9_caps_soft_fresh_matter() -> None:
    problem = replace(hungry(), limits=DayLimits(thinnest_cap=0.03))

    kept, free = single("R9", replace(problem, beds=(replace(problem.beds[0], area=9.0),)))
    assert all(0.022 * (c.dry.count - c.base_count) / 9.0 >= 0.03 - 1e-9 for c in kept if c.soft is not None)
    assert any(layer.soft is not None for layer in free)


def test_r10_keeps_nitrogen_laid_under_its_ceiling() -> None:
    problem = hungry(nitrogen_ceiling=15.0)
    assert sum(layer.nitrogen for layer in plan(problem)[1][0]) <= 15.0
    assert sum(layer.nitrogen for layer in plan(problem, ("R10",))[1][0]) > 15.0


def fed_high(problem: PlanTerms, without: tuple[str, ...]) -> float:
    offers = garden.offered(problem, without)
    chosen, _ = solved(problem, offers, EXACT, without=frozenset(without))
    totals = problem.beds[0].soil_given.sum(axis=1) + offers[0].given_by_member[list(chosen[0])].sum(axis=0)
    return float(totals[highest_fifth(totals)].mean())


def test_r11_keeps_nitrogen_fed_under_its_ceiling_in_the_highest_fifth() -> None:
    problem = hungry(nitrogen_fed_ceiling=8.0)
    assert fed_high(problem, ()) <= 8.0 * 1.08 + 1e-6
    assert fed_high(problem, ("R11",)) > 8.0 * 1.08


def test_r12_keeps_phosphorus_under_its_ceiling() -> None:
    problem = hungry(phosphorus_ceiling=2.0)
    assert sum(layer.phosphorus for layer in plan(problem)[1][0]) <= 2.0
    assert sum(layer.phosphorus for layer in plan(problem, ("R12",))[1][0]) > 2.0


def test_r12_lays_nothing_bought_in_on_soil_very_rich_in_phosphorus() -> None:
    bought = garden.clippings(bought_in=True)
    problem = replace(hungry(own_only=True), stocks=(bought, garden.leaves()))
    kept, free = single("R12", problem)
    assert all(layer.soft is None for layer in kept)
    assert any(layer.soft is not None for layer in free)


@pytest.mark.parametrize(("fine", "wait"), [(False, 21), (True, 35)])
def test_r13_waits_before_direct_sowing(fine: bool, wait: int) -> None:
    sown = garden.FIRST + timedelta(days=50)
    crop = Growing("carrot", sown, sown + timedelta(days=90), 0.3, True, fine)
    limits = DayLimits(days_before_direct_sowing=21, days_before_fine_seed=35)
    kept, free = single("R13", replace(hungry(growing=(crop,)), limits=limits))
    assert all((sown - c.day).days >= wait for c in kept if c.soft is not None and c.day <= sown)
    assert any((sown - c.day).days < wait for c in free if c.soft is not None and c.day <= sown)


def test_r14_lays_nothing_over_seedlings() -> None:
    sown = garden.FIRST + timedelta(days=20)
    crop = Growing("carrot", sown, sown + timedelta(days=90), 1.0, True)
    kept, free = single("R14", hungry(growing=(crop,)))
    assert not any(0 <= (layer.day - sown).days < 28 for layer in kept)
    assert any(0 <= (layer.day - sown).days < 28 for layer in free)


def test_r15_waits_before_harvest() -> None:
    harvest = garden.FIRST + timedelta(days=60)
    crop = Growing("lettuce", garden.FIRST, harvest, 1.0, False)
    manure = garden.clippings(harvest_wait=HarvestWait("raw_manure_wait", 40, 30, frozenset({"sweet_corn"})))
    kept, free = single("R15", replace(hungry(growing=(crop,)), stocks=(manure, garden.leaves())))
    assert not any(0 <= (harvest - c.day).days < 40 for c in kept if c.soft is not None)
    assert any(0 <= (harvest - c.day).days < 40 for c in free if c.soft is not None)


def three_beds(limits: DayLimits) -> PlanTerms:
    beds = tuple(
        garden.bed(name, want=HUNGRY, nitrogen_fed_ceiling=1e3, nitrogen_ceiling=1e3, phosphorus_ceiling=1e3)
        for name in ("Low", "Wall", "Pear")
    )
    return replace(garden.terms(beds), limits=limits)


def most_on_a_day(problem: PlanTerms, amount: str, without: tuple[str, ...]) -> float:
    sums: dict[date, float] = {}
    for of_bed in plan(problem, without)[1]:
        for layer in of_bed:
            sums[layer.day] = sums.get(layer.day, 0.0) + float(getattr(layer, amount))
    return max(sums.values())


def test_r16_keeps_the_work_of_a_day_within_its_minutes() -> None:
    problem = three_beds(DayLimits(minutes_per_day=40.0))
    assert most_on_a_day(problem, "minutes", ()) <= 40.0 + 1e-6
    assert most_on_a_day(problem, "minutes", ("R16",)) > 40.0


def test_r17_keeps_the_water_of_a_day_within_its_litres() -> None:
    problem = three_beds(DayLimits(litres_per_day=4.0))
    assert most_on_a_day(problem, "litres", ()) <= 4.0 + 1e-6
    assert most_on_a_day(problem, "litres", ("R17", "R16")) > 4.0


def test_r18_lays_nothing_while_nobody_is_there() -> None:
    away = (garden.FIRST + timedelta(days=14), garden.FIRST + timedelta(days=34))
    problem = replace(hungry(), weeks=garden.terms(away=(away,)).weeks)
    assert not any(away[0] <= layer.day <= away[1] for layer in ready_made(problem)[0][0])
    assert any(away[0] <= layer.day <= away[1] for layer in ready_made(hungry())[0][0])


def test_r19_covers_bare_soil() -> None:
    idle = garden.terms((garden.bed(want=np.zeros(12), nitrogen_fed_ceiling=1e3),))
    assert plan(idle)[1][0]
    assert not plan(idle, ("R19",))[1][0]


def test_r20_feeds_when_the_crop_wants() -> None:
    problem = garden.terms(weights=Weights(bare=0.0, spoilt=0.0))
    offers = garden.offered(problem)
    chosen, _ = solved(problem, offers, EXACT)
    with_layers = chosen_ledger(problem.beds[0], offers[0], chosen[0], problem).short.sum()
    assert with_layers < 0.5 * chosen_ledger(problem.beds[0], offers[0], (), problem).short.sum()
    assert not plan(problem, ("R20",))[1][0]


def test_r21_keeps_a_reserve_of_browns_until_the_end_of_summer() -> None:
    def used(without: tuple[str, ...]) -> float:
        limits = DayLimits(reserve_until=date(2027, 8, 31), reserve_share=0.25, minutes_per_visit=0.0)
        problem = replace(hungry(), stocks=(garden.clippings(), garden.leaves(8.0)), limits=limits)
        return sum(layer.dry.count for layer in plan(problem, without)[1][0])

    assert used(()) <= 6.0 < used(("R21",))
