"""From a garden and the runs of its beds as they are to the terms of the planning problem."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from mullbed.domain.bed import Bed, PhosphorusStatus
from mullbed.domain.crop import Crop
from mullbed.domain.garden import Garden, Limits
from mullbed.domain.residue import Residue
from mullbed.domain.safety import SafetyLimits
from mullbed.plan.bed_classes import BedClass
from mullbed.plan.choice_model import COVERED
from mullbed.plan.outcomes import Ensemble, drawn_members, weekly
from mullbed.plan.terms import DAYS_A_WEEK, BedTerms, DayLimits, Growing, PlanTerms, Series, Stock, Week, Weights
from mullbed.simulate.case import BedCase
from mullbed.simulate.run import Outcome, simulate

#: Least mineral nitrogen the weekly losses are measured against. [g m-2, judgement]
LEAST_MINERAL = 0.5


@dataclass(frozen=True, slots=True, eq=False)
class BaseRun:
    """One bed as it is, without new layers, by week of the season."""

    given: Series
    """By soil, inputs and existing layers, with what was there at the start. (members, weeks) [g m-2]"""
    kept: Series
    """(weeks,) [fraction]"""
    cover_depth: Series
    """(weeks,) [1]"""
    thickness: Series
    """(weeks,) [m]"""
    net: Series
    """Net nitrogen of what lies there already, cumulative. (members, weeks) [g m-2]"""


def base_run(case: BedCase, ensemble: Ensemble, first_day: int) -> BaseRun:
    """Run a bed without new layers and read the planner's weekly figures from it.

    Parameters
    ----------
    case : BedCase
    ensemble : Ensemble
    first_day : int
        Day index of the Monday of the season's first week; a multiple of seven.
    """
    members = drawn_members(case, ensemble)
    outcome = simulate(case, members, every=DAYS_A_WEEK, threads=ensemble.threads)
    skipped = first_day // DAYS_A_WEEK
    start = (case.soil.start_ammonium + case.soil.start_nitrate) * members.mineral_factor
    mineral = root_zone_mineral(outcome)
    before = mineral[:, skipped - 1] if skipped else start
    given_in_all = weekly(outcome, "soil_nitrogen") + weekly(outcome, "net_nitrogen")
    given = np.diff(given_in_all, axis=1, prepend=0.0)[:, skipped:]
    given[:, 0] += before
    lost = np.diff(weekly(outcome, "leached") + weekly(outcome, "denitrified"), axis=1, prepend=0.0).mean(axis=0)
    stock = np.concatenate(([start.mean()], mineral.mean(axis=0)[:-1])) + np.maximum(
        0.0, np.diff(given_in_all, axis=1, prepend=0.0).mean(axis=0)
    )
    kept = np.clip(1.0 - lost / np.maximum(LEAST_MINERAL, stock), 0.3, 1.0)[skipped:]
    bare = np.maximum(1e-6, 1.0 - np.nan_to_num(outcome.daily["cover"]).mean(axis=0))
    canopy = case.cover.ground_cover if case.cover is not None else np.zeros(case.weather.days)
    weeks = outcome.daily["cover"].shape[1]
    shaded = canopy[: weeks * DAYS_A_WEEK].reshape(weeks, DAYS_A_WEEK).mean(axis=1)
    cover = np.minimum(2.0 * COVERED, -np.log(bare) - np.log(np.maximum(1e-6, 1.0 - shaded)))
    thickness = np.nan_to_num(outcome.daily["thickness"]).mean(axis=0)
    net = weekly(outcome, "net_nitrogen")
    return BaseRun(given, kept, cover[skipped:], thickness[skipped:], net[:, skipped:])


def root_zone_mineral(outcome: Outcome) -> Series:
    """Return the mineral nitrogen of 0-60 cm by week: what the soil side got less what left it. (members, weeks)"""
    gone = weekly(outcome, "crop_nitrogen") + weekly(outcome, "leached") + weekly(outcome, "denitrified")
    return np.asarray(np.maximum(LEAST_MINERAL, weekly(outcome, "soil_side_nitrogen") - gone))


def weekly_want(case: BedCase, first_day: int, weeks: int) -> Series:
    """Return the crop want of each week of the season. (weeks,) [g m-2]"""
    if case.cover is None:
        return np.zeros(weeks)
    days = case.cover.nitrogen_demand[first_day : first_day + weeks * DAYS_A_WEEK]
    full = np.zeros(weeks * DAYS_A_WEEK)
    full[: len(days)] = days
    return np.asarray(full.reshape(weeks, DAYS_A_WEEK).sum(axis=1))


def phosphorus_removed(bed: Bed, crops: Mapping[str, Crop], year: int) -> float:
    """Return the phosphorus carried off with the yields of a year. [g m-2]"""
    removed = 0.0
    for grown in bed.crops:
        crop = crops[grown.crop]
        if grown.harvested.year == year:
            scale = 1.0 if grown.yield_goal is None else grown.yield_goal / crop.yield_goal.mid
            removed += crop.phosphorus_removed.mid * scale * grown.share
    return removed


@dataclass(frozen=True, slots=True)
class Ceilings:
    """What a bed may receive in the year, and what it has received already. [g m-2]"""

    nitrogen: float
    nitrogen_laid: float
    nitrogen_fed: float
    phosphorus: float
    phosphorus_laid: float
    phosphorus_removed: float
    own_only: bool


def ceilings(
    bed: Bed, limits: Limits, crops: Mapping[str, Crop], residues: Mapping[str, Residue], want: float, first_day: date
) -> Ceilings:
    """Return the ceilings of a bed (R10-R12) and what existing layers and inputs of the same year use of them."""
    year = first_day.year
    laid_n = sum(
        lift.dry_matter * residues[lift.residue].nitrogen.mid
        for layer in bed.layers
        if layer.day.year == year
        for lift in layer.lifts
    )
    laid_p = sum(
        lift.dry_matter * residues[lift.residue].phosphorus.mid
        for layer in bed.layers
        if layer.day.year == year
        for lift in layer.lifts
    )
    given = [one for one in bed.inputs if one.day.year == year]
    laid_n += sum(one.nitrogen for one in given)
    laid_p += sum(one.phosphorus for one in given)
    nitrogen = limits.nitrogen_laid_per_year
    if limits.legal_nitrogen_per_year is not None:
        nitrogen = min(nitrogen, limits.legal_nitrogen_per_year)
    removed = phosphorus_removed(bed, crops, year)
    status = bed.soil.phosphorus_status
    rich = status in (PhosphorusStatus.HIGH, PhosphorusStatus.VERY_HIGH)
    share = min(1.0, limits.phosphorus_share_of_removal) if rich else limits.phosphorus_share_of_removal
    phosphorus = share * removed
    if limits.legal_phosphorus_per_year is not None:
        phosphorus = min(phosphorus, limits.legal_phosphorus_per_year)
    return Ceilings(
        nitrogen,
        laid_n,
        limits.nitrogen_fed_share * want,
        phosphorus,
        laid_p,
        removed,
        status is PhosphorusStatus.VERY_HIGH,
    )


def growing_of(bed: Bed, crops: Mapping[str, Crop]) -> tuple[Growing, ...]:
    """Return what a bed's crops forbid."""
    return tuple(
        Growing(grown.crop, grown.planted, grown.harvested, grown.share, grown.sown_direct, crops[grown.crop].fine_seed)
        for grown in bed.crops
    )


