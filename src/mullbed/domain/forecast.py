"""What the simulated ensemble shows for beds: bands by day, and how well the books close."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.backing import Backed
from mullbed.domain.layer import Layer

Series = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Band:
    """10th, 50th and 90th percentile by day; arrays of shape (days,)."""

    p10: Series
    p50: Series
    p90: Series


@dataclass(frozen=True, slots=True)
class RelativeBalance:
    """Largest relative error of each balance in the run. [1]"""

    carbon: float
    nitrogen: float
    water: float


@dataclass(frozen=True, slots=True)
class LiftThrough:
    """One lift through time: middle thickness and share of carbon gone; arrays of shape (days,)."""

    layer: Layer
    lift: int
    """Index in the layer, from the soil up."""
    thickness: Series
    """[m]; NaN before it is laid."""
    carbon_gone: Series
    """[fraction]; NaN before it is laid."""
    moisture: Series
    """Water per fresh mass. [fraction, wet basis]; NaN before it is laid."""


@dataclass(frozen=True, slots=True)
class BedForecast:
    """One bed through the season."""

    bed: str
    first_day: date
    series: dict[str, Band]
    """Names: thickness [m], moisture [fraction], layer_temperature [°C], soil_temperature [°C],
    mineral_nitrogen (0-25 cm) [g m-2], net_nitrogen (cumulative, given by layers to the soil) [g m-2],
    ammonia_lost (cumulative) [g m-2], leached (cumulative) [g m-2], cover [fraction],
    soil_nitrogen (cumulative, given by the soil alone) [g m-2]; where known also weekly_nitrogen (given by soil and
    layers together in the seven days around each day) [g m-2]."""
    lifts: tuple[LiftThrough, ...]
    crop_want: Series
    """Crop want by day. [g m-2 d-1]"""
    balance: RelativeBalance
    spread_by: dict[str, float]
    """Share of the spread of net nitrogen at the end owed to weather, chemistry, amount, place and rates."""
    backing: tuple[Backed, ...] = ()
    """Class of each series: data-backed or extrapolation; empty where it was not asked for."""
