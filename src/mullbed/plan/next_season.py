"""The garden of the next season: what lies, what is in hand, what stands, and the account carried over.

Rules (judgement): the season keeps its days of the year; layers of the last two years are carried, older ones are soil,
and so is what was dug in; stocks that still keep go with it, what comes again comes again a year later; crops that
stand past the end stand on; phosphorus beyond what was carried off counts against the next year's ceiling.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from mullbed.domain.bed import Bed, BedCrop, DatedInput
from mullbed.domain.doings import BedAccount
from mullbed.domain.garden import Garden
from mullbed.domain.layer import Layer
from mullbed.domain.residue import Residue
from mullbed.domain.supply import Supply
from mullbed.plan.nutrient_account import CARRIED

LAYER_DAYS = 730
"""Layers laid longer before the season are soil by then. [d]"""
MOST_CARRIED = 200.0
"""Most phosphorus a garden file takes as one input. [g m-2]"""
STILL_TRUE_DAYS = 60
"""Mineral nitrogen measured longer before is no longer true. Judgement. [d]"""


def next_season(
    filed: Garden,
    now: Garden,
    accounts: Sequence[BedAccount],
    as_of: date,
    residues: Mapping[str, Residue],
    *,
    same_crops: bool = False,
    tested: Mapping[str, date] | None = None,
) -> Garden:
    """Return the garden of the next season.

    Parameters
    ----------
    filed : Garden
        As it was filed, for what comes again.
    now : Garden
        As it stands on the day it is carried over.
    accounts : sequence of BedAccount
    as_of : date
        Day it is carried over.
    residues : mapping
    same_crops : bool
        True to grow the same crops a year later, False to leave beds free of all but what stands on.
    tested : mapping, optional
        Day of the last soil test by bed.
    """
    first, last = a_year_later(filed.first_day), a_year_later(filed.last_day)
    account = {one.bed: one for one in accounts}
    beds = tuple(
        _bed(bed, account.get(bed.name), first, as_of, same_crops, (tested or {}).get(bed.name)) for bed in now.beds
    )
    supplies = (
        *(one for one in now.supplies if one.every_days is None and _keeps(one, first, residues)),
        *(_again(one) for one in filed.supplies if one.every_days is not None),
    )
    away = tuple((a_year_later(start), a_year_later(end)) for start, end in now.site.weeks_away)
    site = replace(now.site, weeks_away=away)
    return replace(now, site=site, first_day=first, last_day=last, beds=beds, supplies=supplies)


def a_year_later(day: date) -> date:
    """Return the same day a year later; 29 February becomes the 28th."""
    return date(day.year + 1, day.month, 28 if (day.month, day.day) == (2, 29) else day.day)


def _bed(bed: Bed, account: BedAccount | None, first: date, as_of: date, same_crops: bool, tested: date | None) -> Bed:
    oldest = first - timedelta(days=LAYER_DAYS)
    gone = (*bed.taken_off, *((day, 1.0) for day, _ in bed.dug_in))
    layers = tuple(_left(layer, gone) for layer in bed.layers if layer.day >= oldest)
    standing = [crop for crop in bed.crops if crop.harvested > as_of and crop.planted <= as_of]
    crops = [*standing, *(crop for crop in bed.crops if crop.planted > as_of)]
    if same_crops:
        crops += [_later(crop) for crop in bed.crops if crop not in crops]
    inputs: tuple[DatedInput, ...] = ()
    if account is not None and account.phosphorus > 0.0:
        inputs = (DatedInput(first, CARRIED, 0.0, 0.0, min(MOST_CARRIED, account.phosphorus)),)
    soil = bed.soil
    if tested is None or (first - tested).days > STILL_TRUE_DAYS:
        soil = replace(soil, mineral_nitrogen=None)
    return replace(
        bed,
        soil=soil,
        crops=tuple(crops),
        layers=tuple(layer for layer in layers if layer is not None),
        inputs=inputs,
        poured=(),
        taken_off=(),
        dug_in=(),
    )


def _left(layer: Layer, taken_off: Sequence[tuple[date, float]]) -> Layer | None:
    """Return what is left of a layer after cover was carried off; None where nothing is."""
    left = 1.0
    for day, share in taken_off:
        if day >= layer.day:
            left *= 1.0 - share
    if left >= 1.0:
        return layer
    if left <= 0.0:
        return None
    lifts = tuple(
        replace(
            lift,
            count=lift.count * left,
            dry_matter=lift.dry_matter * left,
            thickness=lift.thickness * left,
            tissue_water=lift.tissue_water * left,
            free_water=lift.free_water * left,
        )
        for lift in layer.lifts
    )
    return replace(layer, lifts=lifts)


def _later(crop: BedCrop) -> BedCrop:
    planted = a_year_later(crop.planted)
    return replace(crop, planted=planted, harvested=planted + (crop.harvested - crop.planted))


def _again(supply: Supply) -> Supply:
    last = a_year_later(supply.last_day) if supply.last_day is not None else None
    return replace(supply, first_day=a_year_later(supply.first_day), last_day=last)


def _keeps(supply: Supply, day: date, residues: Mapping[str, Residue]) -> bool:
    shelf = supply.shelf_life_days
    if shelf is None and not supply.dried:
        row = residues.get(supply.residue)
        shelf = row.shelf_life_days if row is not None else None
    return shelf is None or supply.first_day + timedelta(days=round(shelf)) >= day
