"""Ready-made layers in whole containers: what could be laid on which bed in which week.

Amounts are whole containers from the start, so that nothing is rounded after solving. The rules that can be seen
on one layer alone are checked here; their numbers are those of docs/topics/planning-rules.md.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import ceil, floor, inf

from mullbed.domain.layer import Layer, Lift
from mullbed.plan.terms import BedTerms, DayLimits, PlanTerms, Stock, Week

#: Soft fresh load of a layer, as nitrogen: thinner is not worth the visit, thicker would be the year's share at once.
LEAST_NITROGEN, MOST_NITROGEN = 2.0, 20.0
"""Common practice has no figure; judgement. [g N m-2]"""
#: Dry matter of a layer of dry residue alone. [g m-2, judgement]
LEAST_COVER, MOST_COVER = 250.0, 1000.0
#: Most dry matter per soft fresh dry matter beyond the least that moisture asks for. [1, judgement]
RICHEST_IN_DRY = 2.5
#: Share of the dry residue that goes under the soft fresh lift. [fraction, judgement]
BASE_SHARE = 0.4
MOST_PER_BED_AND_WEEK = 60
#: Dry stocks a soft fresh lift may be capped with in one week. [judgement]
DRY_PARTNERS = 2
#: A cover of dry residue alone does not hurry: it is offered every so many weeks. [judgement]
DRY_EVERY = 2
MILLIGRAMS = 1e-9
SOW_AFTER_GREEN = "sow_after_green"
"""Key of the safety rule behind R13."""


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


@dataclass(frozen=True, slots=True)
class Refusals:
    """How many candidates each rule turned away, by bed."""

    by_bed: dict[str, Counter[str]]

    def most(self, bed: str) -> str | None:
        """Return the rule that turned most away on a bed."""
        counts = self.by_bed.get(bed)
        return counts.most_common(1)[0][0] if counts else None


Check = Callable[[Candidate, BedTerms, PlanTerms], bool]


def too_thick_soft(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R7: a soft fresh lift is no thicker than the limit."""
    if candidate.soft is None:
        return False
    unit = terms.stocks[candidate.soft.stock].unit
    return unit.thickness * candidate.soft.count / bed.area > terms.limits.thickest_soft_fresh + MILLIGRAMS


