"""What the record keeps of work on a bed: layers really laid, covers drawn back, water, feed, digging, hours, costs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation

from mullbed.domain.bed import DatedInput, Irrigation, Watering
from mullbed.domain.layer import Layer, Lift
from mullbed.domain.record_checks import checked, checked_share


@dataclass(frozen=True, slots=True)
class LiftLaid:
    """One lift as it was really laid: what was said, and what it comes to."""

    lift: Lift
    """Worked out from what was said, in canonical units."""
    said: str
    """The amount as the grower gave it, such as "3 buckets", "12 kg" or "25 mm"."""
    batch: str | None = None
    """Name of the batch it came from; None where none was named."""
    fresh_kg: float | None = None
    """Fresh mass on the whole bed, where weighed. [kg]"""

    def __post_init__(self) -> None:
        checked(fresh_kg=self.fresh_kg, dry_matter=self.lift.dry_matter, thickness=self.lift.thickness)


@dataclass(frozen=True, slots=True)
class LayerLaid:
    """A layer as it was really laid on the entry's bed and day, lifts from the soil up."""

    lifts: tuple[LiftLaid, ...]
    water: float = 0.0
    """Poured over it. [mm]"""
    planned: str | None = None
    """Id of the plan's entry it was done for; None where it was not planned."""
    planned_day: date | None = None
    """Day the plan had named."""
    minutes: float | None = None
    """Work. [min]"""
    plot: str | None = None
    words: str = ""

    def __post_init__(self) -> None:
        checked(water=self.water, minutes=self.minutes)
        if not self.lifts:
            raise ValueError("a layer holds at least one lift")

    def layer(self, bed: str, day: date) -> Layer:
        """Return it as the layer the engine lays."""
        return Layer(bed, day, tuple(one.lift for one in self.lifts), self.water)


@dataclass(frozen=True, slots=True)
class CoverDrawnBack:
    """Cover taken off the soil."""

    share: float = 1.0
    """Share of the cover. [fraction]"""
    for_what: str = ""
    """Such as sowing; free words."""
    put_back: bool = False
    """True when it was drawn over the bed again."""

    def __post_init__(self) -> None:
        checked_share(share=self.share)


@dataclass(frozen=True, slots=True)
class Watered:
    """Water given on one day, apart from rain and from what was poured on a layer."""

    depth: float
    """[mm]"""
    way: Irrigation = Irrigation.BY_HAND
    said: str = ""
    """The amount as given, such as "3 cans" or "40 L"."""

    def __post_init__(self) -> None:
        checked(depth=self.depth)


@dataclass(frozen=True, slots=True)
class IrrigationSet:
    """How the bed is watered from the entry's day on."""

    watering: Watering


@dataclass(frozen=True, slots=True)
class Fed:
    """Compost, fertiliser or another input, as nutrients."""

    name: str
    nitrogen: float
    """Total nitrogen. [g m-2]"""
    mineral_share: float
    """[fraction]"""
    phosphorus: float
    """[g m-2]"""
    potassium: float | None = None
    """[g m-2]"""
    said: str = ""

    def __post_init__(self) -> None:
        checked(nitrogen=self.nitrogen, phosphorus=self.phosphorus, potassium=self.potassium)
        checked_share(mineral_share=self.mineral_share)

    def dated_input(self, day: date) -> DatedInput:
        """Return it as the input the engine gives."""
        return DatedInput(day, self.name, self.nitrogen, self.mineral_share, self.phosphorus)


@dataclass(frozen=True, slots=True)
class DugIn:
    """What lay on the bed was turned into the soil."""

    depth: float
    """[m]"""

    def __post_init__(self) -> None:
        checked(depth=self.depth)


@dataclass(frozen=True, slots=True)
class HoursWorked:
    """Work of one or more people on one job."""

    job: str
    minutes: float
    """All people together. [min]"""
    people: int = 1

    def __post_init__(self) -> None:
        checked(minutes=self.minutes, people=self.people)


@dataclass(frozen=True, slots=True)
class Cost:
    """Money spent or taken in."""

    what: str
    amount: str
    """Decimal number as a text, so that no cent is lost; below zero for income."""
    currency: str
    """Three letters, ISO 4217."""

    def __post_init__(self) -> None:
        try:
            sound = Decimal(self.amount).is_finite()
        except InvalidOperation:
            sound = False
        if not sound:
            raise ValueError(f"the amount is {self.amount}; it must be a number such as 12.50")
        if not (len(self.currency) == 3 and self.currency.isascii() and self.currency.isupper()):
            raise ValueError(f"the currency is {self.currency}; it must be three letters such as EUR")
