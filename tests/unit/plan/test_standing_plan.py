"""The plan so far, looked at again: wishes are kept, a layer is changed only where that is worth something."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from tests.unit.plan import invented as garden

from mullbed.domain.layer import Layer
from mullbed.domain.wishes import Keep, NotOn, Wishes
from mullbed.errors import InputFault, NoPlan
from mullbed.plan.candidates import Candidate, layer_of
from mullbed.plan.choose import solved
from mullbed.plan.ledger import whole_cost
from mullbed.plan.offers import BedOffers
from mullbed.plan.ready_made import ready_made
from mullbed.plan.solve import Effort
from mullbed.plan.standing_plan import StandingPlan, as_candidate, standing_candidates, with_wishes
from mullbed.plan.terms import PlanTerms, Weights

SURE = Effort(gap=0.0)


def problem(**weights: float) -> PlanTerms:
    beds = (garden.bed("Low"), garden.bed("High", area=6.0))
    return garden.terms(beds, weights=Weights(**weights))


def planned(
    terms: PlanTerms, standing: StandingPlan | None = None, without: frozenset[str] = frozenset()
) -> tuple[tuple[BedOffers, ...], list[list[Candidate]]]:
    again = standing or StandingPlan()
    wished = with_wishes(terms, again.wishes)
    found = ready_made(wished, without, standing_candidates(wished, again))[0]
    offers = garden.offers_for(wished, found)
    chosen, _ = solved(wished, offers, SURE, without=without & {"R26"})
    laid = [[offer.candidates[place] for place in places] for offer, places in zip(offers, chosen, strict=True)]
    return offers, laid


def layers(terms: PlanTerms, laid: list[list[Candidate]]) -> tuple[Layer, ...]:
    return tuple(layer_of(one, terms) for of_bed in laid for one in of_bed)


def named(laid: list[list[Candidate]]) -> set[tuple[int, object, object, object]]:
    return {(one.bed, one.day, one.soft, one.dry) for of_bed in laid for one in of_bed}


def test_a_planned_layer_is_found_again_as_the_candidate_it_was() -> None:
    terms = problem()
    offers, laid = planned(terms)
    assert any(laid)
    for one in (one for of_bed in laid for one in of_bed):
        assert as_candidate(one.bed, layer_of(one, terms), terms) == one
    for offer in offers:
        for one in offer.candidates[::7]:
            assert as_candidate(one.bed, layer_of(one, terms), terms) == one


def test_r25_leaves_a_bed_alone_on_the_days_wished() -> None:
    terms = problem()
    _, free = planned(terms)
    day = free[0][0].day
    wishes = Wishes(not_on=(NotOn("low", day - timedelta(days=3), day + timedelta(days=10)),))
    _, kept = planned(terms, StandingPlan(wishes=wishes))
    assert not any(day - timedelta(days=3) <= one.day <= day + timedelta(days=10) for one in kept[0])
    _, without = planned(terms, StandingPlan(wishes=wishes), frozenset({"R25"}))
    assert any(day - timedelta(days=3) <= one.day <= day + timedelta(days=10) for one in without[0])


def unloved(terms: PlanTerms) -> Candidate:
    """A layer the plan would not lay."""
    offers, laid = planned(terms)
    return next(one for one in offers[0].candidates if one.soft is not None and one.week == 1 and one not in laid[0])


def test_r26_lays_what_is_to_be_kept_though_it_costs_more() -> None:
    terms = problem(changed=0.0)
    old = unloved(terms)
    standing = StandingPlan((layer_of(old, terms),), Wishes(keep=(Keep("Low", old.day),)))
    offers, laid = planned(terms, standing)
    assert (0, old.day, old.soft, old.dry) in named(laid)
    _, without = planned(terms, standing, frozenset({"R26"}))
    assert (0, old.day, old.soft, old.dry) not in named(without)
    chosen, _ = solved(terms, offers, SURE)
    whole, _ = solved(terms, offers, SURE, without=frozenset({"R16"}))  # one model of all beds, which has no R16 here
    assert whole_cost(terms, offers, chosen) == pytest.approx(whole_cost(terms, offers, whole), abs=1e-4)


def test_a_layer_is_not_changed_for_next_to_nothing() -> None:
    """Known: a plan a hair dearer than the best stays, unless changing costs nothing."""
    terms = problem(changed=0.0)
    _, best = planned(terms)
    one = best[0][0]
    other = replace(one, dry=replace(one.dry, count=one.dry.count + 1))
    old = as_candidate(0, layer_of(other, terms), terms)
    assert old is not None
    standing = StandingPlan((layer_of(old, terms),))
    _, moved = planned(terms, standing)
    _, stays = planned(problem(changed=5.0), standing)
    assert (0, old.day, old.soft, old.dry) not in named(moved)
    assert (0, old.day, old.soft, old.dry) in named(stays)


def test_what_is_to_be_used_first_is_used_first() -> None:
    stocks = (garden.clippings(), garden.leaves(), garden.leaves(name="old leaves"))
    terms = garden.terms((garden.bed(),), stocks)
    _, laid = planned(terms, StandingPlan(wishes=Wishes(first=("old leaves",))))
    assert laid[0]
    assert {one.dry.stock for one in laid[0]} == {2}
    _, other = planned(terms, StandingPlan(wishes=Wishes(first=("leaves",))))
    assert {one.dry.stock for one in other[0]} == {1}


def test_wishes_that_cannot_be_are_refused_all_at_once() -> None:
    terms = problem()
    with pytest.raises(InputFault) as refused:
        with_wishes(terms, Wishes(not_on=(NotOn("Nowhere", garden.FIRST, garden.FIRST),), first=("gold",)))
    assert {fault.place for fault in refused.value.faults} == {"--not-on", "--first"}
    with pytest.raises(InputFault) as refused:
        standing_candidates(terms, StandingPlan(wishes=Wishes(keep=(Keep("Low", garden.FIRST),))))
    assert refused.value.faults[0].place == "--keep"


def test_a_layer_to_be_kept_that_a_rule_forbids_is_told() -> None:
    terms = problem()
    old = unloved(terms)
    empty = replace(terms, stocks=(garden.clippings(0.0), garden.leaves()))
    standing = StandingPlan((layer_of(old, terms),), Wishes(keep=(Keep("Low", old.day),)))
    with pytest.raises(InputFault, match="cannot be kept"):
        standing_candidates(empty, standing)


def test_layers_to_be_kept_that_clash_are_named() -> None:
    terms = problem()
    offers, _ = planned(terms)
    near = [one for one in offers[0].candidates if one.soft is not None and one.week in (3, 4)]
    pair = [next(one for one in near if one.week == week) for week in (3, 4)]
    wishes = Wishes(keep=tuple(Keep("Low", one.day) for one in pair))
    with pytest.raises(NoPlan, match="to be kept"):
        planned(terms, StandingPlan(tuple(layer_of(one, terms) for one in pair), wishes))


def test_a_layer_that_cannot_be_laid_any_more_is_forgotten() -> None:
    terms = problem()
    _, laid = planned(terms)
    old = layers(terms, laid)
    gone = replace(terms, stocks=(garden.clippings(0.0), garden.leaves(0.0)))
    assert standing_candidates(gone, StandingPlan(old)) == {}
    assert np.sum([len(found) for found in standing_candidates(terms, StandingPlan(old)).values()]) == len(old)
