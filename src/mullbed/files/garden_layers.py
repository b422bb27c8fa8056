"""What already lies on a bed, and other dated inputs such as compost or fertiliser."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from mullbed.domain.bed import DatedInput
from mullbed.domain.layer import Layer, Lift
from mullbed.domain.supply import Container
from mullbed.files import amounts
from mullbed.files.garden_containers import Portion, portion
from mullbed.files.garden_site import day_within
from mullbed.files.reading import Table, shown

OLDEST_LAYER_DAYS = 730
"""Layers laid longer before the season are soil by now. [d]"""
THICKEST_LAYER = 1.0
"""[m]"""
MOST_LIFTS = 12
MOST_WATER = 100.0
"""Most water poured over one layer. [mm]"""


@dataclass(frozen=True, slots=True)
class LaidEntry:
    """A layer as written: what was laid on the whole bed, and the water poured over it."""

    day: date
    portions: tuple[Portion, ...]
    water_litres: float
    table: Table

    def scaled(self, factor: float) -> LaidEntry:
        """Return the same layer on a bed so many times as large."""
        portions = tuple(part.scaled(factor) for part in self.portions)
        return LaidEntry(self.day, portions, self.water_litres * factor, self.table)

    def layer(self, bed: str, area: float, containers: tuple[Container, ...]) -> Layer | None:
        """Return the layer on a bed of so many m2, or None after noting that it is impossibly thick or wet."""
        lifts: tuple[Lift, ...] = tuple(part.lift(area, containers) for part in self.portions)
        layer = Layer(bed, self.day, lifts, self.water_litres / area)
        if layer.thickness > THICKEST_LAYER:
            remedy = "Check the amounts, the containers and the area of the bed."
            self.table.fault("lifts", f"{layer.thickness:.2f} m thick", f"at most {THICKEST_LAYER:g} m", remedy)
            return None
        if layer.water > MOST_WATER:
            remedy = "Check the water and the area of the bed."
            self.table.fault("water", f"{layer.water:.0f} mm", f"at most {MOST_WATER:g} mm (L/m2)", remedy)
            return None
        return layer


def read_layers(bed: Table, season: tuple[date, date], containers: tuple[Container, ...]) -> tuple[LaidEntry, ...]:
    """Return the layers that already lie on a bed, oldest first."""
    entries = []
    for table in bed.tables("layers"):
        day = table.day("day", required="Write day = 2027-02-20, the day it was laid.")
        lifts = table.raw("lifts")
        water = table.parsed("water", amounts.water, '1 to 100000 L on the whole bed, such as "10 L"')
        portions = _portions(table, lifts, containers)
        table.no_others()
        day = day_within(table, "day", day, season, OLDEST_LAYER_DAYS)
        if day is not None and day > season[1]:
            table.fault("day", str(day), f"not after {season[1]}", "Existing layers lie before the season ends.")
            continue
        if day is not None and portions:
            entries.append(LaidEntry(day, portions, water or 0.0, table))
    return tuple(sorted(entries, key=lambda entry: entry.day))


def _portions(table: Table, lifts: object, containers: tuple[Container, ...]) -> tuple[Portion, ...]:
    allowed = "a list of lifts from the soil up"
    remedy = 'Write lifts = ["dry leaves: 3 barrow", "straw: 50 mm"].'
    if not isinstance(lifts, list) or not 1 <= len(lifts) <= MOST_LIFTS:
        table.fault("lifts", shown(lifts) if lifts is not None else "missing", allowed, remedy)
        return ()
    portions = []
    for written in lifts:
        try:
            portions.append(portion(written, containers))
        except ValueError as error:
            table.fault("lifts", shown(written), 'residue and amount, such as "dry leaves: 3 barrow"', str(error))
    return tuple(portions) if len(portions) == len(lifts) else ()


def read_inputs(bed: Table, season: tuple[date, date]) -> tuple[DatedInput, ...]:
    """Return compost, fertiliser and other inputs given on a day."""
    inputs = []
    allowed = '0 to 200 g/m2 (0 to 2000 kg/ha), such as "6 g/m2"'
    for table in bed.tables("inputs"):
        day = table.day("day", required="Write day = 2027-04-01.")
        name = table.text("name", required='Write name = "compost".')
        nitrogen = table.parsed("nitrogen", amounts.nutrient_load, allowed, required='Write nitrogen = "6 g/m2".')
        phosphorus = table.parsed("phosphorus", amounts.nutrient_load, allowed)
        mineral = table.parsed("mineral_share", amounts.share, 'the share that acts at once, 0 to 1 or "90 %"')
        table.no_others()
        day = day_within(table, "day", day, season, 366)
        if day is not None and name is not None and nitrogen is not None:
            inputs.append(DatedInput(day, name, nitrogen, mineral or 0.0, phosphorus or 0.0))
    return tuple(sorted(inputs, key=lambda given: given.day))
