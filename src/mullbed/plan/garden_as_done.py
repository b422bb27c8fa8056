"""The garden as it stands on a day: what was really laid, watered, sown, picked, brought in and weighed.

Rules (judgement): what was laid is drawn from the oldest arrivals that still kept on its day; a batch that came in
stands for the nearest arrival it was expected as; a season under way is planned from the day on.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from statistics import fmean

from mullbed.domain.bed import Bed, BedCrop
from mullbed.domain.crop import Crop
from mullbed.domain.doings import Doings, Picked, Sown
from mullbed.domain.garden import Garden
from mullbed.domain.layer import Layer, Lift
from mullbed.domain.residue import Residue
from mullbed.domain.spread import Evidence, Spread
from mullbed.domain.supply import Container, Supply
from mullbed.plan.stocks import arrivals_of

TEST_DOUBT = 0.15
"""Doubt of a laboratory's organic matter, 10th to 90th percentile. Judgement. [1]"""
USUAL_DAYS = 90
"""How long a crop stands that neither the garden file nor the table tells. Judgement. [d]"""
SAME_SOWING_DAYS = 60
"""A sowing so many days from a planned one of the same crop is that one. Judgement. [d]"""
SMALLEST_REST = 0.01
"""Less of a container than this is nothing. [1]"""


@dataclass(slots=True)
class _Arrival:
    """One arrival of one supply, and what is left of it."""

    supply: Supply
    day: date
    left: float
    """Containers."""


def garden_as_done(
    garden: Garden,
    doings: Doings,
    today: date,
    *,
    crops: Mapping[str, Crop],
    residues: Mapping[str, Residue],
    container: Callable[[str], Container],
    from_today: bool = True,
) -> Garden:
    """Return the garden as it stands on a day.

    Parameters
    ----------
    garden : Garden
        As the garden file has it.
    doings : Doings
    today : date
        Doings after this day are left out.
    crops, residues : mapping
        The tables.
    container : callable
        The container of a name that is not the garden's own.
    from_today : bool
        True to begin the season today, where it is under way.
    """
    own = _containers(garden, doings, today, container)
    holds = {one.name: one.litres.mid for one in own}

    def litres(name: str) -> float:
        return holds[name] if name in holds else container(name).litres.mid

    beds = tuple(_bed(bed, doings, today, crops) for bed in garden.beds)
    laid = [layer for layer in doings.layers if layer.day <= today]
    supplies = _supplies(garden, doings, laid, today, residues, litres)
    first = garden.first_day
    if from_today and garden.first_day < today <= garden.last_day:
        first = today
    return replace(garden, first_day=first, beds=beds, supplies=supplies, containers=own)


def _containers(
    garden: Garden, doings: Doings, today: date, container: Callable[[str], Container]
) -> tuple[Container, ...]:
    """Return the grower's own containers with the mean of what was weighed."""
    weighed: dict[tuple[str, str], list[float]] = {}
    for one in doings.weighed:
        if one.day <= today:
            weighed.setdefault((one.container, one.residue), []).append(one.fresh_kg)
    own = {one.name: one for one in garden.containers}
    for (name, residue), masses in weighed.items():
        known = own.get(name) or container(name)
        others = tuple(pair for pair in known.weighed if pair[0] != residue)
        own[name] = replace(known, name=name, weighed=(*others, (residue, fmean(masses))))
    return tuple(own.values())


