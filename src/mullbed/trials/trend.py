"""A trend on one bed without a control beside it: always weak, and below a floor it can't be told at all."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from mullbed.trials.chances import t_chance, t_reach

ORGANIC_MATTER_FLOOR = (0.03, 0.13)
"""Smallest change over time that five repeats told apart on 13 sites. [fraction of the stock]
Source: necpalova2014, abstract."""


@dataclass(frozen=True, slots=True)
class Trend:
    """A straight line through yearly means."""

    slope: float
    """[unit per year]"""
    low: float
    high: float
    chance: float | None
    """p value of no slope; None with two points, where the line always fits."""
    points: int
    undetectable: bool
    """True where the whole change is below what repeats of this measure can tell."""
    sentence: str


def trend(years: Sequence[float], values: Sequence[float], *, floor: float = 0.0, alpha: float = 0.05) -> Trend:
    """Return the slope with its interval, called weak in words.

    Parameters
    ----------
    years : sequence of float
        When each value was read. [year]
    values : sequence of float
        As many means, sub-samples averaged. [any unit]
    floor : float
        Change over the whole time that can't be told from error. [fraction of the first value]

    Raises
    ------
    ValueError
        With fewer than two different years.
    """
    count = len(years)
    if count != len(values) or len(set(years)) < 2:
        raise ValueError("a trend needs values from two different years at least")
    middle = math.fsum(years) / count
    mean = math.fsum(values) / count
    width = math.fsum((year - middle) ** 2 for year in years)
    slope = math.fsum((year - middle) * (value - mean) for year, value in zip(years, values, strict=True)) / width
    change = abs(slope) * (max(years) - min(years))
    first = abs(values[min(range(count), key=lambda index: years[index])])
    hidden = change < floor * first
    weak = "weak: no bed beside it to compare, and weather and season move it too"
    if count < 3:
        low, high, chance = -math.inf, math.inf, None
    else:
        rest = math.fsum(
            (value - mean - slope * (year - middle)) ** 2 for year, value in zip(years, values, strict=True)
        )
        error = math.sqrt(rest / (count - 2) / width)
        reach = t_reach(count - 2, alpha) * error
        low, high = slope - reach, slope + reach
        chance = t_chance(slope / error, count - 2) if error > 0.0 else 0.0
    if hidden:
        sentence = f"This change can't be told from error yet; {weak}."
    elif chance is not None and chance < alpha:
        sentence = f"It {'rose' if slope > 0 else 'fell'} over {count} readings; {weak}."
    else:
        sentence = f"No trend can be told from {count} readings; {weak}."
    return Trend(slope, low, high, chance, count, hidden, sentence)
