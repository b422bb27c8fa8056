"""Layers by load per square metre, a few of each pair of residues: what the simulation prices.

A bed's whole containers fall between recipes; its outcomes are read off between them.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np

from mullbed.domain.layer import Lift
from mullbed.plan.candidates import BASE_SHARE, Candidate, spread_out, water_to_pour
from mullbed.plan.ready_made import LEAST_COVER, MOST_COVER, dry_window, partners, soft_window
from mullbed.plan.terms import Index, PlanTerms, Series, Stock, Week

#: Soft fresh loads of a pair, as shares of the window by ratio: thin, middle, thick.
LOAD_STEPS = (0.0, 0.5, 1.0)
MOST_RECIPES = 60


@dataclass(frozen=True, slots=True)
class Recipe:
    """One layer by load."""

    soft: int | None
    dry: int
    soft_load: float
    """Dry matter. [g m-2]"""
    dry_load: float
    """Dry matter. [g m-2]"""
    water: float
    """[mm]"""

    def lifts(self, stocks: tuple[Stock, ...]) -> tuple[Lift, ...]:
        """Return the lifts on one square metre, from the soil up."""
        dry = stocks[self.dry].unit
        count = self.dry_load / dry.dry_matter
        if self.soft is None:
            return (spread_out(dry, count, 1.0),)
        soft = stocks[self.soft].unit
        return (
            spread_out(dry, count * BASE_SHARE, 1.0),
            spread_out(soft, self.soft_load / soft.dry_matter, 1.0),
            spread_out(dry, count * (1.0 - BASE_SHARE), 1.0),
        )


def alike(number: int, stocks: tuple[Stock, ...]) -> int:
    """Return the first stock of the same residue in the same state: recipes do not tell containers apart."""
    unit = stocks[number].unit
    for first, other in enumerate(stocks):
        if (other.unit.residue, other.unit.fresh) == (unit.residue, unit.fresh):
            return first
    return number


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Recipes of one pair on a grid of soft loads and dry-per-soft ratios, or of one dry residue by load."""

    loads: tuple[float, ...]
    """Soft loads of a pair, dry loads of a dry residue alone. [g m-2]"""
    ratios: tuple[float, ...]
    """Dry per soft dry matter; one entry of zero for a dry residue alone. [1]"""
    first: int
    """Number of its first recipe; the ratio runs fastest."""

    def between(self, load: float, ratio: float) -> list[tuple[int, float]]:
        """Return recipes and weights that make a load and a ratio; beyond the grid the nearest edge is scaled."""
        at_load, at_ratio = float(np.clip(load, *edges(self.loads))), float(np.clip(ratio, *edges(self.ratios)))
        scale = load / at_load
        weights = []
        for place, share in shares(self.loads, at_load):
            for column, part in shares(self.ratios, at_ratio):
                weights.append((self.first + place * len(self.ratios) + column, scale * share * part))
        return weights


def edges(values: tuple[float, ...]) -> tuple[float, float]:
    """Return the first and last of ordered values."""
    return values[0], values[-1]


def shares(values: tuple[float, ...], at: float) -> list[tuple[int, float]]:
    """Return the two neighbours of a value and their shares."""
    if len(values) == 1 or at <= values[0]:
        return [(0, 1.0)]
    for place in range(1, len(values)):
        if at <= values[place]:
            share = (at - values[place - 1]) / (values[place] - values[place - 1])
            return [(place - 1, 1.0 - share), (place, share)]
    return [(len(values) - 1, 1.0)]


@dataclass(frozen=True, slots=True, eq=False)
class WeekRecipes:
    """Recipes of one week and the grid each pair of stocks is read from."""

    recipes: tuple[Recipe, ...]
    grids: dict[tuple[int | None, int], Grid]

    def knows(self, candidate: Candidate, stocks: tuple[Stock, ...]) -> bool:
        """Say whether there are recipes to read a candidate from."""
        soft = None if candidate.soft is None else alike(candidate.soft.stock, stocks)
        return (soft, alike(candidate.dry.stock, stocks)) in self.grids

    def between(self, candidate: Candidate, stocks: tuple[Stock, ...]) -> list[tuple[int, float]]:
        """Return recipes and weights that stand for a candidate."""
        dry = alike(candidate.dry.stock, stocks)
        if candidate.soft is None:
            return self.grids[None, dry].between(candidate.dry_load, 0.0)
        grid = self.grids[alike(candidate.soft.stock, stocks), dry]
        return grid.between(candidate.soft_load, candidate.dry_load / candidate.soft_load)


def recipes_of(week: Week, terms: PlanTerms) -> WeekRecipes:
    """Return the recipes of what could be at hand in a week, at most sixty."""
    stocks = terms.stocks
    there = [
        number
        for number, stock in enumerate(stocks)
        if (day := terms.stock_days[number][week.index]) is not None and stock.most_on(day) >= 1.0
    ]
    recipes: list[Recipe] = []
    grids: dict[tuple[int | None, int], Grid] = {}

    def add(soft: int | None, dry: int, loads: tuple[float, ...], ratios: tuple[float, ...]) -> None:
        if (soft, dry) in grids or len(recipes) + len(loads) * len(ratios) > MOST_RECIPES:
            return
        grids[soft, dry] = Grid(loads, ratios, len(recipes))
        soft_stock = None if soft is None else stocks[soft]
        for load in loads:
            for ratio in ratios:
                soft_load, dry_load = (0.0, load) if soft is None else (load, load * ratio)
                water = water_to_pour(soft_load, soft_stock, dry_load, stocks[dry], terms.limits)
                recipes.append(Recipe(soft, dry, soft_load, dry_load, 0.0 if water is None else water))

    for dry in sorted({alike(number, stocks) for number in there if not stocks[number].soft_fresh}):
        add(None, dry, (LEAST_COVER, MOST_COVER), (0.0,))
    caps = sorted({alike(number, stocks) for number in partners(week, terms)}) if there else []
    softs = sorted({alike(number, stocks) for number in there if stocks[number].soft_fresh})
    for soft in softs:
        least, most = soft_window(stocks[soft], terms.limits)
        loads = tuple(least * (most / least) ** share for share in LOAD_STEPS)
        for dry in caps:
            lean, rich = dry_window(stocks[soft], stocks[dry], terms.limits)
            if lean < inf:
                add(soft, dry, loads, (1.02 * lean, rich))
    return WeekRecipes(tuple(recipes), grids)


def weight_table(
    candidates: tuple[Candidate, ...],
    by_week: dict[int, WeekRecipes],
    first_row: dict[int, int],
    stocks: tuple[Stock, ...],
) -> tuple[Index, Series]:
    """Return for each candidate up to four recipe rows and their weights. (candidates, 4) each"""
    rows = np.zeros((len(candidates), 4), dtype=np.int64)
    weights = np.zeros((len(candidates), 4))
    for place, candidate in enumerate(candidates):
        found = by_week[candidate.week].between(candidate, stocks)
        for column, (recipe, weight) in enumerate(found):
            rows[place, column] = first_row[candidate.week] + recipe
            weights[place, column] = weight
    return rows, weights
