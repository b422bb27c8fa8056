"""The crops of a bed through the season, shared by area: cover of the ground and nitrogen wanted by day."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.bed import BedCrop
from mullbed.domain.crop import Crop
from mullbed.processes.crop_cover import basal_coefficient, crop_ground_cover
from mullbed.processes.crop_uptake import wanted_by
from mullbed.simulate.case import CropCover

#: Base of the thermal time. [°C] Judgement.
BASE = 5.0


def season_want(crop: Crop, planted: BedCrop) -> float:
    """Return the nitrogen a crop wants in its season, scaled to the grower's yield goal. [g per m2 of crop]"""
    scale = 1.0 if planted.yield_goal is None else planted.yield_goal / crop.yield_goal.mid
    return crop.nitrogen_want.mid * scale


def crop_cover(
    planted: tuple[BedCrop, ...], crops: Mapping[str, Crop], first_day: date, air: NDArray[np.float64]
) -> CropCover:
    """Return basal coefficient, ground cover and nitrogen demand by day.

    Parameters
    ----------
    planted : tuple of BedCrop
    crops : mapping
        Crop table by key.
    first_day : date
        Day of index 0.
    air : array
        Mean air temperature by day, for the thermal time; shape (days,). [°C]
    """
    days = air.shape[0]
    coefficient = np.zeros(days)
    ground = np.zeros(days)
    demand = np.zeros(days)
    bare = np.ones(days)
    for one in planted:
        crop = crops[one.crop]
        start, end = (one.planted - first_day).days, (one.harvested - first_day).days
        length = max(1, end - start)
        stretch = length / sum(crop.stage_days)
        initial, development, middle, late = (stretch * stage for stage in crop.stage_days)
        want = season_want(crop, one)
        # thermal time; days outside the period are taken as mild so that a crop that overwinters still grows
        inside = np.arange(max(0, start), min(days, end + 1))
        if inside.size == 0:
            continue
        warmth = np.maximum(air - BASE, 0.2)
        typical = float(np.mean(warmth[inside]))
        before = typical * max(0, -start)
        after = typical * max(0, end + 1 - days)
        passed = before + np.cumsum(warmth[inside])
        stage = passed / (passed[-1] + after)
        shares = (before / (passed[-1] + after), *stage)
        wanted = np.array([float(wanted_by(share, want, crop.steepness, crop.steepest)) for share in shares])
        for position, day in enumerate(inside):
            age, at_middle, at_end = float(day - start), crop.basal_at_middle, crop.basal_at_end
            now = float(basal_coefficient(age, initial, development, middle, late, at_middle, at_end))
            coefficient[day] += one.share * now
            ground[day] += one.share * float(crop_ground_cover(now))
            demand[day] += one.share * (wanted[position + 1] - wanted[position])
            bare[day] -= one.share
    return CropCover(coefficient + 0.15 * np.maximum(0.0, bare), np.minimum(0.95, ground), np.maximum(0.0, demand))
