"""Who brings what to whom: the residues of households and parks to gardens, at the prices the gardens' plans give.

Without ceilings and trips this is a minimum-cost flow through time: containers come in by week, wait at their giver as
long as they keep, and go to a garden whose price falls in steps. Ceilings of nitrogen and phosphorus, dry matter to
cover soft with, containers a week and trips that are made full or not are rows and whole numbers on top, so the solver
is that of the season plan. Everything is minimised: hauls, and what nobody takes, less what gardens hold it worth.

Limits: N1 what comes in is brought, kept or lost · N2 a kept heap is never older than it keeps · N3 nothing held is
brought · N4 nothing goes farther than the farthest haul or where it is refused · N5 a garden takes no more than it
wants · N6 nitrogen, N7 phosphorus laid stay under the garden's ceilings, middle estimates · N8 containers a week ·
N9 at any time dry matter is there to cover soft with · N10 a trip carries no more than it can.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot

from mullbed.domain.neighbourhood import Delivery, Matter, Neighbourhood, Sharing, Step
from mullbed.domain.residue import Residue
from mullbed.errors import MullbedError
from mullbed.plan.neighbourhood_matter import Load, loads_of
from mullbed.plan.neighbourhood_reasons import Account, giver_shares, next_best, taker_shares
from mullbed.plan.rows import Model, RowName
from mullbed.plan.solve import Effort, minimised

#: Half a percent of the value is less than anybody knows a price to.
EFFORT = Effort(gap=0.005, nodes=200, seconds=60.0)


@dataclass(frozen=True, slots=True)
class Flow:
    """A model and what its columns mean."""

    model: Model
    brought: dict[tuple[int, int, int], int]
    """Column of the containers by giver, garden and week."""
    trips: dict[tuple[int, int, int], int]
    km: dict[tuple[int, int], float]
    """Way by giver and garden, for those in reach. [km]"""


def road_km(neighbourhood: Neighbourhood) -> dict[tuple[int, int], float]:
    """Return the way of every giver to every garden: as told, else the straight line with its detour. [km]"""
    told = {(giver, taker): km for giver, taker, km in neighbourhood.roads}
    found = {}
    for s, giver in enumerate(neighbourhood.givers):
        for g, taker in enumerate(neighbourhood.takers):
            straight = hypot(giver.place.east - taker.place.east, giver.place.north - taker.place.north) / 1000.0
            found[s, g] = told.get((giver.name, taker.name), straight * neighbourhood.haul.detour)
    return found


def haul_cost(neighbourhood: Neighbourhood, load: Load, km: float) -> float:
    """Return what bringing one container costs, without what a trip costs. [price unit]"""
    return load.standard * (neighbourhood.haul.per_container + neighbourhood.haul.per_km * km)


def trip_cost(neighbourhood: Neighbourhood, km: float) -> float:
    """Return what one trip costs, full or not. [price unit]"""
    return neighbourhood.haul.per_trip + neighbourhood.haul.per_trip_km * km


def steps_for(neighbourhood: Neighbourhood, garden: int, matter: Matter) -> tuple[Step, ...]:
    """Return the falling worth of a kind to a garden."""
    return dict(neighbourhood.takers[garden].wants).get(matter, ())


def flow_of(neighbourhood: Neighbourhood, loads: Sequence[Load]) -> Flow:
    """Return the model of a neighbourhood."""
    model, weeks = Model(), neighbourhood.weeks
    brought: dict[tuple[int, int, int], int] = {}
    trips: dict[tuple[int, int, int], int] = {}
    all_km = road_km(neighbourhood)
    farthest = neighbourhood.haul.farthest_km
    km = {
        (s, g): way
        for (s, g), way in all_km.items()
        if (farthest is None or way <= farthest)
        and neighbourhood.givers[s].residue not in neighbourhood.takers[g].refuses
        and steps_for(neighbourhood, g, loads[s].matter)
    }
    for s, load in enumerate(loads):
        model.offset += neighbourhood.left_cost * load.standard * sum(load.weekly)
        _give(model, neighbourhood, s, load, km, brought, trips)
    for g in range(len(neighbourhood.takers)):
        _take(model, neighbourhood, g, loads, brought, weeks)
    return Flow(model, brought, trips, km)


def _give(
    model: Model,
    neighbourhood: Neighbourhood,
    s: int,
    load: Load,
    km: Mapping[tuple[int, int], float],
    brought: dict[tuple[int, int, int], int],
    trips: dict[tuple[int, int, int], int],
) -> None:
    """Add what one giver can do: bring, keep as long as it keeps, or lose (N1, N2, N3, N10)."""
    haul, kept = neighbourhood.haul, None
    for week, comes in enumerate(load.weekly):
        came = sum(load.weekly[: week + 1])
        young = came if load.keeps is None else sum(load.weekly[max(0, week - load.keeps + 1) : week + 1])
        keep = int(model.add_columns([0.0], upper=float(young))[0])
        lose = int(model.add_columns([0.0])[0])
        index, value = [keep, lose], [1.0, 1.0]
        if kept is not None:
            index, value = [*index, kept], [*value, -1.0]
        kept = keep
        ripe = week >= load.first_week and came > 0
        for g in range(len(neighbourhood.takers)) if ripe else ():
            way = km.get((s, g))
            if way is None:
                continue
            cost = haul_cost(neighbourhood, load, way) - neighbourhood.left_cost * load.standard
            column = int(model.add_columns([cost], upper=float(came), whole=True)[0])
            brought[s, g, week] = column
            index, value = [*index, column], [*value, 1.0]
            if trip_cost(neighbourhood, way) > 0.0:
                trip = int(model.add_columns([trip_cost(neighbourhood, way)], whole=True)[0])
                trips[s, g, week] = trip
                room = max(1.0, haul.containers_per_trip / load.standard // 1.0)
                model.add_row(RowName("N10", g, week, s), [column, trip], [1.0, -room], upper=0.0)
        model.add_row(RowName("N1", None, week, s), index, value, float(comes), float(comes))


def _take(
    model: Model,
    neighbourhood: Neighbourhood,
    g: int,
    loads: Sequence[Load],
    brought: Mapping[tuple[int, int, int], int],
    weeks: int,
) -> None:
    """Add what one garden wants and what it may not pass (N5 to N9)."""
    taker = neighbourhood.takers[g]
    mine = [(s, week, column) for (s, garden, week), column in brought.items() if garden == g]
    columns = [column for _, _, column in mine]
    for matter in Matter:
        steps = steps_for(neighbourhood, g, matter)
        of_kind = [(loads[s].standard, column) for s, _, column in mine if loads[s].matter is matter]
        if not of_kind:
            continue
        filled = model.add_columns([-step.worth for step in steps], upper=[step.most for step in steps])
        index = [*(column for _, column in of_kind), *(int(one) for one in filled)]
        value = [*(standard for standard, _ in of_kind), *([-1.0] * len(steps))]
        model.add_row(RowName("N5", g), index, value, 0.0, 0.0)
    if not mine:
        return
    if taker.nitrogen_ceiling is not None:
        grams = [loads[s].nitrogen.mid for s, _, _ in mine]
        model.add_row(RowName("N6", g), columns, grams, upper=taker.nitrogen_ceiling * taker.area)
    if taker.phosphorus_ceiling is not None:
        grams = [loads[s].phosphorus.mid for s, _, _ in mine]
        model.add_row(RowName("N7", g), columns, grams, upper=taker.phosphorus_ceiling * taker.area)
    for week in range(weeks):
        now = [(loads[s].standard, column) for s, when, column in mine if when == week]
        if taker.most_per_week is not None and now:
            index, value = [column for _, column in now], [standard for standard, _ in now]
            model.add_row(RowName("N8", g, week), index, value, upper=taker.most_per_week)
        if taker.dry_per_soft is not None and now:
            index, value = [], []
            for s, when, column in mine:
                if when <= week:
                    soft = loads[s].matter is Matter.SOFT_FRESH
                    index.append(column)
                    value.append(loads[s].standard * (taker.dry_per_soft if soft else -1.0))
            model.add_row(RowName("N9", g, week), index, value, upper=0.0)


def shared_residues(neighbourhood: Neighbourhood, residues: Mapping[str, Residue], effort: Effort = EFFORT) -> Sharing:
    """Return who brings what to whom.

    Parameters
    ----------
    neighbourhood : Neighbourhood
    residues : mapping
        Residue table by key.
    effort : Effort
        When the solver may stop.

    Raises
    ------
    SolverFailed
        When the solver ends without an answer; bringing nothing always is one.
    """
    loads = loads_of(neighbourhood, residues)
    flow = flow_of(neighbourhood, loads)
    if not flow.brought:
        return _sharing(neighbourhood, loads, flow, {}, {}, 0.0)
    solution = minimised(flow.model, effort)
    if solution is None:
        raise MullbedError("bringing nothing must be possible, and the solver says it is not")
    amounts = {key: round(float(solution.values[column])) for key, column in flow.brought.items()}
    tours = {key: round(float(solution.values[column])) for key, column in flow.trips.items()}
    return _sharing(neighbourhood, loads, flow, amounts, tours, solution.gap if abs(solution.cost) > 1e-9 else 0.0)


def _sharing(
    neighbourhood: Neighbourhood,
    loads: Sequence[Load],
    flow: Flow,
    amounts: Mapping[tuple[int, int, int], int],
    tours: Mapping[tuple[int, int, int], int],
    gap: float,
) -> Sharing:
    """Return the facts of a solution."""
    account = Account(neighbourhood, loads, flow.km, amounts)
    deliveries = []
    for (s, g, week), count in sorted(amounts.items(), key=lambda item: (item[0][2], item[0][0], item[0][1])):
        if count <= 0:
            continue
        load, giver, way = loads[s], neighbourhood.givers[s], flow.km[s, g]
        rounds = tours.get((s, g, week), 0)
        other, loses = next_best(account, s, g)
        deliveries.append(
            Delivery(
                week,
                neighbourhood.monday(week),
                giver.name,
                neighbourhood.takers[g].name,
                giver.residue,
                load.matter,
                count,
                giver.container.name,
                count * load.standard,
                rounds or int(-(-count * load.standard // max(1e-9, neighbourhood.haul.containers_per_trip))),
                way,
                count * haul_cost(neighbourhood, load, way) + rounds * trip_cost(neighbourhood, way),
                load.nitrogen.scaled(float(count)),
                None if other is None else neighbourhood.takers[other].name,
                loses,
            )
        )
    takers = taker_shares(account)
    came = sum(load.standard * sum(load.weekly) for load in loads)
    gone = sum(one.standard for one in deliveries)
    return Sharing(
        neighbourhood.name,
        neighbourhood.first_day,
        neighbourhood.weeks,
        neighbourhood.price_unit,
        neighbourhood.container.name,
        tuple(deliveries),
        giver_shares(account),
        takers,
        sum(taker.worth for taker in takers),
        sum(one.cost for one in deliveries),
        neighbourhood.left_cost * max(0.0, came - gone),
        gap,
    )
