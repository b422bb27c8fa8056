"""The solver finds the best plan, says how good it is, starts from a plan without being fooled and keeps quiet."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from tests.unit.plan import invented as garden

from mullbed.errors import NoPlan
from mullbed.plan.bed_block import SHARED_RULES, BedBlock
from mullbed.plan.choice_model import built
from mullbed.plan.choose import solved
from mullbed.plan.first_plan import first_plan
from mullbed.plan.ledger import chosen_ledger, drawn, taken_from, whole_cost
from mullbed.plan.price_rounds import PriceRounds
from mullbed.plan.rows import RowName
from mullbed.plan.solve import Effort, biting, minimised, start_values
from mullbed.plan.terms import DayLimits, Weights

EXACT = Effort(gap=0.0, nodes=10000)


def small_garden():
    """Two beds, few candidates: all plans can be tried."""
    beds = (garden.bed("Low"), garden.bed("Wall", area=6.0))
    problem = garden.terms(beds, (garden.clippings(6.0), garden.leaves(5.0)), limits=DayLimits(days_between_layers=90))
    offers = garden.offered(problem)
    return problem, tuple(offer.keep(np.arange(0, len(offer.candidates), 5)) for offer in offers)


def test_the_ledger_and_the_model_price_a_plan_alike() -> None:
    problem, offers = small_garden()
    for chosen in (((), ()), ((1,), (2,)), ((0, 3), (1,))):
        choice = built(problem, offers, without=("R2", "R3"))
        values = start_values(choice, chosen)
        cost = sum(
            float(chosen_ledger(bed, offer, index, problem).cost)
            for bed, offer, index in zip(problem.beds, offers, chosen, strict=True)
        )
        spoilt = sum(values[column] * choice.model.cost[column] for usage in choice.stocks for column in usage.spoilt)
        assert choice.model.objective(values) == pytest.approx(cost + spoilt)
        assert whole_cost(problem, offers, chosen) == pytest.approx(cost + spoilt)


def test_the_plan_is_the_best_of_all_plans_known() -> None:
    """Known: every plan of at most one layer a bed is tried."""
    problem, offers = small_garden()
    choice = built(problem, offers)
    single = [[(), *((i,) for i in range(len(offer.candidates)))] for offer in offers]
    best = np.inf
    for first in single[0]:
        for second in single[1]:
            values = start_values(choice, (first, second))
            taken = taken_from(offers, (first, second), problem)
            if any(drawn(stock, taken[stock], problem)[1] for stock in range(2)):
                continue
            if choice.model.largest_violation(values) < 1e-7:
                best = min(best, choice.model.objective(values))
    _, solution = solved(problem, offers, EXACT)
    assert solution.cost == pytest.approx(best, rel=1e-6)
    assert solution.gap <= 1e-6


def test_the_first_plan_keeps_every_row_and_costs_less_than_nothing_laid() -> None:
    problem = garden.terms(tuple(garden.bed(name) for name in ("Low", "Wall", "Pear")))
    offers = garden.offered(problem)
    choice = built(problem, offers)
    values = start_values(choice, first_plan(problem, offers))
    assert choice.model.largest_violation(values) < 1e-7
    assert choice.model.objective(values) < choice.model.objective(start_values(choice, [()] * 3))


def test_a_start_does_not_fool_the_solver() -> None:
    """A start with presolve made the solver call the start itself optimal; laying nothing must not come back."""
    problem = garden.terms(tuple(garden.bed(name) for name in ("Low", "Wall", "Pear")))
    offers = garden.offered(problem)
    choice = built(problem, offers)
    nothing = start_values(choice, [()] * 3)
    started = minimised(choice.model, Effort(gap=1e-4), nothing)
    fresh = minimised(choice.model, Effort(gap=1e-4))
    assert started is not None and fresh is not None
    assert started.cost < choice.model.objective(nothing) - 1.0
    assert started.cost == pytest.approx(fresh.cost, rel=1e-3)


def test_rounds_of_pricing_find_what_the_one_model_finds_and_prove_it() -> None:
    """The one model is solved by the solver alone, to a gap of 0.2 %."""
    problem = garden.terms(tuple(garden.bed(f"Bed {n}", area=3.0 + n % 4) for n in range(8)))
    offers = garden.offered(problem)
    choice = built(problem, offers)
    one = minimised(choice.model, Effort(gap=0.002, nodes=5000))
    chosen, priced = solved(problem, offers, Effort(gap=0.01, nodes=500))
    assert one is not None
    assert priced.bound <= one.cost * (1.0 + 1e-6)
    assert priced.cost >= one.bound * (1.0 - 1e-6)
    assert priced.gap <= 0.01
    values = start_values(choice, chosen)
    assert choice.model.largest_violation(values) < 1e-6
    assert choice.model.objective(values) == pytest.approx(priced.cost, rel=1e-6)


def test_a_bed_by_itself_is_solved_to_the_last_gram() -> None:
    """Against the solver alone, at charges drawn at random: the search and its bound are exact."""
    problem = garden.terms((garden.bed("Low"),))
    (offers,) = garden.offered(problem)
    block = BedBlock(problem.beds[0], offers, problem)
    alone = built(problem, (offers,), without=SHARED_RULES)
    random = np.random.default_rng(5)
    for _ in range(6):
        charge = random.normal(0.0, 2.0, len(offers.candidates))
        cost = np.array(alone.model.cost)
        cost[alone.beds[0].lay] -= charge
        known = minimised(replace(alone.model, cost=cost.tolist()), Effort(gap=1e-9, nodes=100_000))
        found = block.cheapest(charge)
        assert known is not None and found.finished
        assert found.costs[0] == pytest.approx(known.cost, rel=1e-6)
        assert found.bound <= known.cost + 1e-6
        assert block.cheapest(charge, 5).costs[0] == pytest.approx(known.cost, rel=1e-6)


def test_whatever_the_prices_the_bound_of_the_rounds_is_one() -> None:
    problem = garden.terms(tuple(garden.bed(f"Bed {n}", area=3.0 + n) for n in range(3)))
    offers = garden.offered(problem)
    best = minimised(built(problem, offers).model, Effort(gap=1e-6, nodes=20_000))
    assert best is not None
    rounds = PriceRounds(problem, offers, Effort())
    for group in rounds.groups:
        group.add((), rounds.shared)
    random = np.random.default_rng(7)
    for scale in (0.0, 0.1, 1.0, 10.0):
        prices = rounds.shared.allowed(random.normal(0.0, scale, rounds.shared.model.rows))
        assert rounds.lowest(prices, rounds.priced(prices, 1, 1e-6)) <= best.cost + 1e-6


def test_a_list_goes_no_further_than_a_search_that_gave_up() -> None:
    """What a search missed may be cheaper than what it found, so such a list proves nothing."""
    problem = garden.terms((garden.bed("Low"),))
    (offers,) = garden.offered(problem)
    block = BedBlock(problem.beds[0], offers, problem)
    charge = np.zeros(len(offers.candidates))
    whole, cut = block.cheapest(charge, 5), block.cheapest(charge, 5, nodes=1)
    assert (
        whole.finished and whole.reach == pytest.approx(whole.costs[-1] - whole.costs[0], abs=1e-6) and whole.reach > 0
    )
    assert not cut.finished and cut.reach == 0.0
    assert cut.bound <= whole.costs[0] + 1e-9


def test_somebody_in_a_hurry_gets_the_best_plan_so_far_and_its_gap() -> None:
    problem = garden.terms(tuple(garden.bed(f"Bed {n}", area=3.0 + n % 4) for n in range(8)))
    offers = garden.offered(problem)
    chosen, solution = solved(problem, offers, Effort(gap=0.0, stop=lambda: True))
    assert any(chosen)
    assert solution.gap > 0.0
    assert built(problem, offers).model.largest_violation(start_values(built(problem, offers), chosen)) < 1e-6


def test_beds_that_keep_their_layers_keep_them_and_the_gap_counts_what_that_costs() -> None:
    problem = garden.terms(tuple(garden.bed(f"Bed {n}", area=3.0 + n) for n in range(3)))
    offers = garden.offered(problem)
    free, proof = solved(problem, offers, Effort(gap=0.005))
    part, _ = solved(problem, offers, Effort(gap=0.005), kept={0: ()})
    kept, held = solved(problem, offers, Effort(gap=0.005), kept=dict(enumerate(part)))
    assert kept == part and part[0] == () and free[0] != ()
    assert held.cost > proof.cost
    assert held.bound <= proof.cost + 1e-6
    assert held.gap >= (held.cost - proof.cost) / held.cost - 1e-9


def test_equal_problems_give_equal_plans() -> None:
    problem = garden.terms(tuple(garden.bed(name) for name in ("Low", "Wall")))
    offers = garden.offered(problem)
    assert solved(problem, offers, Effort(gap=0.01))[0] == solved(problem, offers, Effort(gap=0.01))[0]


def test_nothing_in_hand_gives_an_empty_plan() -> None:
    problem = garden.terms(stocks=())
    chosen, solution = solved(problem, garden.offered(problem), EXACT)
    assert chosen == ((),)
    assert solution.gap <= 1e-9


def test_ceilings_of_zero_give_an_empty_plan_and_name_the_ceiling() -> None:
    problem = garden.terms((garden.bed(nitrogen_ceiling=0.0),))
    offers = garden.offers_for(problem, (garden.ready_made(garden.terms())[0][0],))
    chosen, _ = solved(problem, offers, EXACT)
    assert chosen == ((),)
    bites = biting(built(problem, offers), chosen)
    assert bites and bites[0].rule == "R10" and bites[0].bed == 0


def test_scarce_supply_is_named_with_how_much_more_would_help() -> None:
    problem = garden.terms(stocks=(garden.clippings(1.0), garden.leaves(20.0)))
    plenty = garden.terms()
    offers = garden.offers_for(problem, garden.ready_made(plenty)[0])
    chosen, _ = solved(problem, offers, EXACT)
    bites = {(bite.rule, bite.stock): bite.amount for bite in biting(built(problem, offers), chosen)}
    assert bites["R3", 0] > 0.5


def test_limits_that_clash_are_named_when_nothing_fits() -> None:
    problem = garden.terms((garden.bed(nitrogen_ceiling=5.0),))
    offers = garden.offered(garden.terms())

    def forced(name: RowName) -> bool:
        return name.rule == "R10"

    choice = built(problem, offers)
    assert any(map(forced, choice.model.names))
    choice.model.add_row(RowName("fix"), choice.beds[0].lay, [c.nitrogen for c in offers[0].candidates], lower=12.0)
    assert minimised(choice.model, EXACT) is None
    from mullbed.plan.solve import clashing

    told = clashing(choice)
    assert any("R10 on Low" in line for line in told)
    with pytest.raises(NoPlan, match="R10 on Low"):
        raise NoPlan(told)


def test_results_on_standard_output_stay_clean() -> None:
    script = "from mullbed.plan.solve import solver; solver(); solver(); print('{}')"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout == "{}\n"


def test_bare_weeks_weigh_against_nitrogen_as_the_weights_say() -> None:
    covers = garden.terms(weights=Weights(bare=3.0))
    feeds = garden.terms(weights=Weights(bare=0.0))
    bare = []
    for problem in (covers, feeds):
        offers = garden.offered(problem)
        chosen, _ = solved(problem, offers, EXACT)
        bare.append(float(chosen_ledger(problem.beds[0], offers[0], chosen[0], problem).bare.sum()))
    assert bare[0] < bare[1]


def test_knapsack_as_a_special_case_known() -> None:
    """Known by trying all subsets: one week, one resource (minutes), beds as items."""
    wants = (3.0, 5.0, 4.0, 6.0)
    beds = tuple(
        garden.bed(f"Bed {n}", weeks=2, want=np.array([0.0, want]), nitrogen_fed_ceiling=100.0)
        for n, want in enumerate(wants)
    )
    problem = replace(garden.terms(beds, weeks=2, weights=Weights(bare=0.0, over=0.0, spoilt=0.0, lost=0.0)))
    offers = tuple(offer.keep(np.array([0])) for offer in garden.offered(problem))
    gains = tuple(float(0.5 * want) for want in wants)
    offers = tuple(
        replace(offer, given=np.array([[0.0, gain]]), given_by_member=np.full((1, 8), gain))
        for offer, gain in zip(offers, gains, strict=True)
    )
    minutes = [offer.candidates[0].minutes for offer in offers]
    limit = minutes[0] * 2.5
    problem = replace(problem, limits=DayLimits(minutes_per_day=limit))
    chosen, _ = solved(problem, offers, EXACT)
    taken = {number for number, of_bed in enumerate(chosen) if of_bed}
    best = max(
        (sum(gains[i] for i in subset), subset)
        for size in range(5)
        for subset in combinations(range(4), size)
        if sum(minutes[i] for i in subset) <= limit
    )
    assert taken == set(best[1])
