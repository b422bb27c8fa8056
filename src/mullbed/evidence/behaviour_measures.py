"""What a behaviour case measures in a run: one number for each member, on a day."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mullbed.simulate import layout as at
from mullbed.simulate.run import Outcome

Array = NDArray[np.float64]

#: Carbon in organic matter. [fraction] Common practice, no source.
CARBON_OF_ORGANIC_MATTER = 1.0 / 1.72
#: Organic matter of one point in 15 cm at a bulk density of 1.2. [g m-2] Worked out.
POINT = 1800.0
#: Water per fresh mass from which on a cover counts as moist. [fraction] From memory.
MOIST = 0.40


@dataclass(frozen=True, slots=True)
class Ran:
    """A run with what its members laid."""

    outcome: Outcome
    laid: Array
    """Dry matter laid in all, shape (members,). [g m-2]"""

    def row(self, day: int) -> int:
        """Return the row of a day in the daily outputs."""
        rows = int(self.series("carbon_left").shape[1])
        return min(day // self.outcome.every, rows - 1)

    def series(self, name: str) -> Array:
        """Return a daily output, shape (members, rows)."""
        return self.outcome.daily[name]

    def at(self, name: str, day: int) -> Array:
        """Return a daily output on a day, shape (members,)."""
        return self.series(name)[:, self.row(day)]

    def until(self, name: str, day: int) -> Array:
        """Return a daily output up to and with a day, shape (members, rows)."""
        return self.series(name)[:, : self.row(day) + 1]


Measure = Callable[[Ran, int], Array]


def _carbon_left(ran: Ran, day: int) -> Array:
    return 100.0 * ran.at("carbon_left", day) / ran.at("laid_carbon", day)


def _half_time(ran: Ran, day: int) -> Array:
    left = ran.until("carbon_left", day) / ran.until("laid_carbon", day)
    gone = left < 0.5
    first = np.argmax(gone, axis=1).astype(float) * ran.outcome.every
    return np.where(gone.any(axis=1), first, float(day))


def _most_taken(ran: Ran, day: int) -> Array:
    most: Array = np.maximum(0.0, -ran.until("net_nitrogen", day).min(axis=1))
    return most


def _moist(ran: Ran, day: int) -> Array:
    moist = np.nan_to_num(ran.until("moisture", day), nan=0.0) > MOIST
    days: Array = moist.sum(axis=1) * float(ran.outcome.every)
    return days


def _moist_lowest(ran: Ran, day: int) -> Array:
    """Days on which the lowest lift is moist, in the mean of the members; the same for all."""
    lifts = ran.outcome.lifts
    days = 0 if lifts is None else int((np.nan_to_num(lifts.moisture[0, : day + 1], nan=0.0) > MOIST).sum())
    return np.full(ran.laid.shape, float(days))


def _warmest(ran: Ran, day: int) -> Array:
    warmest: Array = np.nan_to_num(ran.until("layer_temperature", day), nan=-99.0).max(axis=1)
    return warmest


def _soil_carbon_gain(ran: Ran) -> Array:
    """Carbon of the soil pools at the end less at the start, from the books of the run. [g m-2]"""
    final = ran.outcome.final
    gone = final(at.CO2_LAYER) + final(at.CO2_SOIL) + final(at.REMOVED_C)
    return final(at.LAID_C) - gone - ran.series("carbon_left")[:, -1]


def _organic_matter_trend(ran: Ran, day: int) -> Array:
    years = (day + 1) / 365.0
    return _soil_carbon_gain(ran) / CARBON_OF_ORGANIC_MATTER / POINT / years


def _thickness_growth(ran: Ran, day: int) -> Array:
    return ran.at("thickness", day) / ran.at("thickness", day - 3650)


#: Measure, unit and words of everything an expectation may ask for.
MEASURES: dict[str, tuple[Measure, str, str]] = {
    "carbon_left": (_carbon_left, "% of laid", "carbon left in the cover"),
    "half_time": (_half_time, "days", "days until half of the carbon is gone"),
    "net_nitrogen": (lambda ran, day: ran.at("net_nitrogen", day), "g/m2", "nitrogen given to the soil"),
    "net_nitrogen_share": (
        lambda ran, day: 100.0 * ran.at("net_nitrogen", day) / ran.outcome.final(at.LAID_N),
        "% of laid",
        "nitrogen given to the soil",
    ),
    "most_taken": (_most_taken, "g/m2", "most nitrogen taken from the soil"),
    "most_taken_of_dry": (
        lambda ran, day: 100.0 * _most_taken(ran, day) / ran.laid,
        "% of dry mass",
        "most nitrogen taken from the soil",
    ),
    "ammonia_share": (
        lambda ran, day: 100.0 * ran.at("ammonia_lost", day) / ran.outcome.final(at.LAID_N),
        "% of laid",
        "nitrogen lost as ammonia",
    ),
    "leached": (lambda ran, day: ran.at("leached", day), "g/m2", "nitrogen washed down"),
    "soil_warmth": (lambda ran, day: ran.at("shallow_temperature", day), "°C", "warmth of the soil at 2.5 cm"),
    "root_zone_water": (lambda ran, day: ran.at("root_zone_water", day), "mm", "water for plants in 60 cm of soil"),
    "mineral_nitrogen": (lambda ran, day: ran.at("mineral_nitrogen", day), "g/m2", "ready nitrogen in 25 cm of soil"),
    "moist_days": (_moist, "days", "days the cover is moist"),
    "moist_days_share": (lambda ran, day: 100.0 * _moist(ran, day) / (day + 1), "% of days", "days the cover is moist"),
    "moist_days_lowest": (_moist_lowest, "days", "days the lowest lift is moist"),
    "thickness": (lambda ran, day: 100.0 * ran.at("thickness", day), "cm", "height of the cover"),
    "thickness_of_first": (
        lambda ran, day: ran.at("thickness", day) / ran.at("thickness", 0),
        "times",
        "height of the cover over that of the first day",
    ),
    "thickness_growth": (_thickness_growth, "times", "height of the cover over that ten years before"),
    "warmest_layer": (_warmest, "°C", "the cover at its warmest"),
    "breathed_share": (
        lambda ran, day: 100.0 * ran.at("carbon_dioxide", day) / ran.outcome.final(at.LAID_C),
        "% of laid",
        "carbon breathed out",
    ),
    "organic_matter_trend": (_organic_matter_trend, "points a year", "change of organic matter in 15 cm"),
}

#: Daily output, factor, unit and words of everything a chart may show; "share" is per what was laid until then.
DRAWN: dict[str, tuple[str, float, str, str]] = {
    "net_nitrogen": ("net_nitrogen", 1.0, "g/m2", "Nitrogen given to the soil"),
    "leached": ("leached", 1.0, "g/m2", "Nitrogen washed down"),
    "root_zone_water": ("root_zone_water", 1.0, "mm", "Water for plants in 60 cm of soil"),
    "layer_warmth": ("layer_temperature", 1.0, "°C", "Warmest part of the cover"),
    "thickness": ("thickness", 100.0, "cm", "Height of the cover"),
    "soil_warmth": ("shallow_temperature", 1.0, "°C", "Warmth of the soil at 2.5 cm"),
    "carbon_left": ("share", 100.0, "% of laid", "Carbon left in the cover"),
    "mineral_nitrogen": ("mineral_nitrogen", 1.0, "g/m2", "Ready nitrogen in 25 cm of soil"),
}


def drawn_series(ran: Ran, name: str) -> Array:
    """Return what a chart shows, shape (members, rows)."""
    output, factor, _, _ = DRAWN[name]
    if output == "share":
        return factor * ran.series("carbon_left") / ran.series("laid_carbon")
    return factor * ran.series(output)
