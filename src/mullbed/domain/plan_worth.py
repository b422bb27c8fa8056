"""What planning for bad years is worth: two plans of one garden set into years neither knew."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PlanInYears:
    """What one plan came to in unseen seasons: means over them, but for the bad tenth."""

    layers: int
    cost: float
    """All goals together, in grams of nitrogen missed by crops. [g]"""
    bad_tenth_cost: float
    """Of the dearest tenth of the seasons. [g]"""
    nitrogen_short: float
    """Crop want not met, whole garden. [g]"""
    nitrogen_over: float
    """Lost from the soil or left in it, whole garden. [g]"""
    ammonia_lost: float
    """Whole garden. [g]"""
    bare_weeks: float
    """Bed-weeks, as far as less than four fifths is covered. [week]"""
    minutes: float
    """Work of the layers that could be laid. [min]"""


@dataclass(frozen=True, slots=True)
class PlanWorth:
    """The plan for what may come beside the plan for the mean season, in the same unseen seasons."""

    garden: str
    planned_with: tuple[str, ...]
    """Labels of the weather seasons planned with."""
    tried_in: tuple[str, ...]
    """Labels of the unseen ones."""
    seasons: int
    """Joint draws of unseen weather, new chemistry and parameters, and supply."""
    for_what_may_come: PlanInYears
    for_the_mean: PlanInYears
    saved: tuple[float, float, float]
    """By how much the first costs less, season by season: 10th, 50th and 90th percentile. [g]"""
    better_in: float
    """Share of the seasons in which the first costs less. [fraction]"""
