"""The smallest set of limits that clash: all needed, none missing."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.unit.plan import invented as garden

from mullbed.errors import NoPlan
from mullbed.plan.choice_model import Choice, built
from mullbed.plan.choose import solved
from mullbed.plan.clash import FIX, Limit, clash, clash_sentences, keeping, limits_in, smallest_clash, without
from mullbed.plan.solve import Effort
from mullbed.plan.terms import DayLimits

EXACT = Effort(gap=0.0, nodes=2000)


def two_beds(**changes: object) -> Choice:
    problem = garden.terms((garden.bed("Low", **changes), garden.bed("Wall")))
    return built(problem, garden.offered(garden.terms((garden.bed("Low"), garden.bed("Wall")))))


def assert_smallest(choice: Choice, limits: tuple[Limit, ...]) -> None:
    """Known: all others lifted they still clash, and with any one of them lifted too they do not."""
    placed = limits_in(choice)
    others = [one for one in placed if one.limit not in limits]
    assert clash(without(choice.model, others), EXACT)
    for limit in limits:
        freed = [one for one in placed if one.limit not in limits or one.limit == limit]
        assert not clash(without(choice.model, freed), EXACT)


def test_what_fits_clashes_with_nothing() -> None:
    assert smallest_clash(two_beds()) == ()


def test_two_layers_kept_in_one_week_clash_with_each_other_and_the_spacing() -> None:
    choice = two_beds()
    offers = choice.offers[0]
    first, second = (int(i) for i in range(2) if offers.candidates[i].week == offers.candidates[0].week)
    found = smallest_clash(keeping(choice, {0: (first, second)}))
    fixes = {limit.layer for limit in found if limit.rule == FIX}
    assert fixes == {first, second}
    assert {limit.rule for limit in found} - {FIX} <= {"R1", "R2"}
    assert len(found) == 3
    assert_smallest(keeping(choice, {0: (first, second)}), found)


def test_a_kept_layer_past_the_nitrogen_ceiling_clashes_with_that_ceiling_only() -> None:
    choice = two_beds(nitrogen_ceiling=1.0, nitrogen_fed_ceiling=1e3)
    rich = max(range(len(choice.offers[0].candidates)), key=lambda i: choice.offers[0].candidates[i].nitrogen)
    fixed = keeping(choice, {0: (rich,), 1: (0,)})
    found = smallest_clash(fixed)
    assert set(found) == {Limit("R10", bed=0), Limit(FIX, bed=0, layer=rich)}
    assert_smallest(fixed, found)


def test_kept_layers_on_two_beds_clash_through_the_work_of_one_day() -> None:
    beds = (garden.bed("Low"), garden.bed("Wall"))
    offers = garden.offered(garden.terms(beds))
    work = offers[0].candidates[0].minutes
    choice = built(replace(garden.terms(beds), limits=DayLimits(minutes_per_day=1.5 * work)), offers)
    fixed = keeping(choice, {0: (0,), 1: (0,)})
    found = smallest_clash(fixed)
    week = offers[0].candidates[0].week
    assert set(found) == {Limit("R16", week=week), Limit(FIX, bed=0, layer=0), Limit(FIX, bed=1, layer=0)}
    assert_smallest(fixed, found)
    told = clash_sentences(fixed, found)
    assert f"work in a day in the week of {garden.FIRST.isoformat()} (R16)" in told
    assert any("on Wall that is to be kept" in line for line in told)


def test_planning_with_kept_layers_that_clash_is_refused_with_the_smallest_clash() -> None:
    beds = (garden.bed("Low"), garden.bed("Wall"))
    offers = garden.offered(garden.terms(beds))
    scarce = replace(garden.terms(beds), limits=DayLimits(minutes_per_day=1.5 * offers[0].candidates[0].minutes))
    with pytest.raises(NoPlan) as refused:
        solved(scarce, offers, kept={0: (0,), 1: (0,)})
    told = str(refused.value)
    assert "work in a day" in told and "(R16)" in told
    assert "on Low that is to be kept" in told and "on Wall that is to be kept" in told
    assert "R10" not in told and "R12" not in told
