"""The planner's choice against outside optima: all plans tried, another solver, textbook problems as special cases.

The planner is asked as it is asked for a garden; only terms and outcomes are made up so that the known problem is what
it has to solve.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, pairwise, product
from math import inf, isfinite

import numpy as np
import pytest
from tests.unit.plan import invented as garden

from mullbed.plan.candidates import Candidate, Portion
from mullbed.plan.choice_model import built
from mullbed.plan.choose import solved
from mullbed.plan.ledger import drawn, taken_from
from mullbed.plan.offers import BedOffers
from mullbed.plan.rows import Model
from mullbed.plan.solve import Effort, start_values
from mullbed.plan.terms import Arrival, BedTerms, DayLimits, PlanTerms, Weights

EXACT = Effort(gap=1e-6, nodes=20000)


# -- all plans tried -----------------------------------------------------------------------------------------------


def plans_of_a_bed(offers: BedOffers, days_apart: int, most: int) -> list[tuple[int, ...]]:
    """Return every set of at most so many layers that spacing allows."""
    days = [candidate.day for candidate in offers.candidates]
    found: list[tuple[int, ...]] = [()]
    for size in range(1, most + 1):
        for index in combinations(range(len(days)), size):
            ordered = sorted(days[i] for i in index)
            if all((b - a).days >= days_apart for a, b in pairwise(ordered)):
                found.append(index)
    return found


@pytest.mark.parametrize(
    ("softs", "dries", "minutes", "nitrogen"),
    [(4.0, 30.0, None, 60.0), (9.0, 8.0, None, 60.0), (9.0, 40.0, 16.0, 60.0), (12.0, 40.0, None, 9.0)],
    ids=["scarce clippings", "scarce leaves", "short days", "low ceiling"],
)
def test_no_plan_of_all_plans_is_better(softs: float, dries: float, minutes: float | None, nitrogen: float) -> None:
    """Known: every plan of two beds is tried, up to three layers on each."""
    limits = DayLimits(minutes_per_day=minutes, days_between_layers=28)
    beds = (garden.bed("Low", nitrogen_ceiling=nitrogen), garden.bed("Wall", area=6.0, nitrogen_ceiling=nitrogen))
    problem = garden.terms(beds, (garden.clippings(softs), garden.leaves(dries)), limits=limits)
    offers = tuple(offer.keep(np.arange(0, len(offer.candidates), 4)) for offer in garden.offered(problem))
    choice = built(problem, offers)
    best = inf
    for chosen in product(*(plans_of_a_bed(offer, 28, 3) for offer in offers)):
        taken = taken_from(offers, chosen, problem)
        if any(drawn(stock, taken[stock], problem)[1] for stock in range(2)):
            continue
        values = start_values(choice, chosen)
        if choice.model.largest_violation(values) < 1e-7:
            best = min(best, choice.model.objective(values))
    chosen, solution = solved(problem, offers, EXACT)
    assert best < inf
    assert any(chosen), "a problem in which nothing is laid would test nothing"
    assert solution.cost == pytest.approx(best, rel=1e-5)
    assert solution.bound <= best * (1.0 + 1e-9)


# -- another solver ------------------------------------------------------------------------------------------------


def by_another_solver(model: Model) -> tuple[float, float]:
    """Return cost and bound of a model by CBC, as OR-Tools ships it."""
    linear_solver = pytest.importorskip("ortools.linear_solver.pywraplp")
    other = linear_solver.Solver.CreateSolver("CBC")
    columns = [
        (other.IntVar if whole else other.NumVar)(low, high if isfinite(high) else other.infinity(), "")
        for low, high, whole in zip(model.lower, model.upper, model.whole, strict=True)
    ]
    for row in range(model.rows):
        low, high = model.row_lower[row], model.row_upper[row]
        constraint = other.Constraint(
            low if isfinite(low) else -other.infinity(), high if isfinite(high) else other.infinity()
        )
        for place in range(model.starts[row], model.starts[row + 1]):
            constraint.SetCoefficient(columns[model.index[place]], model.value[place])
    objective = other.Objective()
    for column, cost in zip(columns, model.cost, strict=True):
        objective.SetCoefficient(column, cost)
    objective.SetOffset(model.offset)
    objective.SetMinimization()
    settings = linear_solver.MPSolverParameters()
    settings.SetDoubleParam(settings.RELATIVE_MIP_GAP, 1e-4)
    assert other.Solve(settings) == linear_solver.Solver.OPTIMAL
    return float(objective.Value()), float(objective.BestBound())


@pytest.mark.parametrize("supply", [4.0, 12.0], ids=["scarce", "ample"])
def test_another_solver_finds_the_same_cost(supply: float) -> None:
    """Known by CBC on the very same rows and columns: both costs lie within the gaps of each other."""
    beds = tuple(garden.bed(name, area=3.0 + number) for number, name in enumerate(("Low", "Wall", "Pear")))
    problem = garden.terms(beds, (garden.clippings(supply), garden.leaves(3.0 * supply)))
    offers = tuple(offer.keep(np.arange(0, len(offer.candidates), 3)) for offer in garden.offered(problem))
    _, ours = solved(problem, offers, Effort(gap=1e-4, nodes=20000))
    cost, bound = by_another_solver(built(problem, offers).model)
    assert ours.gap <= 0.011
    assert ours.cost <= cost * (1.0 + ours.gap) + 1e-6
    assert cost <= ours.cost * (1.0 + 2e-4)
    assert ours.bound <= cost * (1.0 + 1e-9)
    assert bound <= ours.cost * (1.0 + 1e-9)


# -- textbook problems ---------------------------------------------------------------------------------------------


def plain_bed(name: str, want: np.ndarray) -> BedTerms:
    """A bed of one square metre whose soil gives nothing and keeps all; no ceiling bites."""
    return garden.bed(
        name,
        len(want),
        1.0,
        want=want,
        soil_given=np.zeros((8, len(want))),
        kept=np.ones(len(want)),
        nitrogen_ceiling=1e9,
        nitrogen_fed_ceiling=1e9,
        phosphorus_ceiling=1e9,
    )


def plain_offers(candidates: Sequence[Candidate], given: np.ndarray) -> BedOffers:
    """Layers that give just so much, lose nothing and cover nothing."""
    count, weeks = given.shape
    nothing = np.zeros((count, weeks))
    return BedOffers(
        tuple(candidates),
        given,
        np.repeat(given.sum(axis=1)[:, None], 8, axis=1),
        np.zeros(count),
        np.zeros(count),
        nothing,
        nothing,
    )


def layer(bed: int, week: int, problem: PlanTerms, stock: int, minutes: float) -> Candidate:
    """One container of one stock laid on one bed in one week, at so much work."""
    day = problem.weeks[week].laying_day
    assert day is not None
    return Candidate(bed, week, day, None, Portion(stock, 1), 0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0, minutes, 0.0)


# Both from memory, from the sets that go with Kreher and Stinson, Combinatorial Algorithms (1999); their optima are
# worked out again below, so a digit remembered wrongly would only make it another knapsack.
KNAPSACKS = {
    "ten": (165, (23, 31, 29, 44, 53, 38, 63, 85, 89, 82), (92, 57, 49, 68, 60, 43, 67, 84, 87, 72), 309),
    "fifteen": (
        750,
        (70, 73, 77, 80, 82, 87, 90, 94, 98, 106, 110, 113, 115, 118, 120),
        (135, 139, 149, 150, 156, 163, 173, 184, 192, 201, 210, 214, 221, 229, 240),
        1458,
    ),
}


def best_load(capacity: int, weights: Sequence[int], profits: Sequence[int]) -> int:
    """Return the best profit by dynamic programming over the capacity."""
    best = [0] * (capacity + 1)
    for weight, profit in zip(weights, profits, strict=True):
        for room in range(capacity, weight - 1, -1):
            best[room] = max(best[room], best[room - weight] + profit)
    return best[capacity]


@pytest.mark.parametrize("name", KNAPSACKS)
def test_a_knapsack_is_a_day_too_short_for_all_beds(name: str) -> None:
    """One layer a bed, the work of one day as the knapsack, what a crop would miss as the profit."""
    capacity, weights, profits, optimum = KNAPSACKS[name]
    assert best_load(capacity, weights, profits) == optimum
    beds = tuple(plain_bed(f"Bed {n}", np.array([float(profit)])) for n, profit in enumerate(profits))
    problem = garden.terms(
        beds,
        (garden.leaves(1000.0),),
        weeks=1,
        limits=DayLimits(minutes_per_day=float(capacity)),
        weights=Weights(bare=0.0, minute=0.0, spoilt=0.0),
    )
    offers = tuple(
        plain_offers([layer(n, 0, problem, 0, float(weight))], np.array([[float(profit)]]))
        for n, (weight, profit) in enumerate(zip(weights, profits, strict=True))
    )
    chosen, solution = solved(problem, offers, EXACT)
    laid = [n for n, of_bed in enumerate(chosen) if of_bed]
    assert sum(profits[n] for n in laid) == optimum
    assert sum(weights[n] for n in laid) <= capacity
    assert solution.cost == pytest.approx(sum(profits) - optimum)


def test_the_canneries_problem_is_heaps_hauled_to_beds() -> None:
    """Dantzig (1963), Linear Programming and Extensions, section 3.3, figures from memory: optimum 153.675.

    Two canneries of 350 and 600 cases, three markets that want 325, 300 and 275; 90 a thousand miles for a thousand
    cases. Here a case is a twenty-fifth of a container, a market a bed that wants one container a week, and hauling is
    the only cost. The optimum ships whole multiples of 25, so whole containers lose nothing.
    """
    heaps, wants = (350, 600), (325, 300, 275)
    thousands_of_miles = ((2.5, 1.7, 1.8), (2.5, 1.8, 1.4))
    weeks = max(wants) // 25
    stocks = tuple(
        garden.leaves(name=name, arrivals=(Arrival(garden.FIRST, cases / 25.0),))
        for name, cases in zip(("north heap", "south heap"), heaps, strict=True)
    )
    beds = tuple(
        plain_bed(f"Market {n}", np.where(np.arange(weeks) < want // 25, 1.0, 0.0)) for n, want in enumerate(wants)
    )
    problem = garden.terms(
        beds,
        stocks,
        weeks=weeks,
        limits=DayLimits(days_between_layers=0),
        weights=Weights(short=1000.0, over=0.0, bare=0.0, minute=1.0, spoilt=0.0),
    )
    offers = []
    for bed, want in enumerate(wants):
        ways = [(week, heap) for week in range(want // 25) for heap in range(2)]
        hauling = [90.0 * thousands_of_miles[heap][bed] * 25.0 / 1000.0 for _, heap in ways]
        candidates = [layer(bed, week, problem, heap, cost) for (week, heap), cost in zip(ways, hauling, strict=True)]
        given = np.array([np.eye(weeks)[week] for week, _ in ways])
        offers.append(plain_offers(candidates, given))
    chosen, solution = solved(problem, tuple(offers), EXACT)
    assert solution.cost == pytest.approx(153.675, rel=1e-4)
    taken = taken_from(offers, chosen, problem).sum(axis=1) * 25.0
    assert np.all(taken <= np.array(heaps) + 1e-6)
    assert taken.sum() == pytest.approx(sum(wants))
