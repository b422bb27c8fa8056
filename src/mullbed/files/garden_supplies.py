"""Residues in hand and expected: how much, from when, how often, fresh or dried, and what must wait."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from mullbed.domain.supply import Container, Supply
from mullbed.files import amounts
from mullbed.files.garden_containers import container_named, residue_named
from mullbed.files.garden_site import day_within
from mullbed.files.reading import Table
from mullbed.units import Kind

MOST_CONTAINERS = 100_000.0
MOST_SUPPLIES = 1000
IN_HAND_DAYS = 1100
"""Stocks may be as old as this. [d]"""


@dataclass(frozen=True, slots=True)
class Counted:
    """So many of one container."""

    count: float
    container: Container


def read_supplies(root: Table, season: tuple[date, date], containers: tuple[Container, ...]) -> tuple[Supply, ...]:
    """Return the supplies of the garden."""
    tables = root.tables("supplies")
    if len(tables) > MOST_SUPPLIES:
        root.fault("supplies", f"{len(tables)} supplies", f"at most {MOST_SUPPLIES}", "Join supplies that are alike.")
        return ()
    found = (_supply(table, season, containers) for table in tables)
    return tuple(supply for supply in found if supply is not None)


def _supply(table: Table, season: tuple[date, date], containers: tuple[Container, ...]) -> Supply | None:
    name = table.text("name")
    residue = table.parsed("residue", residue_named, "a residue of the table", required="Name the residue.")
    counted = table.parsed(
        "amount",
        lambda value: _counted(value, containers),
        f'above 0 to {MOST_CONTAINERS:g} containers each time, such as "2 barrow"',
        required='Write amount = "2 barrow".',
    )
    first_day = table.day("from")
    last_day = table.day("until")
    every = table.parsed("every", amounts.days, '1 day to 3 years, such as "10 days"')
    shelf = table.parsed("keeps", amounts.days, '1 day to 3 years, such as "5 days"')
    weighed = table.parsed("weighed", amounts.mass, '0.01 to 2000 kg for one container, such as "3.1 kg"')
    held = table.text("held_because")
    held_until = table.day("held_until")
    minutes = table.number("minutes_to_fetch", 0.0, 1440.0, "minutes for one container")
    dried, bought_in = table.flag("dried"), table.flag("bought_in")
    heated = table.flag("heated")
    may_fail = table.parsed("may_fail", amounts.share, 'the chance that it does not come, 0 to 1 or "20 %"')
    table.no_others()
    first_day = season[0] if first_day is None else day_within(table, "from", first_day, season, IN_HAND_DAYS)
    if last_day is not None:
        last_day = day_within(table, "until", last_day, season, IN_HAND_DAYS)
    if first_day is not None and last_day is not None and last_day < first_day:
        table.fault("until", f"{last_day} is before {first_day}", "a day not before from", "Swap the two days.")
    if first_day is not None and first_day > season[1]:
        remedy = "Correct the date, or leave this supply to the next season."
        table.fault("from", str(first_day), f"not after the season's end, {season[1]}", remedy)
    if last_day is not None and every is None:
        remedy = 'Write every = "10 days", or remove until.'
        table.fault("until", "given without every", "only for what comes again", remedy)
    if held_until is not None and held is None:
        remedy = 'Write held_because = "bean test due".'
        table.fault("held_until", "given without held_because", "a reason", remedy)
    if residue is None or counted is None or first_day is None:
        return None
    if weighed is not None:
        litres = counted.container.litres.mid
        if not 2.0 <= weighed / litres * 1000.0 <= 2000.0:
            found = f"{weighed:g} kg in {litres:g} L, {weighed / litres * 1000.0:.0f} kg/m3"
            table.fault("weighed", found, "2 to 2000 kg/m3", "Weigh one filled container, without its own weight.")
            return None
    return Supply(
        residue=residue.key,
        container=counted.container.name,
        count=counted.count,
        first_day=first_day,
        every_days=every,
        last_day=last_day,
        dried=dried,
        shelf_life_days=None if shelf is None else float(shelf),
        weighed_kg=weighed,
        held_because=held,
        held_until=held_until,
        bought_in=bought_in,
        minutes_to_fetch=minutes,
        name=name,
        heated=heated,
        may_fail=0.0 if may_fail is None else may_fail,
    )


def _counted(value: object, containers: tuple[Container, ...]) -> Counted:
    """Return a count of containers from a text such as "2 barrow"."""
    quantity = amounts.counted(value, "2 barrow")
    if quantity.kind is not Kind.COUNT or quantity.container is None:
        raise ValueError(
            "Count it in containers: of the table (bucket, bag, barrow ...), or your own under [[containers]]."
        )
    if not 0.0 < quantity.value <= MOST_CONTAINERS:
        raise ValueError("Correct the number of containers; remove a supply that brings nothing.")
    return Counted(quantity.value, container_named(quantity.container, containers))
