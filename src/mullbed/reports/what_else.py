"""What could be done instead of a layer, and what a little more of a limit is worth, as sentences."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from mullbed.domain.layer import Lift
from mullbed.domain.season_plan import Alternative, SeasonPlan, Worth
from mullbed.language import say
from mullbed.reports.amounts import count_words
from mullbed.reports.names import residue_name
from mullbed.reports.words import day_words, listed, month_words, number

#: Worth less than this is not said. [g, judgement]
WORTH_SAYING = 0.3


def instead_words(other: Alternative) -> str:
    """Return the next best thing to do instead of a layer, and what it costs."""
    cost = say("{amount} g of nitrogen", amount=number(max(0.0, other.cost)))
    if other.layer is None:
        return say("Next best is no layer at all; it costs as much as crops missing {cost}.", cost=cost)
    things = listed(
        [
            say("{amount} of {thing}", amount=count_words(lift.count, lift.container), thing=residue_name(lift.residue))
            for lift in together(other.layer.lifts)
        ]
    )
    told = {"things": things, "day": day_words(other.layer.day), "cost": cost}
    return say("Next best: {things} on {day}; it costs as much as crops missing {cost}.", **told)


def together(lifts: Sequence[Lift]) -> list[Lift]:
    """Return lifts of one residue as one, as they are gathered."""
    found: dict[tuple[str, str], Lift] = {}
    for lift in lifts:
        key = (lift.residue, lift.container)
        found[key] = replace(lift, count=lift.count + (found[key].count if key in found else 0.0))
    return list(found.values())


def worth_saying(plan: SeasonPlan, most: int = 5) -> tuple[Worth, ...]:
    """Return what a little more would be worth where that is enough to be said, the most first."""
    return tuple(one for one in plan.worth if one.worth >= WORTH_SAYING)[:most]


def worth_words(one: Worth) -> str:
    """Return what a little more of a limit is worth."""
    when = say(" in {month}", month=month_words(one.month)) if one.month else ""
    told = {"when": when, "worth": number(one.worth)}
    if one.what is not None:
        told |= {"container": count_words(1.0, one.unit), "supply": one.what.replace("_", " ")}
        return say("{container} more of {supply}{when} is worth {worth} g of nitrogen to crops.", **told)
    if one.limit == "work in a day":
        return say("An hour more on a laying day{when} is worth {worth} g of nitrogen to crops.", **told)
    return say("Ten litres more on a laying day{when} are worth {worth} g of nitrogen to crops.", **told)
