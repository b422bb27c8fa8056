"""A bed whose year comes round again: layers, crops and inputs of one year laid out over many."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, timedelta

from mullbed.domain.bed import Bed, BedCrop
from mullbed.domain.crop import Crop
from mullbed.domain.layer import Layer
from mullbed.plan.nutrient_account import CARRIED
from mullbed.simulate.case import Feed
from mullbed.simulate.crop_season import season_want

#: Dry matter above ground per nitrogen the crop wants. [g g-1] Judgement: 3 % nitrogen.
DRY_PER_NITROGEN = 33.0
#: Roots and what they shed, as a share of the dry matter above ground, and their carbon. Judgement.
ROOT_SHARE, ROOT_CARBON, ROOT_RATIO = 0.2, 0.42, 25.0


def years_later(day: date, years: int) -> date:
    """Return the same day so many years later; 29 February becomes the 28th where there is none."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return day.replace(year=day.year + years, day=28)


def year_of_layers(bed: Bed, planned: Iterable[Layer], last_day: date) -> tuple[Layer, ...]:
    """Return the layers laid or planned in the year that ends with the season, in time."""
    first = years_later(last_day, -1)
    every = (*bed.layers, *(layer for layer in planned if layer.bed == bed.name))
    return tuple(sorted((one for one in every if first < one.day <= last_day), key=lambda one: one.day))


def repeated(bed: Bed, round_of: tuple[Layer, ...], last_day: date, years: int) -> Bed:
    """Return the bed with its year repeated.

    What was really done before the round stays as it was; crops and inputs of the year that ends with the season come
    again every year, water given by hand on single days does not.

    Parameters
    ----------
    bed : Bed
    round_of : tuple of Layer
        Layers of one year.
    last_day : date
        Last day of that year.
    years : int
        How often it comes again.
    """
    first = years_later(last_day, -1)
    layers = [one for one in bed.layers if one.day <= first]
    crops = list(bed.crops)
    inputs = [one for one in bed.inputs if one.name != CARRIED]
    crops_of_year = [one for one in bed.crops if first < one.harvested and one.planted <= last_day]
    inputs_of_year = [one for one in inputs if first < one.day <= last_day]
    for year in range(years + 1):
        layers += [replace(one, day=years_later(one.day, year)) for one in round_of]
        if year:
            crops += [_later(one, year) for one in crops_of_year]
            inputs += [replace(one, day=years_later(one.day, year)) for one in inputs_of_year]
    return replace(
        bed, layers=tuple(sorted(layers, key=lambda one: one.day)), crops=tuple(crops), inputs=tuple(inputs), poured=()
    )


def _later(crop: BedCrop, years: int) -> BedCrop:
    planted = years_later(crop.planted, years)
    return replace(crop, planted=planted, harvested=planted + (crop.harvested - crop.planted))


def root_feeds(bed: Bed, crops: Mapping[str, Crop], first_day: date, days: int) -> tuple[Feed, ...]:
    """Return what roots and their shed parts leave in the soil at every harvest, with or without layers.

    Judgement: a fifth of the dry matter above ground, which is worked out from the nitrogen the crop wants.
    """
    found = []
    for one in bed.crops:
        day = (min(one.harvested, first_day + timedelta(days=days)) - first_day).days
        if not 0 <= day < days or one.harvested > first_day + timedelta(days=days - 1):
            continue
        carbon = ROOT_SHARE * ROOT_CARBON * DRY_PER_NITROGEN * season_want(crops[one.crop], one) * one.share
        if carbon > 0.0:
            found.append(Feed(day, 0.0, 0.0, carbon, carbon / ROOT_RATIO))
    return tuple(found)
