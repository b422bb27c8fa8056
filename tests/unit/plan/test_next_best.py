"""What else could be done, and what more of a limit is worth: held against plans made anew."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.unit.plan import invented as garden

from mullbed.plan.candidates import Candidate
from mullbed.plan.choose import solved
from mullbed.plan.ledger import whole_cost
from mullbed.plan.next_best import NEAR_WEEKS, alternatives, worth_of_more
from mullbed.plan.price_rounds import PriceRounds
from mullbed.plan.solve import Effort
from mullbed.plan.standing_plan import as_candidate
from mullbed.plan.supply_weeks import supply_weeks
from mullbed.plan.terms import Arrival, PlanTerms

SURE = Effort(gap=0.0)


def two_beds(clippings: float = 6.0) -> PlanTerms:
    beds = (garden.bed("Low"), garden.bed("High", area=6.0))
    return garden.terms(beds, (garden.clippings(clippings), garden.leaves()))


def found_in(offers: tuple[Candidate, ...], layer: Candidate) -> int:
    return next(
        place for place, one in enumerate(offers) if (one.day, one.soft, one.dry) == (layer.day, layer.soft, layer.dry)
    )


def test_the_next_best_costs_what_the_plan_with_it_costs_more() -> None:
    terms = two_beds()
    offers = garden.offered(terms)
    chosen, _ = solved(terms, offers, SURE)
    now = whole_cost(terms, offers, chosen)
    spoiling = replace(terms, weights=replace(terms.weights, spoilt=0.0))
    now = whole_cost(spoiling, offers, chosen)
    told = 0
    for number, plan in enumerate(chosen):
        for index, other in alternatives(number, offers, chosen, terms).items():
            rest = [place for place in plan if place != index]
            if other.layer is not None:
                candidate = as_candidate(number, other.layer, terms)
                assert candidate is not None
                place = found_in(offers[number].candidates, candidate)
                assert abs(candidate.week - offers[number].candidates[index].week) <= NEAR_WEEKS
                assert place != index
                rest.append(place)
            changed = [list(one) for one in chosen]
            changed[number] = rest
            assert other.cost == pytest.approx(whole_cost(spoiling, offers, changed) - now, abs=1e-6)
            told += 1
    assert told == sum(len(plan) for plan in chosen) > 0


def test_where_nothing_else_is_possible_no_layer_is_the_next_best() -> None:
    terms = two_beds()
    offers = garden.offered(terms)
    chosen, _ = solved(terms, offers, SURE)
    number = next(place for place, plan in enumerate(chosen) if plan)
    only = tuple(
        offer.keep(np.array(plan, dtype=np.int64)) if bed == number else offer
        for bed, (offer, plan) in enumerate(zip(offers, chosen, strict=True))
    )
    kept = tuple(tuple(range(len(plan))) if bed == number else plan for bed, plan in enumerate(chosen))
    assert all(other.layer is None for other in alternatives(number, only, kept, terms).values())


def test_one_more_container_of_what_is_scarce_is_worth_about_what_a_new_plan_saves() -> None:
    """The price of a relaxed choice is the worth of a small step; whole containers give about that, here over six."""
    terms = two_beds(6.0)
    offers = garden.offered(terms)
    rounds = PriceRounds(terms, offers, SURE).run([()] * 2)
    assert rounds is not None
    told = {one.what: one for one in worth_of_more(terms, offers, rounds.prices)}
    assert "clippings" in told
    assert "leaves" not in told
    more = replace(terms, stocks=(garden.clippings(12.0), garden.leaves()))
    relaxed = [PriceRounds(one, garden.offered(one), SURE).run([()] * 2) for one in (terms, more)]
    bounds = [one.bound for one in relaxed if one is not None]
    assert told["clippings"].worth >= 0.9 * (bounds[0] - bounds[1]) / 6.0
    assert told["clippings"].month in {"2027-03", "2027-04", "2027-05"}
    assert told["clippings"].unit == "bucket"


def test_the_books_of_a_supply_close_known() -> None:
    """Known by hand: what comes is what is used and what stays or spoils, week by week."""
    arrivals = (Arrival(garden.FIRST, 4.0), Arrival(garden.FIRST.replace(day=29), 5.0))
    terms = garden.terms((garden.bed(),), (garden.clippings(arrivals=arrivals), garden.leaves()))
    offers = garden.offered(terms)
    chosen, _ = solved(terms, offers, SURE)
    clippings = supply_weeks(terms, offers, chosen)[0]
    assert clippings.came == (4.0, 0.0, 0.0, 0.0, 5.0, *([0.0] * 7))
    left = 0.0
    for came, used, stays in zip(clippings.came, clippings.used, clippings.left, strict=True):
        left += came - used
        assert stays == pytest.approx(left)