def _bed(bed: Bed, doings: Doings, today: date, crops: Mapping[str, Crop]) -> Bed:
    layers = [layer for layer in doings.layers if layer.bed == bed.name and layer.day <= today]
    poured = [(one.day, one.depth) for one in doings.poured if one.bed == bed.name and one.day <= today]
    taken_off = [
        (one.day, one.share) for one in doings.taken_off if one.bed == bed.name and one.day <= today and one.share > 0.0
    ]
    soil = bed.soil
    for test in sorted(doings.soil_tests, key=lambda one: one.day):
        if test.bed != bed.name or test.day > today:
            continue
        if test.organic_matter is not None:
            mid = test.organic_matter
            matter = Spread(
                mid * (1.0 - TEST_DOUBT), mid, mid * (1.0 + TEST_DOUBT), soil.organic_matter.unit, Evidence.MEASURED
            )
            soil = replace(soil, organic_matter=matter)
        if test.mineral_nitrogen is not None:
            soil = replace(soil, mineral_nitrogen=test.mineral_nitrogen)
        if test.phosphorus_status is not None:
            soil = replace(soil, phosphorus_status=test.phosphorus_status)
        if test.bulk_density is not None:
            soil = replace(soil, bulk_density=test.bulk_density)
    return replace(
        bed,
        soil=soil,
        crops=_crops(bed, doings, today, crops),
        layers=tuple(sorted((*bed.layers, *layers), key=lambda layer: layer.day)),
        inputs=(*bed.inputs, *(given for name, given in doings.fed if name == bed.name and given.day <= today)),
        poured=(*bed.poured, *sorted(poured)),
        taken_off=(*bed.taken_off, *sorted(taken_off)),
        dug_in=(
            *bed.dug_in,
            *sorted((day, depth) for name, day, depth in doings.dug_in if name == bed.name and day <= today),
        ),
    )


def _crops(bed: Bed, doings: Doings, today: date, crops: Mapping[str, Crop]) -> tuple[BedCrop, ...]:
    """Return the crops with the days they were really sown and picked."""
    standing = list(bed.crops)
    for sown in sorted(
        (one for one in doings.sown if one.bed == bed.name and one.day <= today), key=lambda one: one.day
    ):
        index = _meant(standing, sown)
        if index is None:
            standing.append(_new_crop(sown, crops.get(sown.crop)))
            continue
        crop = standing[index]
        ends = crop.harvested if crop.harvested > sown.day else sown.day + (crop.harvested - crop.planted)
        standing[index] = replace(
            crop,
            planted=sown.day,
            harvested=ends,
            share=crop.share if sown.share is None else sown.share,
            sown_direct=crop.sown_direct if sown.direct is None else sown.direct,
        )
    picked = [one for one in doings.picked if one.bed == bed.name and one.day <= today]
    for one in sorted(picked, key=lambda pick: pick.day):
        _end(standing, one, today)
    return tuple(standing)


def _meant(standing: Sequence[BedCrop], sown: Sown) -> int | None:
    near = [
        (abs((crop.planted - sown.day).days), index)
        for index, crop in enumerate(standing)
        if crop.crop == sown.crop and abs((crop.planted - sown.day).days) <= SAME_SOWING_DAYS
    ]
    return min(near)[1] if near else None


def _new_crop(sown: Sown, row: Crop | None) -> BedCrop:
    days = round(row.days_to_maturity[1]) if row is not None and row.days_to_maturity is not None else USUAL_DAYS
    direct = sown.direct if sown.direct is not None else (row.sown_direct if row is not None else True)
    share = 1.0 if sown.share is None else sown.share
    return BedCrop(sown.crop, share, sown.day, sown.day + timedelta(days=max(1, days)), direct)


def _end(standing: list[BedCrop], picked: Picked, today: date) -> None:
    """End the crop that was picked for the last time, or keep it standing past its planned end while it bears."""
    for index, crop in enumerate(standing):
        if crop.crop != picked.crop or crop.planted >= picked.day:
            continue
        later = [other.planted for other in standing if other.crop == crop.crop and other.planted > crop.planted]
        if any(planted < picked.day for planted in later):
            continue
        if picked.last:
            standing[index] = replace(crop, harvested=picked.day)
        elif crop.harvested <= picked.day:
            standing[index] = replace(crop, harvested=min(today, picked.day) + timedelta(days=7))
        return


