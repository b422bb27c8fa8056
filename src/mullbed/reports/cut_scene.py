"""From a planned layer and what lies there to a cut that can be drawn: same thicknesses as plan.json."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from math import isfinite

from mullbed.domain.bed import Bed
from mullbed.domain.forecast import BedForecast
from mullbed.domain.garden import UnitSystem
from mullbed.domain.layer import Layer, Lift
from mullbed.domain.residue import Texture
from mullbed.domain.season_plan import PlannedLayer
from mullbed.language import say
from mullbed.reports.amounts import lift_amount, millimetres_words, temperature_words, thickness_mm, thickness_words
from mullbed.reports.bed_cut import Cut, CutLift
from mullbed.reports.matter import matter_of
from mullbed.reports.names import bed_title, residue_name
from mullbed.reports.words import capital, day_words, short_day

SETTLING_DAYS = 14
_THINNEST_DRAWN_MILLIMETRES = 0.5


def squeeze_word(moisture: float | None, *, fresh: bool = False) -> str:
    """Return what a squeezed handful does; the limits are judgement."""
    if moisture is None or not isfinite(moisture):
        return ""
    if moisture < 0.3:
        return say("dry, crackles")
    if moisture < 0.55:
        return say("moist, holds together")
    if moisture < 0.72:
        return say("moist, few drops")
    return say("fresh and wet") if fresh else say("wet, drips")


def lift_moisture(lift: Lift) -> float | None:
    """Return water per fresh mass of a lift as laid. [fraction, wet basis]"""
    water = 1000.0 * (lift.tissue_water + lift.free_water)
    total = water + lift.dry_matter
    return water / total if total > 0 else None


def planned_cut(planned: PlannedLayer, bed: Bed | None, forecast: BedForecast | None, units: UnitSystem) -> Cut:
    """Return the cut of a bed on the day a layer is laid: what lies there, the new lifts, and where it sinks to."""
    layer = planned.layer
    lying = lying_lifts(forecast, layer.day, thickness_mm(planned.lying_before), units, before=True)
    new = tuple(new_lift(layer, index, units) for index in range(len(layer.lifts)))
    lifts = lying + new
    settled = thickness_mm(planned.settled_thickness) / 10
    sinks = settled if 0 < settled < sum(lift.centimetres for lift in lifts) else None
    by = layer.day + timedelta(days=SETTLING_DAYS)
    title = say("{bed} on {day}", bed=bed_title(layer.bed), day=day_words(layer.day))
    return Cut(
        title,
        described(title, lifts),
        lifts,
        organic_matter=bed.soil.organic_matter.mid if bed else 0.03,
        settled_centimetres=sinks,
        settled_words=say("Sinks to here by {day}", day=short_day(by)) if sinks else "",
        settled_day=short_day(by) if sinks else "",
        soil_words=_soil_words(forecast, layer.day, units),
    )


def bare_cut(bed: Bed, forecast: BedForecast | None, day: date, units: UnitSystem) -> Cut:
    """Return the cut of a bed as it lies on a day, nothing new on it."""
    total = _cover_mm(forecast, day)
    lifts = lying_lifts(forecast, day, total, units)
    title = say("{bed} on {day}", bed=bed_title(bed.name), day=day_words(day))
    return Cut(
        title, described(title, lifts), lifts, bed.soil.organic_matter.mid, soil_words=_soil_words(forecast, day, units)
    )


def new_lift(layer: Layer, index: int, units: UnitSystem) -> CutLift:
    """Return one lift as it is laid."""
    lift = layer.lifts[index]
    words = thickness_words(lift.thickness, units)
    return CutLift(
        capital(residue_name(lift.residue)),
        matter_of(lift.residue, lift.fresh),
        thickness_mm(lift.thickness) / 10,
        depth=words,
        state=lift_amount(lift),
        seed=f"{layer.bed} {layer.day} {index} {lift.residue}",
        moisture=lift_moisture(lift),
    )


def lying_lifts(
    forecast: BedForecast | None, day: date, total_mm: int, units: UnitSystem, *, before: bool = False
) -> tuple[CutLift, ...]:
    """Return what lies there already, from the soil up, drawn so that it adds up to the stated thickness."""
    if total_mm < 1:
        return ()
    words = f"{millimetres_words(total_mm, units)}"
    found: list[CutLift] = []
    if forecast is not None:
        at = (day - forecast.first_day).days
        for through in forecast.lifts:
            started = through.layer.day < day if before else through.layer.day <= day
            if not started or not 0 <= at < through.thickness.size:
                continue
            thick = float(through.thickness[at])
            if not isfinite(thick) or thick * 1000 < _THINNEST_DRAWN_MILLIMETRES:
                continue
            lift = through.layer.lifts[through.lift]
            gone, moisture = float(through.carbon_gone[at]), float(through.moisture[at])
            found.append(
                CutLift(
                    say("Lying now"),
                    matter_of(lift.residue, lift.fresh),
                    thick * 100,
                    words,
                    "",
                    f"{through.layer.bed} {through.layer.day} {through.lift} {lift.residue}",
                    gone if isfinite(gone) else 0.0,
                    moisture if isfinite(moisture) else None,
                    group="lying",
                )
            )
    if not found:
        return (CutLift(say("Lying now"), Texture.MULL, total_mm / 10, words, "", f"lying {day}", 0.6, group="lying"),)
    drawn = sum(lift.centimetres for lift in found)
    factor = total_mm / 10 / drawn
    return tuple(replace(lift, centimetres=lift.centimetres * factor) for lift in found)


def described(title: str, lifts: tuple[CutLift, ...]) -> str:
    """Return the cut in words, from the top, for those who do not see it."""
    if not lifts:
        return say("{title}: bare soil.", title=title)
    parts, seen = [], set()
    for lift in reversed(lifts):
        if lift.group and lift.group in seen:
            continue
        seen.add(lift.group)
        squeeze = squeeze_word(lift.moisture) if not lift.group else ""
        parts.append(", ".join(word for word in (lift.name, lift.depth, lift.state, squeeze) if word) + ".")
    return say("{title}, from the top: {lifts} Below: soil.", title=title, lifts=" ".join(parts))


def _cover_mm(forecast: BedForecast | None, day: date) -> int:
    if forecast is None:
        return 0
    at, middle = (day - forecast.first_day).days, forecast.series["thickness"].p50
    value = float(middle[at]) if 0 <= at < middle.size else 0.0
    return thickness_mm(value) if isfinite(value) else 0


def _soil_words(forecast: BedForecast | None, day: date, units: UnitSystem) -> tuple[str, str]:
    if forecast is None or "soil_temperature" not in forecast.series:
        return (say("Soil"), "")
    middle = forecast.series["soil_temperature"].p50
    at = (day - forecast.first_day).days
    if not 0 <= at < middle.size or not isfinite(float(middle[at])):
        return (say("Soil"), "")
    depth = "2 in" if units is UnitSystem.US else "5 cm"
    return (
        say("Soil"),
        say("about {warmth} at {depth}", warmth=temperature_words(float(middle[at]), units), depth=depth),
    )
