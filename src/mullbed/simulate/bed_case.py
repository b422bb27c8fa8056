"""From a bed, its crops and its layers to a case the engine can run."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import timedelta

import numpy as np

from mullbed.domain.bed import Bed, CropResidues, DatedInput, Irrigation
from mullbed.domain.crop import Crop
from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.layer import Layer, Lift
from mullbed.domain.residue import Residue
from mullbed.simulate.case import BedCase, DigIn, Event, Feed, LaidLift, Lay, Pour, RakeOff
from mullbed.simulate.crop_season import crop_cover
from mullbed.simulate.soil_start import soil_column

#: C:N of the organic part of a bought-in input such as compost. [g g-1] Judgement.
INPUT_RATIO = 15.0
#: Residue whose chemistry stands for a crop's own tops left on the bed. Judgement.
TOPS = "weeds_pulled"


def laid_lift(lift: Lift, residues: Mapping[str, Residue]) -> LaidLift:
    """Return a lift as the engine lays it, as dense as it really lies."""
    residue = residues[lift.residue]
    if lift.thickness > 0.0:
        density = lift.dry_matter / 1000.0 / lift.thickness
        residue = replace(residue, laid_density=min(400.0, max(5.0, density)))
    return LaidLift(
        residue=residue,
        dry_matter=lift.dry_matter,
        dry_matter_log_sd=lift.dry_matter_log_sd,
        free_water=lift.free_water,
        tissue_water=lift.tissue_water,
        fresh=lift.fresh,
        draw_key=f"{lift.residue} in {lift.container}",
    )


def lay_event(layer: Layer, day: int, residues: Mapping[str, Residue]) -> Lay:
    """Return a layer as an event on a day's index."""
    return Lay(day, tuple(laid_lift(lift, residues) for lift in layer.lifts), layer.water)


def bed_case(
    bed: Bed,
    weather: WeatherYears,
    crops: Mapping[str, Crop],
    residues: Mapping[str, Residue],
    planned: Iterable[Layer] = (),
) -> BedCase:
    """Return the case of a bed: its soil, crops, watering, inputs, what lies on it and what is planned.

    Layers, inputs and harvests outside the weather's days are left out; the caller chooses weather that begins
    no later than the oldest layer that still matters.
    """
    first = weather.first_day
    last = first + timedelta(days=weather.days - 1)
    air = np.mean(0.5 * (weather.low + weather.high), axis=0)
    cover = crop_cover(bed.crops, crops, first, air)
    events: list[Event] = []
    for layer in (*bed.layers, *planned):
        if first <= layer.day <= last:
            events.append(lay_event(layer, (layer.day - first).days, residues))
    events.extend(_fed(one, (one.day - first).days) for one in bed.inputs if first <= one.day <= last)
    events.extend(_left_tops(bed, crops, residues, weather))
    if bed.watering.depth_per_week and not bed.watering.kept_moist:
        share = bed.watering.depth_per_week * 2.0 / 7.0
        standing = cover.basal_coefficient > 0.2
        told = _told_days(bed, weather)
        events.extend(Pour(int(day), share) for day in np.flatnonzero(standing)[::2] if int(day) not in told)
    events.extend(Pour((day - first).days, depth) for day, depth in bed.poured if first <= day <= last and depth > 0.0)
    events.extend(RakeOff((day - first).days, share) for day, share in bed.taken_off if first <= day <= last)
    events.extend(DigIn((day - first).days, depth) for day, depth in bed.dug_in if first <= day <= last)
    return BedCase(
        name=bed.name,
        weather=weather,
        soil=soil_column(bed.soil),
        events=tuple(events),
        cover=cover,
        kept_moist=bed.watering.kept_moist and bed.watering.way is not Irrigation.NONE,
        under_cover=bed.under_cover,
        shade=bed.shade,
    )


def _told_days(bed: Bed, weather: WeatherYears) -> range:
    """Return the days from the first to the last watering written down: there the usual watering is left out."""
    if not bed.poured:
        return range(0)
    days = [(day - weather.first_day).days for day, _ in bed.poured]
    return range(min(days), max(days) + 1)


def _fed(given: DatedInput, day: int) -> Feed:
    mineral = given.nitrogen * given.mineral_share
    organic = given.nitrogen - mineral
    return Feed(day, 0.5 * mineral, 0.5 * mineral, organic * INPUT_RATIO, organic)


def _left_tops(
    bed: Bed, crops: Mapping[str, Crop], residues: Mapping[str, Residue], weather: WeatherYears
) -> list[Event]:
    """Return the crops' own residues that stay on the bed at harvest."""
    tops = residues[TOPS]
    found: list[Event] = []
    for one in bed.crops:
        crop = crops[one.crop]
        day = (one.harvested - weather.first_day).days
        if one.residues is CropResidues.CARRIED_OFF or not crop.residue_nitrogen or not 0 <= day < weather.days:
            continue
        dry = crop.residue_nitrogen * one.share / tops.nitrogen.mid
        water = dry / 1000.0 * tops.moisture.mid / tops.dry_share
        if dry > 1.0:
            found.append(Lay(day, (LaidLift(tops, dry, 0.3, 0.0, water, True, f"tops of {one.crop}"),)))
    return found
