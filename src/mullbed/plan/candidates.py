"""One layer in whole containers that could be laid on one bed in one week, and what it is made of.

Amounts are whole containers from the start, so that nothing is rounded after solving.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from math import floor, inf

from mullbed.domain.layer import Layer, Lift
from mullbed.plan.terms import BedTerms, DayLimits, PlanTerms, Stock, Week

#: Share of the dry residue that goes under the soft fresh lift. [fraction, judgement]
BASE_SHARE = 0.4
MILLIGRAMS = 1e-9


@dataclass(frozen=True, slots=True)
class Portion:
    """So many containers of one stock."""

    stock: int
    count: int


@dataclass(frozen=True, slots=True)
class Candidate:
    """One layer that could be laid on one bed in one week."""

    bed: int
    week: int
    day: date
    soft: Portion | None
    dry: Portion
    base_count: int
    """Containers of the dry residue that go under the soft fresh lift."""
    soft_load: float
    """Dry matter. [g m-2]"""
    dry_load: float
    """Dry matter. [g m-2]"""
    water: float
    """Water poured. [mm]"""
    nitrogen: float
    """Total nitrogen laid. [g m-2]"""
    phosphorus: float
    """[g m-2]"""
    thickness: float
    """As laid. [m]"""
    minutes: float
    litres: float
    disturbed: float = 0.0
    """Share of the bed on which it is in the way of sowing, planting or picking. [fraction]"""
    standing: bool = False
    """Whether it is a layer of the plan so far."""
    wanted: bool = False
    """Whether it is to be kept, whatever the plan finds best (R26)."""

    @property
    def portions(self) -> tuple[Portion, ...]:
        """Every stock it takes from."""
        return (self.dry,) if self.soft is None else (self.soft, self.dry)


def spread_out(unit: Lift, count: float, area: float) -> Lift:
    """Return so many containers of a stock spread on an area."""
    share = count / area
    return replace(
        unit,
        count=count,
        dry_matter=unit.dry_matter * share,
        thickness=unit.thickness * share,
        tissue_water=unit.tissue_water * share,
        free_water=unit.free_water * share,
    )


def lifts_of(candidate: Candidate, stocks: tuple[Stock, ...], area: float) -> tuple[Lift, ...]:
    """Return the lifts from the soil up: base of dry residue, soft fresh, cap of dry residue."""
    dry = stocks[candidate.dry.stock].unit
    if candidate.soft is None:
        return (spread_out(dry, candidate.dry.count, area),)
    soft = spread_out(stocks[candidate.soft.stock].unit, candidate.soft.count, area)
    cap = spread_out(dry, candidate.dry.count - candidate.base_count, area)
    if candidate.base_count == 0:
        return (soft, cap)
    return (spread_out(dry, candidate.base_count, area), soft, cap)


def layer_of(candidate: Candidate, terms: PlanTerms) -> Layer:
    """Return the candidate as a layer of the garden."""
    bed = terms.beds[candidate.bed]
    return Layer(bed.name, candidate.day, lifts_of(candidate, terms.stocks, bed.area), candidate.water)


def water_in(unit: Lift) -> float:
    """Return all water of one container. [g, per square metre]"""
    return 1000.0 * (unit.tissue_water + unit.free_water)


def least_dry_per_soft(soft: Stock, dry: Stock, wettest: float) -> float:
    """Return the dry residue that keeps the layer from being too wet. [g dry matter per g soft fresh dry matter]"""
    wet, drier = water_in(soft.unit) / soft.unit.dry_matter, water_in(dry.unit) / dry.unit.dry_matter
    most = wettest / (1.0 - wettest)
    if drier >= most:
        return inf
    return max(0.0, (wet - most) / (most - drier))


def water_to_pour(soft_load: float, soft: Stock | None, dry_load: float, dry: Stock, limits: DayLimits) -> float | None:
    """Return the water that wets the dry lifts on their own mass without making the layer too wet. [mm]

    None when the layer is too wet already (R8).
    """
    low, high = limits.moisture
    held = dry_load * water_in(dry.unit) / dry.unit.dry_matter
    if soft is not None:
        held += soft_load * water_in(soft.unit) / soft.unit.dry_matter
    mass = soft_load + dry_load
    wettest, driest = mass * high / (1.0 - high), mass * low / (1.0 - low)
    if held > wettest * (1.0 + MILLIGRAMS):
        return None
    own = limits.moisture_of_dry / (1.0 - limits.moisture_of_dry)
    wanted = max(0.0, dry_load * (own - water_in(dry.unit) / dry.unit.dry_matter))
    return max(driest - held, min(wanted, wettest - held), 0.0) / 1000.0


def made(
    bed_index: int, week: Week, day: date, soft: Portion | None, dry: Portion, terms: PlanTerms, moist: bool = True
) -> Candidate | None:
    """Return the candidate of these whole containers, or None where it is too wet (R8)."""
    bed = terms.beds[bed_index]
    stocks, limits = terms.stocks, terms.limits
    dry_stock = stocks[dry.stock]
    dry_load = dry_stock.unit.dry_matter * dry.count / bed.area
    soft_stock = None if soft is None else stocks[soft.stock]
    soft_load = 0.0 if soft is None or soft_stock is None else soft_stock.unit.dry_matter * soft.count / bed.area
    water = water_to_pour(soft_load, soft_stock, dry_load, dry_stock, limits)
    if water is None:
        if moist:
            return None
        water = 0.0
    nitrogen, phosphorus = dry_load * dry_stock.nitrogen, dry_load * dry_stock.phosphorus
    thickness = dry_stock.unit.thickness * dry.count / bed.area
    minutes = limits.minutes_per_visit + limits.minutes_per_area * bed.area + dry_stock.minutes * dry.count
    if soft is not None and soft_stock is not None:
        nitrogen += soft_load * soft_stock.nitrogen
        phosphorus += soft_load * soft_stock.phosphorus
        thickness += soft_stock.unit.thickness * soft.count / bed.area
        minutes += soft_stock.minutes * soft.count
    litres = water * bed.area
    minutes += litres / limits.litres_per_minute
    base = 0
    if soft is not None:
        base = floor(dry.count * BASE_SHARE + 0.2)
        while base and (dry.count - base) * dry_stock.unit.thickness / bed.area < limits.thinnest_cap:
            base -= 1
    return Candidate(
        bed_index,
        week.index,
        day,
        soft,
        dry,
        base,
        soft_load,
        dry_load,
        water,
        nitrogen,
        phosphorus,
        thickness,
        minutes,
        litres,
        disturbed(bed, day, limits.days_disturbing),
    )


def disturbed(bed: BedTerms, day: date, near: int) -> float:
    """R24: return the share of a bed on which a layer is in the way of sowing, planting or picking. [fraction]"""
    share = sum(
        crop.share
        for crop in bed.growing
        if abs((day - crop.planted).days) <= near or 0 <= (crop.harvested - day).days <= near
    )
    return min(1.0, share)
