"""Ways of gardening beside each other: the plan, fixed rules, a pile, chips, digging in, nothing."""

from __future__ import annotations

from dataclasses import dataclass

from mullbed.domain.spread import Spread


@dataclass(frozen=True, slots=True)
class WayInYears:
    """What one way came to in unseen seasons; spreads are 10th, 50th and 90th percentile over them."""

    name: str
    setting: str
    """How it was set, in words; empty where nothing is set."""
    ceiling_kept: bool
    """False where the ceiling of nitrogen fed was let go, which nobody sees on a bed."""
    visits: int
    """Times something is done on a bed."""
    want_met: Spread
    """Share of what crops wanted that they got in time. [1]"""
    nitrogen_lost: Spread
    """Lost to air and water beyond beds left alone. [g m-2]"""
    nitrogen_kept: Spread
    """Of what was given, there at the end of the season and not in crops. [g m-2]"""
    carbon_kept: Spread
    """More than on beds left alone. [g m-2]"""
    phosphorus_balance: Spread
    """Given less what crops carry off in the year. [g m-2]"""
    covered_days: Spread
    """Days with at least four fifths of the soil covered. [d]"""
    hours: Spread
    """Work in the season. [h]"""
    water: Spread
    """Carried in the season. [L]"""
    past_ceiling: float
    """Share of area and seasons fed beyond the ceiling of nitrogen fed. [fraction]"""
    cost: float
    """All goals together, mean; in grams of nitrogen missed by crops. [g]"""
    bad_tenth_cost: float
    """Of the dearest tenth of the seasons. [g]"""
    plan_better_seasons: float
    """Share of the seasons in which the plan costs less, the one that keeps or lets go the same ceilings. [fraction]"""
    plan_better_years: float
    """Share of the unseen years in which the plan costs less in the mean of its seasons. [fraction]"""


@dataclass(frozen=True, slots=True)
class WaysCompared:
    """Ways in the same garden, weather, supply, containers and ceilings; the plan comes first."""

    garden: str
    area: float
    """[m2]"""
    planned_with: tuple[str, ...]
    """Labels of the weather seasons planned and tuned with."""
    tried_in: tuple[str, ...]
    """Labels of the unseen ones."""
    seasons: int
    """Joint draws of unseen weather, new chemistry and parameters, and supply."""
    gap: float
    """Proven gap of the plan. [fraction]"""
    gap_ceiling_let_go: float
    """Of the plan without the ceiling of nitrogen fed. [fraction]"""
    ways: tuple[WayInYears, ...]