def bed_terms(
    bed: Bed,
    number: int,
    case: BedCase,
    run: BaseRun,
    garden: Garden,
    crops: Mapping[str, Crop],
    residues: Mapping[str, Residue],
    first_day: int,
) -> BedTerms:
    """Return one bed as the planner sees it."""
    want = weekly_want(case, first_day, run.kept.shape[0])
    most = ceilings(bed, garden.limits, crops, residues, float(want.sum()), garden.first_day)
    laid = [layer.day for layer in bed.layers if layer.day <= garden.first_day]
    return BedTerms(
        name=bed.name,
        area=bed.area,
        bed_class=number,
        want=want,
        soil_given=run.given,
        kept=run.kept,
        cover_depth=run.cover_depth,
        thickness=run.thickness,
        nitrogen_ceiling=max(0.0, most.nitrogen - most.nitrogen_laid),
        nitrogen_fed_ceiling=most.nitrogen_fed,
        phosphorus_ceiling=max(0.0, most.phosphorus - most.phosphorus_laid),
        own_only=most.own_only,
        growing=growing_of(bed, crops),
        last_laid=max(laid, default=None),
    )


def day_limits(limits: Limits, safety: SafetyLimits, latitude: float, first_day: date) -> DayLimits:
    """Return the limits of layers and days; the reserve of browns is kept until the end of summer (R21)."""
    end = date(first_day.year, 8, 31) if latitude >= 0.0 else date(first_day.year, 2, 28)
    return DayLimits(
        minutes_per_day=limits.minutes_per_day,
        litres_per_day=limits.litres_per_day,
        days_between_layers=limits.days_between_layers,
        thickest_soft_fresh=limits.thickest_soft_fresh,
        thickest_cover=limits.thickest_cover,
        days_before_direct_sowing=safety.days_before_direct_sowing,
        days_before_fine_seed=safety.days_before_fine_seed,
        reserve_until=end,
    )


def plan_terms(
    garden: Garden,
    weeks: tuple[Week, ...],
    stocks: tuple[Stock, ...],
    cases: Sequence[BedCase],
    runs: Sequence[BaseRun],
    classes: Sequence[BedClass],
    crops: Mapping[str, Crop],
    residues: Mapping[str, Residue],
    first_day: int,
    safety: SafetyLimits,
    weights: Weights | None = None,
) -> PlanTerms:
    """Return the whole planning problem of a garden."""
    class_of = {bed: number for number, bed_class in enumerate(classes) for bed in bed_class.beds}
    beds = tuple(
        bed_terms(bed, class_of[number], cases[number], runs[number], garden, crops, residues, first_day)
        for number, bed in enumerate(garden.beds)
    )
    limits = day_limits(garden.limits, safety, garden.site.latitude, garden.first_day)
    return PlanTerms(weeks, stocks, beds, limits, weights or Weights(), safety)