def cap_too_thin(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R9: soft fresh matter lies under a cap of dry residue that hides it."""
    if candidate.soft is None:
        return False
    unit = terms.stocks[candidate.dry.stock].unit
    cap = unit.thickness * (candidate.dry.count - candidate.base_count) / bed.area
    return cap < terms.limits.thinnest_cap - MILLIGRAMS


def before_direct_sowing(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R13: no soft fresh layer so many days before direct sowing; more before fine seed."""
    if candidate.soft is None or (SOW_AFTER_GREEN, bed.name) in terms.safety.waived:
        return False
    for crop in bed.growing:
        wait = terms.limits.days_before_fine_seed if crop.fine_seed else terms.limits.days_before_direct_sowing
        if crop.sown_direct and timedelta(0) <= crop.planted - candidate.day < timedelta(days=wait):
            return True
    return False


def over_seedlings(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R14: no layer over seedlings of a crop that fills half of the bed or more."""
    wait = timedelta(days=terms.limits.days_after_direct_sowing)
    return any(
        crop.sown_direct and crop.share >= 0.5 and timedelta(0) <= candidate.day - crop.planted < wait
        for crop in bed.growing
    )


def before_harvest(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R15: what needs a wait before harvest is not laid within it."""
    waits = [terms.stocks[portion.stock].harvest_wait for portion in candidate.portions]
    return any(
        timedelta(0) <= crop.harvested - candidate.day < timedelta(days=wait.days_for(crop.crop))
        for crop in bed.growing
        for wait in waits
        if wait is not None and (wait.rule, bed.name) not in terms.safety.waived
    )


def barred_here(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R22: what a rule of safety bars from a bed is not laid there."""
    if not terms.safety.bars:
        return False
    names = [terms.stocks[portion.stock].name for portion in candidate.portions]
    return any(terms.safety.barred(name, bed.name, candidate.day) is not None for name in names)


def bought_on_rich_soil(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R12: where phosphorus is very high only the garden's own residues are laid."""
    return bed.own_only and any(terms.stocks[portion.stock].bought_in for portion in candidate.portions)


def left_alone(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R25: no layer on a bed on days on which the grower wants it left alone."""
    return any(first <= candidate.day <= last for first, last in bed.left_alone)


def more_than_at_hand(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R3, R4, R5: it takes no more than could be there, still good and not held, on that day."""
    return any(
        terms.stocks[p.stock].most_on(terms.stock_days[p.stock][candidate.week] or candidate.day) < p.count - MILLIGRAMS
        for p in candidate.portions
    )


def past_a_ceiling(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R10, R12: one layer alone stays under the year's ceilings of nitrogen and phosphorus laid."""
    return candidate.nitrogen > bed.nitrogen_ceiling or candidate.phosphorus > bed.phosphorus_ceiling


def past_the_day(candidate: Candidate, bed: BedTerms, terms: PlanTerms) -> bool:
    """R16, R17: one layer alone can be done in a day."""
    limits = terms.limits
    return (limits.minutes_per_day is not None and candidate.minutes > limits.minutes_per_day) or (
        limits.litres_per_day is not None and candidate.litres > limits.litres_per_day
    )


#: Rules one layer must keep by itself. Moisture (R8) is kept when water is worked out; away weeks (R18) have no day.
CHECKS: dict[str, Check] = {
    "R3": more_than_at_hand,
    "R7": too_thick_soft,
    "R9": cap_too_thin,
    "R10": past_a_ceiling,
    "R12": bought_on_rich_soil,
    "R13": before_direct_sowing,
    "R14": over_seedlings,
    "R15": before_harvest,
    "R16": past_the_day,
    "R22": barred_here,
    "R25": left_alone,
}


def whole_counts(unit_load: float, least: float, most: float, steps: int) -> tuple[int, ...]:
    """Return up to so many whole counts whose load lies between least and most, spread evenly by ratio."""
    first, last = max(1, ceil(least / unit_load - MILLIGRAMS)), floor(most / unit_load + MILLIGRAMS)
    if last < first:
        return ()
    if steps == 1:
        return (first,)
    ratio = (last / first) ** (1.0 / (steps - 1))
    return tuple(sorted({round(first * ratio**step) for step in range(steps)}))


def soft_window(soft: Stock, limits: DayLimits) -> tuple[float, float]:
    """Return the least and most soft fresh dry matter of one layer. [g m-2]"""
    thickest = limits.thickest_soft_fresh * soft.unit.dry_matter / soft.unit.thickness
    least = min(LEAST_NITROGEN / soft.nitrogen, 0.6 * thickest)
    return least, min(MOST_NITROGEN / soft.nitrogen, thickest)


def dry_window(soft: Stock, dry: Stock, limits: DayLimits) -> tuple[float, float]:
    """Return the least and most dry residue per soft fresh dry matter. [1]"""
    least = max(0.5, least_dry_per_soft(soft, dry, limits.moisture[1]))
    return least, RICHEST_IN_DRY * least


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


def partners(week: Week, terms: PlanTerms, most: int = DRY_PARTNERS) -> tuple[int, ...]:
    """Return the dry stocks that soft fresh matter is capped with in a week: those of which there is most."""
    there = []
    for index, stock in enumerate(terms.stocks):
        day = terms.stock_days[index][week.index]
        if not stock.soft_fresh and day is not None and stock.most_on(day) >= 1.0:
            there.append((-stock.most_on(day) * stock.unit.dry_matter, index))
    return tuple(index for _, index in sorted(there)[:most])


def offered(bed_index: int, week: Week, terms: PlanTerms, moist: bool) -> Iterator[Candidate | None]:
    """Yield every whole-container layer of the windows for one bed and week; None for one that is too wet."""
    usual = week.laying_day
    if usual is None:  # R18: nobody is there
        return
    bed, limits = terms.beds[bed_index], terms.limits
    for index, dry in enumerate(terms.stocks):
        day = terms.stock_days[index][week.index]
        if dry.soft_fresh or day is None or dry.most_on(day) < 1.0 or week.index % DRY_EVERY:
            continue
        for count in whole_counts(dry.unit.dry_matter / bed.area, LEAST_COVER, MOST_COVER, 2):
            yield made(bed_index, week, usual, None, Portion(index, count), terms, moist)
    caps = partners(week, terms)
    for soft_index, soft in enumerate(terms.stocks):
        day = terms.stock_days[soft_index][week.index]
        if not soft.soft_fresh or day is None or soft.most_on(day) < 1.0:
            continue
        least, most = soft_window(soft, limits)
        unit = soft.unit.dry_matter / bed.area
        for soft_count in whole_counts(unit, 0.8 * least, min(1.1 * most, soft.most_on(day) * unit), 3):
            for place, dry_index in enumerate(caps):
                dry = terms.stocks[dry_index]
                lean, rich = dry_window(soft, dry, limits)
                if lean == inf:
                    yield None
                    continue
                cap = limits.thinnest_cap * dry.unit.dry_matter / dry.unit.thickness
                least_load = max(lean * unit * soft_count, cap)
                most_load = max(rich * unit * soft_count, 1.3 * least_load, dry.unit.dry_matter / bed.area)
                for count in whole_counts(dry.unit.dry_matter / bed.area, least_load, most_load, 1 if place else 2):
                    portion = Portion(soft_index, soft_count)
                    yield made(bed_index, week, day, portion, Portion(dry_index, count), terms, moist)


def ready_made(
    terms: PlanTerms, without: Iterable[str] = (), standing: Mapping[int, Sequence[Candidate]] | None = None
) -> tuple[tuple[tuple[Candidate, ...], ...], Refusals]:
    """Return the candidates by bed that keep every rule of a single layer, and what was turned away.

    Parameters
    ----------
    terms : PlanTerms
        Beds, stocks, weeks and limits.
    without : iterable of str
        Rules left out, for tests that show what each rule prevents.
    standing : mapping, optional
        Layers of the plan so far that can still be laid, by bed; each is among the candidates.
    """
    left_out = frozenset(without)
    checks = {rule: check for rule, check in CHECKS.items() if rule not in left_out}
    by_bed: list[tuple[Candidate, ...]] = []
    refusals: dict[str, Counter[str]] = {}
    for bed_index, bed in enumerate(terms.beds):
        kept: list[Candidate] = []
        counts: Counter[str] = Counter()
        for week in terms.weeks:
            if week.laying_day is None:
                counts["R18"] += 1
                continue
            fitting: list[Candidate] = []
            for candidate in offered(bed_index, week, terms, moist="R8" not in left_out):
                if candidate is None:
                    counts["R8"] += 1
                    continue
                broken = [rule for rule, check in checks.items() if check(candidate, bed, terms)]
                counts.update(broken)
                if not broken:
                    fitting.append(candidate)
            old = [one for one in (standing or {}).get(bed_index, ()) if one.week == week.index]
            kept.extend([*(one for one in thinned(fitting) if not any(same_layer(one, other) for other in old)), *old])
        if not kept and not counts and one_container_too_much(bed, terms):
            counts["R7"] += 1
        by_bed.append(tuple(kept))
        refusals[bed.name] = counts
    return tuple(by_bed), Refusals(refusals)


def same_layer(one: Candidate, other: Candidate) -> bool:
    """Say whether two candidates are one and the same layer."""
    return (one.bed, one.day, one.soft, one.dry) == (other.bed, other.day, other.soft, other.dry)


def one_container_too_much(bed: BedTerms, terms: PlanTerms) -> bool:
    """R7: say whether something is there of which one whole container is more than a bed can take in a layer."""
    for number, stock in enumerate(terms.stocks):
        most = soft_window(stock, terms.limits)[1] if stock.soft_fresh else MOST_COVER
        there = any(day is not None and stock.most_on(day) >= 1.0 for day in terms.stock_days[number])
        if there and stock.unit.dry_matter / bed.area > 1.1 * most:
            return True
    return False


def thinned(candidates: list[Candidate], most: int = MOST_PER_BED_AND_WEEK) -> list[Candidate]:
    """Return at most so many, every n-th of them ordered by nitrogen laid."""
    if len(candidates) <= most:
        return candidates
    ordered = sorted(candidates, key=lambda c: (c.nitrogen, c.dry_load, c.dry.stock))
    step = len(ordered) / most
    return [ordered[int(place * step)] for place in range(most)]
