"""Who brings what to whom, against outside optima: a minimum-cost flow, two textbook problems, all ways tried."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from itertools import product
from math import inf

import numpy as np
import pytest

from mullbed.domain.neighbourhood import (
    Ceiling,
    Giver,
    Haul,
    Matter,
    Neighbourhood,
    Place,
    Sharing,
    Step,
    Taker,
    Unused,
)
from mullbed.domain.spread import Evidence, Spread
from mullbed.domain.supply import Container
from mullbed.plan.neighbourhood import shared_residues
from mullbed.plan.solve import Effort
from mullbed.reference.residues import all_residues

FIRST = date(2027, 5, 3)
HERE = Place(0.0, 0.0)
EXACT = Effort(gap=1e-6, nodes=20000)


def container(litres: float = 20.0, name: str = "bucket") -> Container:
    return Container(name, Spread(litres, litres, litres, "L", Evidence.MEASURED))


BUCKET = container()


def giver(name: str, weekly: Sequence[int], residue: str = "grass_clip", **changes: object) -> Giver:
    return replace(Giver(name, residue, BUCKET, tuple(weekly), HERE), **changes)  # type: ignore[arg-type]


def taker(name: str, *steps: tuple[float, float], matter: Matter = Matter.SOFT_FRESH, **changes: object) -> Taker:
    wants = ((matter, tuple(Step(most, worth) for most, worth in steps)),)
    return replace(Taker(name, HERE, 100.0, wants), **changes)  # type: ignore[arg-type]


def shared(
    givers: Sequence[Giver], takers: Sequence[Taker], km: Sequence[Sequence[float]], **changes: object
) -> Sharing:
    weeks = len(givers[0].weekly)
    roads = tuple(
        (one.name, other.name, float(km[s][g])) for s, one in enumerate(givers) for g, other in enumerate(takers)
    )
    whole = Neighbourhood("Mill Lane", FIRST, weeks, "points", BUCKET, tuple(givers), tuple(takers), Haul(1.0), roads)
    return shared_residues(replace(whole, **changes), all_residues(), EXACT)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def soft() -> str:
    return "grass_clip"


# -- a library's minimum-cost flow ---------------------------------------------------------------------------------


def flow_value(
    supplies: Sequence[Sequence[int]],
    keeps: Sequence[int],
    steps: Sequence[Sequence[tuple[int, int]]],
    km: Sequence[Sequence[int]],
    left: int,
) -> int:
    """Return the best value by networkx, each arrival with an arc to every week in which it still keeps."""
    networkx = pytest.importorskip("networkx")
    graph = networkx.DiGraph()
    graph.add_node("end", demand=sum(map(sum, supplies)))
    for s, weekly in enumerate(supplies):
        for came, count in enumerate(weekly):
            graph.add_node(("came", s, came), demand=-count)
            graph.add_edge(("came", s, came), "end", weight=left)
            for week in range(came, min(len(weekly), came + keeps[s] + 1)):
                graph.add_edge(("came", s, came), ("there", s, week), weight=0)
        for week in range(len(weekly)):
            for g in range(len(steps)):
                graph.add_edge(("there", s, week), ("garden", g), weight=km[s][g])
    for g, falling in enumerate(steps):
        for number, (most, worth) in enumerate(falling):
            graph.add_edge(("garden", g), ("step", g, number), weight=-worth, capacity=most)
            graph.add_edge(("step", g, number), "end", weight=0)
    return -int(networkx.min_cost_flow_cost(graph))


@pytest.mark.parametrize("seed", range(12))
def test_the_value_is_that_of_a_minimum_cost_flow(seed: int, soft: str) -> None:
    """Known by networkx on the same random givers, gardens, falling prices, ways and shelf lives."""
    chance = np.random.default_rng(seed)
    givers, takers, weeks = 4, 3, 4
    supplies = chance.integers(0, 6, (givers, weeks)).tolist()
    keeps = chance.integers(0, 3, givers).tolist()
    steps = [sorted(((int(chance.integers(1, 9)), int(w)) for w in chance.integers(1, 16, 3)), key=lambda one: -one[1])
             for _ in range(takers)]  # fmt: skip
    km = chance.integers(0, 9, (givers, takers)).tolist()
    left = int(chance.integers(0, 3))
    found = shared(
        [giver(f"G{s}", supplies[s], soft, keeps_weeks=keeps[s]) for s in range(givers)],
        [taker(f"T{g}", *steps[g]) for g in range(takers)],
        km,
        left_cost=float(left),
    )
    assert found.value == pytest.approx(flow_value(supplies, keeps, steps, km, left), abs=1e-6)
    assert found.gap <= 1e-6
    assert sum(one.containers for one in found.deliveries) == sum(one.brought for one in found.givers)


@pytest.mark.parametrize("seed", range(4))
def test_what_keeps_short_is_brought_in_time(seed: int, soft: str) -> None:
    """A garden takes two a week, so what comes at once has to wait, and is lost when it keeps too short."""
    chance = np.random.default_rng(100 + seed)
    supplies, keeps = chance.integers(0, 7, (2, 5)).tolist(), [1, 2]
    found = shared(
        [giver(f"G{s}", supplies[s], soft, keeps_weeks=keeps[s]) for s in range(2)],
        [taker("T", (1000.0, 9.0), most_per_week=2.0)],
        [[0.0], [0.0]],
    )
    for s, name in enumerate(("G0", "G1")):
        brought = {
            week: sum(d.containers for d in found.deliveries if d.giver == name and d.week == week) for week in range(5)
        }
        for begin, end in ((a, b) for a in range(5) for b in range(a, 5)):
            young = sum(supplies[s][max(0, begin - keeps[s]) : end + 1])
            assert sum(brought[week] for week in range(begin, end + 1)) <= young
    assert all(sum(d.standard for d in found.deliveries if d.week == week) <= 2.0 for week in range(5))


# -- textbook problems ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("supplies", "wants", "costs", "optimum"),
    [
        # Winston, Operations Research: Applications and Algorithms, the Powerco example [from memory]
        ((35, 50, 40), (45, 20, 30, 30), ((8, 6, 10, 9), (9, 12, 13, 7), (14, 9, 16, 5)), 1020.0),
        # Dantzig (1963), Linear Programming and Extensions, section 3.3, canneries [from memory]; cost by 25 cases
        ((14, 24), (13, 12, 11), ((5.625, 3.825, 4.05), (5.625, 4.05, 3.15)), 153.675),
    ],
    ids=["Winston", "Dantzig"],
)
def test_a_textbook_transportation_problem_is_solved(
    supplies: Sequence[int], wants: Sequence[int], costs: Sequence[Sequence[float]], optimum: float, soft: str
) -> None:
    """Published, from memory: the optimum is the haul cost when every want is worth filling."""
    found = shared(
        [giver(f"G{s}", (count,), soft) for s, count in enumerate(supplies)],
        [taker(f"T{g}", (float(want), 1000.0)) for g, want in enumerate(wants)],
        costs,
    )
    assert found.haul_cost == pytest.approx(optimum, abs=1e-6)
    assert [one.soft_fresh for one in found.takers] == [float(want) for want in wants]


# -- all ways tried, with ceilings and trips -----------------------------------------------------------------------


def test_no_way_of_all_ways_is_better_with_ceilings_and_trips(soft: str) -> None:
    """Known: every split of two givers over two gardens is tried, a nitrogen ceiling and whole trips of three."""
    loads, km, worth, per_trip, room = (5, 4), ((1.0, 3.0), (2.0, 1.0)), ((4, 6.0), (9, 3.0)), 2.0, 3.0
    grams = shared([giver("G", (1,), soft)], [taker("T", (1.0, 9.0))], [[0.0]]).deliveries[0].nitrogen.mid
    ceilings = (4.5 * grams / 100.0, 6.2 * grams / 100.0)
    best = -inf
    for a, b, c, d in product(range(6), range(6), range(5), range(5)):
        got = (a + c, b + d)
        if (
            a + b > loads[0]
            or c + d > loads[1]
            or any(n * grams / 100.0 > top for n, top in zip(got, ceilings, strict=True))
        ):
            continue
        value = -sum(n * way for n, way in zip((a, b, c, d), (*km[0], *km[1]), strict=True))
        value -= sum(per_trip * -(-n // room) for n in (a, b, c, d))
        for n in got:
            value += sum(w * min(most, max(0, n - before)) for (most, w), before in zip(worth, (0, 4), strict=True))
        best = max(best, value)
    found = shared(
        [giver(f"G{s}", (count,), soft) for s, count in enumerate(loads)],
        [taker(f"T{g}", *((float(m), w) for m, w in worth), nitrogen_ceiling=ceilings[g]) for g in range(2)],
        km,
        haul=Haul(1.0, per_trip=per_trip, containers_per_trip=room),
    )
    assert found.value == pytest.approx(best, abs=1e-6)
    assert best > 0.0
    assert all(one.nitrogen.mid <= one.nitrogen_ceiling + 1e-9 for one in found.takers if one.nitrogen_ceiling)


# -- why -----------------------------------------------------------------------------------------------------------


def why(found: Sharing, name: str) -> Unused | None:
    return next(one.why for one in found.givers if one.name == name)


def test_what_is_held_stays_until_its_day(soft: str) -> None:
    givers = [
        giver("bean test", (2, 2, 0), soft, keeps_weeks=5, held_because="bean test due", held_until=date(2027, 5, 12)),
        giver("never", (2, 2, 0), soft, held_because="sprayed lawn"),
    ]
    found = shared(givers, [taker("T", (99.0, 9.0))], [[1.0], [1.0]])
    assert {one.giver for one in found.deliveries} == {"bean test"}
    assert all(one.day > date(2027, 5, 12) for one in found.deliveries)
    assert why(found, "bean test") is None
    assert why(found, "never") is Unused.HELD
    assert found.givers[1].because == "sprayed lawn"


def test_each_reason_for_staying_is_told(soft: str) -> None:
    base = [giver("A", (5,), soft)]
    far = shared(base, [taker("T", (9.0, 9.0))], [[7.0]], haul=Haul(1.0, farthest_km=5.0))
    assert why(far, "A") is Unused.OUT_OF_REACH
    dear = shared(base, [taker("T", (9.0, 3.0))], [[7.0]])
    assert why(dear, "A") is Unused.NOT_WORTH_IT
    full = shared(base, [taker("T", (3.0, 9.0))], [[1.0]])
    assert why(full, "A") is Unused.FULL
    assert full.takers[0].stops == (Ceiling.WANT,)
    slow = shared([giver("A", (5, 0), soft, keeps_weeks=0)], [taker("T", (9.0, 9.0), most_per_week=2.0)], [[1.0]])
    assert why(slow, "A") is Unused.SPOILT
    refused = shared(base, [taker("T", (9.0, 9.0), refuses=frozenset({soft}))], [[1.0]])
    assert why(refused, "A") is Unused.OUT_OF_REACH


def test_soft_fresh_waits_for_the_dry_that_covers_it(soft: str) -> None:
    """Known: twice as much dry as soft by volume, dry only from the second week on."""
    wants = ((Matter.SOFT_FRESH, (Step(99.0, 9.0),)), (Matter.DRY, (Step(99.0, 0.5),)))
    givers = [giver("lawn", (4, 4), soft, keeps_weeks=0), giver("leaves", (0, 6), "leaf_maple")]
    found = shared(givers, [Taker("T", HERE, 100.0, wants, dry_per_soft=2.0)], [[1.0], [1.0]])
    assert [(d.week, d.matter, d.containers) for d in found.deliveries] == [
        (1, Matter.SOFT_FRESH, 3),
        (1, Matter.DRY, 6),
    ]
    assert why(found, "lawn") is Unused.FULL
    assert found.takers[0].stops == (Ceiling.COVER,)


def test_phosphorus_binds_as_nitrogen_does(soft: str) -> None:
    one = shared([giver("A", (1,), soft)], [taker("T", (9.0, 9.0))], [[0.0]])
    ceiling = 3.5 * one.takers[0].phosphorus.mid
    found = shared([giver("A", (9,), soft)], [taker("T", (9.0, 9.0), phosphorus_ceiling=ceiling)], [[0.0]])
    assert found.takers[0].soft_fresh == 3.0
    assert found.takers[0].stops == (Ceiling.PHOSPHORUS,)


def test_the_next_best_garden_and_its_loss_are_told(soft: str) -> None:
    found = shared([giver("A", (2,), soft)], [taker("near", (9.0, 5.0)), taker("off", (9.0, 5.0))], [[1.0, 3.0]])
    (one,) = found.deliveries
    assert (one.taker, one.next_best, one.next_best_loses) == ("near", "off", pytest.approx(2.0))


def test_a_larger_container_counts_by_its_litres(soft: str) -> None:
    sack = container(60.0, "sack")
    found = shared([giver("A", (2,), soft, container=sack)], [taker("T", (99.0, 2.0))], [[1.0]])
    (one,) = found.deliveries
    assert (one.containers, one.standard) == (2, pytest.approx(6.0))
    assert (found.worth, found.haul_cost) == (pytest.approx(12.0), pytest.approx(6.0))