def _supplies(
    garden: Garden,
    doings: Doings,
    laid: Sequence[Layer],
    today: date,
    residues: Mapping[str, Residue],
    litres: Callable[[str], float],
) -> tuple[Supply, ...]:
    """Return what is in hand and still expected: arrivals until today less what was laid, then the rest."""
    arrived: list[_Arrival] = []
    expected: list[Supply] = []
    for supply in garden.supplies:
        days = [arrival.day for arrival in arrivals_of(supply, garden.last_day)]
        arrived += [_Arrival(supply, day, supply.count) for day in days if day <= today]
        coming = [day for day in days if day > today]
        if coming:
            expected.append(replace(supply, first_day=coming[0]))
    came_in = sorted((one for one in doings.came_in if one.day <= today), key=lambda one: one.day)
    for batch in came_in:
        expected = _not_again(arrived, expected, batch.instead_of, batch.day)
        arrived.append(_Arrival(batch.supply, batch.day, batch.supply.count))
    arrived.sort(key=lambda one: one.day)
    for layer in sorted(laid, key=lambda one: one.day):
        for lift in layer.lifts:
            volume = _volume(lift, residues, litres)
            _take(arrived, lift.residue, volume, layer.day, residues, litres)
    in_hand = [
        replace(one.supply, count=one.left, first_day=one.day, every_days=None, last_day=None)
        for one in arrived
        if one.left > SMALLEST_REST and _keeps_until(one, residues) >= today
    ]
    return (*in_hand, *expected)


def _volume(lift: Lift, residues: Mapping[str, Residue], litres: Callable[[str], float]) -> float:
    """Return the volume a lift was gathered in. [L]"""
    if lift.container == "L":
        return lift.count
    if lift.container == "kg":
        return lift.count / residues[lift.residue].loose_density.mid * 1000.0
    return lift.count * litres(lift.container)


def _keeps_until(arrival: _Arrival, residues: Mapping[str, Residue]) -> date:
    """Return the last day an arrival can be laid."""
    shelf = arrival.supply.shelf_life_days
    if shelf is None and not arrival.supply.dried:
        row = residues.get(arrival.supply.residue)
        shelf = row.shelf_life_days if row is not None else None
    return date.max if shelf is None else arrival.day + timedelta(days=round(shelf))


def _not_again(arrived: list[_Arrival], expected: list[Supply], name: str | None, day: date) -> list[Supply]:
    """Take away the expected arrival that a batch stands for, the nearest to its day; return what is still expected."""
    if name is None:
        return expected
    past = [one for one in arrived if (one.supply.name or one.supply.residue) == name and one.left > 0.0]
    coming = [one for one in expected if (one.name or one.residue) == name]
    nearest = min(past, key=lambda one: abs((one.day - day).days), default=None)
    soon = min(coming, key=lambda one: one.first_day, default=None)
    wait = abs((nearest.day - day).days) if nearest is not None else 10**6
    if soon is not None and (soon.first_day - day).days < wait:
        rest = [one for one in expected if one is not soon]
        if soon.every_days is not None:
            following = soon.first_day + timedelta(days=soon.every_days)
            if soon.last_day is None or following <= soon.last_day:
                rest.append(replace(soon, first_day=following))
        return rest
    if nearest is not None:
        arrived.remove(nearest)
    return expected


def _take(
    arrived: list[_Arrival],
    residue: str,
    volume: float,
    day: date,
    residues: Mapping[str, Residue],
    litres: Callable[[str], float],
) -> None:
    """Take a volume of a residue from the oldest arrivals that still keep on a day, then from any that were there.

    What is held is thought to be left alone as long as something else was there.
    """
    there = [one for one in arrived if one.supply.residue == residue and one.day <= day and one.left > 0.0]
    there.sort(key=lambda one: one.supply.held_because is not None)
    keeping = [one for one in there if _keeps_until(one, residues) >= day]
    for one in (*keeping, *(other for other in there if other not in keeping)):
        if volume <= 0.0:
            return
        size = litres(one.supply.container)
        taken = min(one.left, volume / size)
        one.left -= taken
        volume -= taken * size
