"""Work on a bed beside laying: water, cover drawn back, irrigation, feed, digging in."""

from __future__ import annotations

from mullbed.domain.bed import Irrigation, Watering
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_work import CoverDrawnBack, DugIn, Fed, IrrigationSet, Watered
from mullbed.domain.signing import Kept
from mullbed.errors import Fault, InputFault
from mullbed.files import amounts
from mullbed.files.noted_words import depth_of_water
from mullbed.units import Kind as UnitKind
from mullbed.units import parse_as
from mullbed.usecases.log_line.opening import Line, keep, opened, said_words


def log_water(line: Line, bed: str, amount: str) -> Kept:
    """Keep water given to a bed: cans, litres or a depth."""
    with opened(line) as at:
        here = at.bed(bed)
        depth = depth_of_water(amount, here.area, at.containers)
        return keep(at, Kind.WATER, Watered(depth, said=amount.strip()), bed=here)


def log_drawn_back(line: Line, bed: str, *, share: float = 1.0, put_back: bool = False) -> Kept:
    """Keep that cover was drawn off the soil, or put back."""
    with opened(line) as at:
        return keep(at, Kind.DRAWN_BACK, CoverDrawnBack(share, line.words, put_back), bed=at.bed(bed))


def log_irrigation(line: Line, bed: str, way: Irrigation, *, per_week: str | None = None, moist: bool = False) -> Kept:
    """Keep how a bed is watered from the day on: litres or a depth a week, or kept moist."""
    with opened(line) as at:
        here = at.bed(bed)
        depth = None
        if per_week is not None:
            try:
                depth = amounts.weekly_water(per_week, here.area)
            except ValueError as error:
                raise InputFault([Fault("--per-week", f"'{per_week}'", "litres or a depth", str(error))]) from error
        if (way is Irrigation.NONE and (depth is not None or moist)) or (depth is not None and moist):
            remedy = "Say none, litres a week, or kept moist."
            raise InputFault([Fault("irrigation", "two ways at once", "one of them", remedy)])
        return keep(at, Kind.IRRIGATION, IrrigationSet(Watering(way, depth, moist)), bed=here)


def log_fed(
    line: Line, bed: str, name: str, nitrogen: str, *, phosphorus: str | None = None, mineral_share: float = 0.0
) -> Kept:
    """Keep compost, fertiliser or another input, as nutrients per area."""
    with opened(line) as at:
        loads = []
        for place, text in (("nitrogen", nitrogen), ("--phosphorus", phosphorus)):
            try:
                loads.append(0.0 if text is None else amounts.nutrient_load(text))
            except ValueError as error:
                raise InputFault([Fault(place, f"'{text}'", 'such as "6 g/m2"', str(error))]) from error
        facts = Fed(said_words(name, "name"), loads[0], mineral_share, loads[1], None, nitrogen.strip())
        return keep(at, Kind.FED, facts, bed=at.bed(bed))


def log_dug_in(line: Line, bed: str, depth: str) -> Kept:
    """Keep that what lay on a bed was turned into the soil."""
    with opened(line) as at:
        metres = parse_as(depth, UnitKind.LENGTH, "depth", "cm")
        if not 0.01 <= metres <= 0.6:
            raise InputFault([Fault("depth", f"{metres:g} m", "1 to 60 cm", "Check number and unit.")])
        return keep(at, Kind.DUG_IN, DugIn(metres), bed=at.bed(bed))
