"""Reference evapotranspiration and solar radiation for every day of a record, from what the record has.

In this order: the file's own figure; FAO-56 Penman-Monteith where radiation, humidity and wind were measured on
that day; else Hargreaves from the temperatures. Radiation that is missing is estimated from the daily range.
A day without temperatures has neither, and stays missing. The equations are those of [@allen1998].
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.daily_weather import DailyWeather, Series
from mullbed.processes import evapotranspiration as equations

SLOWEST_WIND = 0.5
"""Wind is taken to be at least this, as [@allen1998] p. 63 advises [from memory]. [m s-1]"""


def evaporative_demand(weather: DailyWeather, latitude: float, elevation: float | None = None) -> tuple[Series, Series]:
    """Return reference evapotranspiration [mm d-1] and radiation [MJ m-2 d-1]; arrays of shape (days,).

    NaN only on days whose temperatures are missing.
    """
    days = weather.rain.shape[0]
    dates = [weather.first_day + timedelta(days=day) for day in range(days)]
    day_of_year = np.array([day.timetuple().tm_yday for day in dates])
    demand, radiation = demand_from_temperature(weather.low, weather.high, day_of_year, latitude)
    if weather.radiation is not None:
        radiation = np.where(np.isnan(weather.radiation), radiation, weather.radiation)
        if weather.humidity is not None and weather.wind is not None:
            whole = ~(np.isnan(weather.radiation) | np.isnan(weather.humidity) | np.isnan(weather.wind))
            for day in np.flatnonzero(whole & ~np.isnan(demand)):
                demand[day] = penman_monteith(
                    float(weather.low[day]),
                    float(weather.high[day]),
                    float(radiation[day]),
                    float(weather.humidity[day]),
                    float(weather.wind[day]),
                    _plain(equations.extraterrestrial_radiation)(latitude, float(day_of_year[day])),
                    elevation or 0.0,
                )
    if weather.reference_evaporation is not None:
        given = weather.reference_evaporation
        demand = np.where(np.isnan(given), demand, given)
    return demand, radiation


def demand_from_temperature(
    low: Series, high: Series, day_of_year: NDArray[np.int64], latitude: float
) -> tuple[Series, Series]:
    """Return Hargreaves evapotranspiration and radiation from temperatures alone; arrays of equal shape."""
    above_air = _plain(equations.extraterrestrial_radiation)
    demand_of = _plain(equations.reference_evaporation_hargreaves)
    radiation_of = _plain(equations.radiation_from_range)
    by_day = [above_air(latitude, float(day)) for day in range(367)]
    demand, radiation = np.full(low.shape, np.nan), np.full(low.shape, np.nan)
    for place in np.ndindex(low.shape):
        lowest, highest = float(low[place]), float(high[place])
        if lowest == lowest and highest == highest:  # NaN is not equal to itself
            sun = by_day[int(day_of_year[place])]
            demand[place] = demand_of(highest, lowest, sun)
            radiation[place] = radiation_of(highest, lowest, sun)
    return demand, radiation


def penman_monteith(
    low: float, high: float, radiation: float, humidity: float, wind: float, above_air: float, elevation: float
) -> float:
    """Return FAO-56 reference evapotranspiration of a day from mean humidity ([@allen1998] eq. 6, 12, 19). [mm]

    Parameters
    ----------
    low, high : float
        [°C]
    radiation : float
        Solar. [MJ m-2 d-1]
    humidity : float
        Daily mean. [%]
    wind : float
        At 2 m. [m s-1]
    above_air : float
        Extraterrestrial radiation. [MJ m-2 d-1]
    elevation : float
        [m]
    """
    pressure_of = _plain(equations.saturation_vapour_pressure)
    saturation = (pressure_of(high) + pressure_of(low)) / 2.0
    actual = min(1.0, humidity / 100.0) * saturation
    mean = (low + high) / 2.0
    net = _plain(equations.net_radiation)(radiation, above_air, high, low, actual, elevation)
    slope = _plain(equations.vapour_pressure_slope)(mean)
    psychrometric = _plain(equations.psychrometric_constant)(_plain(equations.air_pressure)(elevation))
    wind = max(SLOWEST_WIND, wind)
    return float(_plain(equations.reference_evaporation)(net, mean, wind, saturation, actual, slope, psychrometric))


def _plain(equation: Callable[..., float]) -> Callable[..., Any]:
    """Return the plain form of an equation: a few thousand days do not pay for compiling it."""
    return getattr(equation, "py_func", equation)
