"""Crops of a bed: what, when, on which share, sown or planted, and what becomes of its residues."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from mullbed.domain.bed import BedCrop, CropResidues
from mullbed.domain.crop import Crop
from mullbed.domain.supply import Container
from mullbed.errors import NotFound
from mullbed.files import amounts
from mullbed.files.garden_containers import Portion, candidates, portion
from mullbed.files.garden_site import day_within
from mullbed.files.reading import Table
from mullbed.reference.crops import find_crop

AROUND_SEASON_DAYS = 400
"""A crop may begin or end so long before or after the season. [d]"""
LONGEST_CROP_DAYS = 800


class Start(StrEnum):
    """How a crop begins."""

    SOWN = "sown"
    TRANSPLANTED = "transplanted"


@dataclass(frozen=True, slots=True)
class CropEntry:
    """A crop as read, and what its residues give as a supply when they are carried off."""

    crop: BedCrop
    gives: Portion | None


def read_crops(bed: Table, season: tuple[date, date], containers: tuple[Container, ...]) -> tuple[CropEntry, ...]:
    """Return the crops of a bed."""
    entries = []
    tables = bed.tables("crops")
    for table in tables:
        entry = _crop(table, season, containers)
        if entry is not None:
            entries.append(entry)
    _check_shares(bed, [entry.crop for entry in entries])
    return tuple(entries)


def _crop(table: Table, season: tuple[date, date], containers: tuple[Container, ...]) -> CropEntry | None:
    crop = table.parsed("crop", _crop_named, "a crop of the table", required='Write crop = "tomato".')
    planted = table.day("planted", required="Write planted = 2027-05-20, the day of sowing or planting.")
    harvested = table.day("harvested", required="Write harvested = 2027-09-30, the last day it stands.")
    share = table.parsed("share", amounts.share, 'above 0 to 1 of the bed, such as 0.5 or "50 %"')
    start = table.word("start", Start)
    residues = table.word("residues", CropResidues) or CropResidues.CARRIED_OFF
    goal = table.parsed("yield_goal", amounts.crop_yield, '1 g/m2 to 60 kg/m2, such as "3 kg/m2"')
    gives = table.parsed(
        "gives", lambda value: portion(value, containers), 'residue and amount, such as "tomato vines: 2 barrow"'
    )
    share_given, gives_given = table.has("share"), table.has("gives")
    table.no_others()
    planted = day_within(table, "planted", planted, season, AROUND_SEASON_DAYS)
    harvested = day_within(table, "harvested", harvested, season, AROUND_SEASON_DAYS)
    if gives_given and residues is not CropResidues.CARRIED_OFF:
        remedy = 'Write residues = "carried off", or remove gives.'
        table.fault("gives", f"residues are {residues}", "only residues that are carried off become a supply", remedy)
    if gives is not None and gives.container is None:
        table.fault("gives", "not counted in a container", "so many containers", 'Write "tomato vines: 2 barrow".')
        gives = None
    if share == 0.0:
        table.fault("share", "0", "above 0 to 1", "Remove the crop, or give it a share of the bed.")
        return None
    if crop is None or planted is None or harvested is None or (share_given and share is None):
        return None
    days = (harvested - planted).days
    if not 1 <= days <= LONGEST_CROP_DAYS:
        remedy = "Put harvested after planted; split a crop of several years into seasons."
        table.fault("harvested", f"{days} days after planted", f"1 to {LONGEST_CROP_DAYS} days", remedy)
        return None
    sown = crop.sown_direct if start is None else start is Start.SOWN
    kilograms = goal / 1000.0 if goal is not None else None
    bed_crop = BedCrop(crop.key, 1.0 if share is None else share, planted, harvested, sown, residues, kilograms)
    return CropEntry(bed_crop, gives)


def _crop_named(value: object) -> Crop:
    name = amounts.written(value, "tomato")
    try:
        return find_crop(name)
    except NotFound as error:
        raise ValueError(candidates(error)) from error


def _check_shares(bed: Table, crops: Sequence[BedCrop]) -> None:
    """Note a day on which crops hold more than the whole bed; mixed planting up to the whole bed is normal."""
    worst, worst_day = 1.0 + 1e-9, None
    for day in sorted({crop.planted for crop in crops}):
        held = sum(crop.share for crop in crops if crop.planted <= day < crop.harvested)
        if held > worst:
            worst, worst_day = held, day
    if worst_day is None:
        return
    there = ", ".join(crop.crop for crop in crops if crop.planted <= worst_day < crop.harvested)
    remedy = f"Lower the shares, or part the dates (the day before is {worst_day - timedelta(days=1)})."
    bed.fault("crops", f"{worst:.0%} of the bed on {worst_day} ({there})", "at most 100 % on any day", remedy)
