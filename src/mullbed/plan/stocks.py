"""From supplies in the grower's containers to stocks the planner draws from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta

from mullbed.domain.filling import fill
from mullbed.domain.residue import Group, Residue
from mullbed.domain.safety import SafetyLimits
from mullbed.domain.supply import Container, Supply, supply_names
from mullbed.plan.terms import Arrival, Stock

#: Share of a heap of dry residue that is still there after a week in store. [judgement; no source]
DRY_KEPT_WEEKLY = 0.995
#: Work to fetch and spread one container where the grower gave none. [min, judgement]
MINUTES = 3.0
#: Above this moisture matter counts as wet and soft, to be capped. [fraction, judgement]
WET = 0.6


def is_soft_fresh(residue: Residue, dried: bool) -> bool:
    """Say whether a residue is laid wet and soft, under a cap."""
    if dried:
        return False
    if residue.group is Group.SOFT_FRESH:
        return True
    return residue.group is Group.OTHER and residue.moisture.mid >= WET


def arrivals_of(supply: Supply, last_day: date) -> tuple[Arrival, ...]:
    """Return what a supply brings until the last day of the season."""
    end = min(last_day, supply.last_day) if supply.last_day is not None else last_day
    found, day = [], supply.first_day
    while day <= end:
        found.append(Arrival(day, supply.count))
        if supply.every_days is None or supply.every_days <= 0:
            break
        day += timedelta(days=supply.every_days)
    return tuple(found)


def stock_of(
    supply: Supply,
    name: str,
    residue: Residue,
    container: Container,
    others: Iterable[Container],
    last_day: date,
    safety: SafetyLimits,
) -> Stock:
    """Return one supply as a stock; what safety bars from every bed is held, what waits before harvest waits."""
    unit = fill(residue, container, 1.0, 1.0, weighed_kg=supply.weighed_kg, dried=supply.dried, others=tuple(others))
    soft = is_soft_fresh(residue, supply.dried)
    shelf = supply.shelf_life_days
    if shelf is None and not supply.dried:
        shelf = residue.shelf_life_days
    held = safety.held(name)
    ends = [bar.until for bar in held if bar.until is not None]
    return Stock(
        name=name,
        unit=unit,
        soft_fresh=soft,
        nitrogen=residue.nitrogen.mid,
        phosphorus=residue.phosphorus.mid,
        carbon=residue.carbon.mid,
        arrivals=arrivals_of(supply, last_day),
        shelf_life_days=shelf,
        kept_weekly=1.0 if soft else DRY_KEPT_WEEKLY,
        held=bool(held),
        held_until=max(ends) if ends and len(ends) == len(held) else None,
        bought_in=supply.bought_in,
        minutes=MINUTES if supply.minutes_to_fetch is None else supply.minutes_to_fetch,
        harvest_wait=safety.harvest_waits.get(name),
        cautions=residue.cautions,
        may_fail=supply.may_fail,
    )


def stocks_of(
    supplies: Sequence[Supply],
    residues: Mapping[str, Residue],
    containers: Mapping[str, Container],
    own: Sequence[Container],
    last_day: date,
    safety: SafetyLimits,
) -> tuple[Stock, ...]:
    """Return the stocks of a garden.

    Parameters
    ----------
    supplies : sequence of Supply
    residues : mapping
        Residue table by key.
    containers : mapping
        Every container a supply names, by that name.
    own : sequence of Container
        The grower's own containers, whose weighings serve all.
    last_day : date
        Last day of the season.
    safety : SafetyLimits
        By supply name, what is barred and what waits.
    """
    return tuple(
        stock_of(
            supply,
            name,
            residues[supply.residue],
            containers[supply.container],
            [other for other in own if other.name != supply.container],
            last_day,
            safety,
        )
        for supply, name in zip(supplies, supply_names(supplies), strict=True)
    )
