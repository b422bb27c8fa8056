"""What one layer of a mix does to the soil's nitrogen, by the daily model, in the weather handed in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.spread import Evidence, Spread
from mullbed.plan.mix_loads import Array, spread_of
from mullbed.simulate.case import BedCase, SoilColumn
from mullbed.simulate.ensemble import Members
from mullbed.simulate.run import simulate

#: Days since laying on which the effect is told. [d]
DAYS = (7, 14, 28, 42, 60, 90, 120)
#: Days the losses are counted over. [d]
LOSS_DAYS = 60


@dataclass(frozen=True, slots=True)
class MixEffect:
    """Effect of one layer. [g m-2]"""

    days: tuple[int, ...]
    net_nitrogen: tuple[Spread, ...]
    ammonia_lost: Spread
    leached: Spread
    nitrogen_laid: Array
    """By member. [g m-2]"""


def bare_bed(weather: WeatherYears, soil: SoilColumn, name: str = "the bed of a check") -> BedCase:
    """Return bare ground under this weather, to lay a mix on."""
    return BedCase(name=name, weather=weather, soil=soil)


def mix_effect(case: BedCase, members: Members, laid_on: int, threads: int = 2) -> MixEffect:
    """Return what the layer of a case, laid on a day's index, does to the soil's nitrogen.

    Raises
    ------
    BalanceError, DirectionError
        When the books of a run do not close.
    """
    outcome = simulate(case, members, threads=threads)
    net = outcome.daily["net_nitrogen"]
    last = case.weather.days - 1
    days = tuple(day for day in DAYS if laid_on + day <= last)
    until = min(last, laid_on + LOSS_DAYS)
    washed = np.maximum(0.0, outcome.daily["leached"][:, until] - outcome.daily["leached_bare"][:, until])
    nitrogen = np.sum(members.draws[:, :, 0] * members.draws[:, :, 2] / 100.0, axis=1)
    return MixEffect(
        days=days,
        net_nitrogen=tuple(spread_of(net[:, laid_on + day], "g m-2", Evidence.WORKED_OUT) for day in days),
        ammonia_lost=spread_of(outcome.daily["ammonia_lost"][:, until], "g m-2", Evidence.WORKED_OUT),
        leached=spread_of(washed, "g m-2", Evidence.WORKED_OUT),
        nitrogen_laid=nitrogen,
    )
