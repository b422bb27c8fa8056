"""Plausible seasons from a generator fitted to a station's own years, after Richardson's way ([@richardson1981]).

Whether a day is wet follows from whether the day before was (a first-order chain by month); how much falls on a wet day
is drawn from a gamma distribution by month; lowest and highest temperature follow yearly waves, one pair for dry days
and one for wet ones, with anomalies that remember each other from day to day. Evaporation and radiation are worked out
from the temperatures and set to the record's own level by month.

Its weaknesses, and how large they are on the open records of `shared/data/weather`, stand in `WEAKNESSES`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import log, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.daily_weather import DailyWeather, Series, WeatherYears
from mullbed.domain.spread import Evidence
from mullbed.errors import Fault, InputFault
from mullbed.weather.evaporative_demand import demand_from_temperature, evaporative_demand

WET = 0.3
"""A day with at least so much rain is wet. Judgement; a tenth and one millimetre are also in use. [mm]"""
FEWEST_DAYS = 1000
"""Days with lowest, highest and rain that a fit needs: about three years. Judgement. [d]"""
FEWEST_WET = 20
"""Wet days a month's gamma needs; with fewer, its neighbours and then the whole year are taken in. Judgement."""
HARMONICS = 3
"""Waves of a yearly course."""
SPIN_UP = 30
"""Days run before the season, so that it does not begin in the mean. [d]"""
BEYOND = 2.0
"""No generated temperature lies further than this beyond what the record saw in that month. Judgement. [°C]"""
SEASONS = 48

WEAKNESSES = (
    "Years differ too little: nothing in it makes a whole year wet or dry. On seven open records the spread of yearly "
    "rain came out at 0.57 to 0.98 of the real one.",
    "Long dry spells are too short: the chain remembers one day. The longest of a year came out up to a sixth shorter.",
    "The heaviest days are too light: one day in a thousand brought 10 to 30 % less than in the records.",
    "The hottest and the coldest day of a year came out up to 4 °C off: anomalies are normal, real ones are not.",
    "It knows no trend: it is the climate of the record, not of the years to come.",
)

Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class FittedClimate:
    """What was fitted; arrays by month, January first, or by day of the year."""

    wet_after_dry: Series
    """(12,)"""
    wet_after_wet: Series
    """(12,)"""
    shape: Series
    """Of the gamma distribution of a wet day's rain. (12,)"""
    scale: Series
    """[mm] (12,)"""
    mean: NDArray[np.float64]
    """Lowest and highest by dry or wet and day of the year. [°C] (2, 2, 367)"""
    spread: NDArray[np.float64]
    """Standard deviations of the same. [°C] (2, 2, 367)"""
    memory: Matrix
    """Anomalies of today from those of yesterday. (2, 2)"""
    shock: Matrix
    """What is new in today's anomalies. (2, 2)"""
    seen: NDArray[np.float64]
    """Lowest and highest that lowest and highest temperature ever were, by month. [°C] (2, 2, 12)"""
    demand_ratio: Series
    """The record's evapotranspiration over that from temperature. (12,)"""
    radiation_ratio: Series
    """(12,)"""
    years: tuple[int, int]
    source: str


def fitted_climate(weather: DailyWeather, latitude: float, elevation: float | None = None) -> FittedClimate:
    """Return a generator fitted to a record.

    Raises
    ------
    InputFault
        When fewer than a thousand days are whole, or some month is missing from all years.
    """
    days = [weather.first_day + timedelta(days=day) for day in range(weather.rain.size)]
    month = np.array([day.month - 1 for day in days])
    of_year = np.array([day.timetuple().tm_yday for day in days])
    whole = ~(np.isnan(weather.low) | np.isnan(weather.high) | np.isnan(weather.rain))
    counts = np.bincount(month[whole], minlength=12)
    if int(whole.sum()) < FEWEST_DAYS or counts.min() < 28:
        found = f"{int(whole.sum())} whole days, {counts.min()} in the thinnest month"
        allowed = f"at least {FEWEST_DAYS}, and every month at least once"
        remedy = "Give a longer record, or take its years as they are."
        raise InputFault([Fault(f"weather {weather.source}", found, allowed, remedy)])
    after_dry, after_wet = _chain(weather.rain, month)
    shape, scale = _gamma(weather.rain, month, whole)
    mean, spread, anomaly = _courses(weather, of_year, whole)
    memory, shock = _anomalies(anomaly)
    demand, radiation = evaporative_demand(weather, latitude, elevation)
    plain_demand, plain_radiation = demand_from_temperature(weather.low, weather.high, of_year, latitude)
    return FittedClimate(
        after_dry,
        after_wet,
        shape,
        scale,
        mean,
        spread,
        memory,
        shock,
        _seen(weather, month),
        _ratio(demand, plain_demand, month),
        _ratio(radiation, plain_radiation, month),
        (days[0].year, days[-1].year),
        weather.source,
    )


def _chain(rain: Series, month: NDArray[np.int64]) -> tuple[Series, Series]:
    """Return the chance of a wet day after a dry and after a wet one, by month."""
    known = ~(np.isnan(rain[1:]) | np.isnan(rain[:-1]))
    today, before = (rain[1:] >= WET)[known], (rain[:-1] >= WET)[known]
    of_month = month[1:][known]
    chances = []
    for wet in (False, True):
        overall = (today[before == wet].sum() + 0.5) / ((before == wet).sum() + 1.0)
        by_month = np.empty(12)
        for number in range(12):
            rows = (of_month == number) & (before == wet)
            # a month that saw few such days leans on the year
            by_month[number] = (today[rows].sum() + 4.0 * overall) / (rows.sum() + 4.0)
        chances.append(by_month)
    return chances[0], chances[1]


def _gamma(rain: Series, month: NDArray[np.int64], whole: NDArray[np.bool_]) -> tuple[Series, Series]:
    """Return shape and scale of a wet day's rain by month (Thom's estimate); the month's sum is kept."""
    shape, scale = np.ones(12), np.ones(12)
    wet = whole & (rain >= WET)
    for number in range(12):
        rows = wet & (month == number)
        for reach in (1, 6):
            if rows.sum() >= FEWEST_WET:
                break
            rows = wet & (np.minimum((month - number) % 12, (number - month) % 12) <= reach)
        amounts = rain[rows]
        if amounts.size < 3:
            continue
        apart = log(float(amounts.mean())) - float(np.log(amounts).mean())
        shape[number] = min(5.0, max(0.3, (1.0 + sqrt(1.0 + 4.0 * apart / 3.0)) / (4.0 * max(apart, 1e-6))))
        here = whole & (month == number)
        own = rain[here & wet]
        mean = float(own.mean()) if own.size >= 5 else float(amounts.mean())
        drizzle = float(rain[here].sum()) / float(own.sum()) if own.size else 1.0
        scale[number] = mean * min(drizzle, 1.2) / shape[number]
    return shape, scale


def _courses(
    weather: DailyWeather, of_year: NDArray[np.int64], whole: NDArray[np.bool_]
) -> tuple[NDArray[np.float64], NDArray[np.float64], Matrix]:
    """Return yearly courses of means and spreads on dry and wet days, and the anomalies left. (days, 2)"""
    waves = _waves(np.arange(367))
    mean, spread = np.empty((2, 2, 367)), np.empty((2, 2, 367))
    anomaly = np.full((weather.rain.size, 2), np.nan)
    wet = np.greater_equal(weather.rain, WET).astype(np.int64)
    for which, series in enumerate((weather.low, weather.high)):
        base, base_spread = _fitted(series, of_year, whole, waves)
        for state in (0, 1):
            rows = whole & (wet == state)
            if rows.sum() >= 200:
                mean[state, which], spread[state, which] = _fitted(series, of_year, rows, waves)
            else:  # too few to have a course of their own: the common one, moved by what they differ
                moved = float((series[rows] - base[of_year[rows]]).mean()) if rows.sum() >= 10 else 0.0
                mean[state, which], spread[state, which] = base + moved, base_spread
            at = of_year[rows]
            anomaly[rows, which] = (series[rows] - mean[state, which][at]) / spread[state, which][at]
    return mean, spread, anomaly


def _waves(of_year: NDArray[np.int64]) -> Matrix:
    """Return constant and sine waves by day of the year. (days, 1 + 2 harmonics)"""
    angle = 2.0 * pi * of_year / 365.25
    return np.column_stack(
        [np.ones(of_year.size), *(wave(k * angle) for k in range(1, HARMONICS + 1) for wave in (np.sin, np.cos))]
    )


def _fitted(
    series: Series, of_year: NDArray[np.int64], rows: NDArray[np.bool_], waves: Matrix
) -> tuple[Series, Series]:
    """Return the yearly course of a mean and of the standard deviation around it. (367,)"""
    design = waves[of_year[rows]]
    factors, *_ = np.linalg.lstsq(design, series[rows], rcond=None)
    course = waves @ factors
    squared = (series[rows] - design @ factors) ** 2
    few = 1 + 2  # spreads need a smoother course than means
    factors, *_ = np.linalg.lstsq(design[:, :few], squared, rcond=None)
    variance = np.maximum(waves[:, :few] @ factors, 0.2 * float(squared.mean()) + 1e-6)
    return course, np.sqrt(variance)


def _anomalies(anomaly: Matrix) -> tuple[Matrix, Matrix]:
    """Return the matrices of a first-order process with the anomalies' covariances of lag 0 and 1."""
    both: NDArray[np.bool_] = np.isfinite(anomaly.sum(axis=1))
    here = anomaly[both] - anomaly[both].mean(axis=0)
    lag_zero = here.T @ here / max(1, here.shape[0])
    pair = both[1:] & both[:-1]
    today, before = anomaly[1:][pair], anomaly[:-1][pair]
    lag_one = (today - today.mean(axis=0)).T @ (before - before.mean(axis=0)) / max(1, int(pair.sum()))
    memory = lag_one @ np.linalg.inv(lag_zero)
    left = lag_zero - memory @ lag_one.T
    values, vectors = np.linalg.eigh((left + left.T) / 2.0)
    return memory, vectors @ np.diag(np.sqrt(np.maximum(values, 0.0)))


def _seen(weather: DailyWeather, month: NDArray[np.int64]) -> NDArray[np.float64]:
    """Return the extremes of both temperatures by month. (2, 2, 12)"""
    found = np.empty((2, 2, 12))
    for which, series in enumerate((weather.low, weather.high)):
        for number in range(12):
            of_month = series[month == number]
            found[which, 0, number], found[which, 1, number] = np.nanmin(of_month), np.nanmax(of_month)
    return found


def _ratio(of_record: Series, plain: Series, month: NDArray[np.int64]) -> Series:
    """Return by month what the record has over what temperatures alone give."""
    known = ~(np.isnan(of_record) | np.isnan(plain))
    found = np.ones(12)
    for number in range(12):
        rows = known & (month == number)
        total = float(plain[rows].sum())
        if total > 0.0:
            found[number] = min(3.0, max(0.2, float(of_record[rows].sum()) / total))
    return found


def fitted_seasons(
    climate: FittedClimate,
    first_day: date,
    last_day: date,
    latitude: float,
    generator: np.random.Generator,
    *,
    seasons: int = SEASONS,
) -> WeatherYears:
    """Return generated seasons between two days; evidence "worked out".

    Parameters
    ----------
    climate : FittedClimate
    first_day, last_day : date
    latitude : float
        North positive. [degrees]
    generator : numpy.random.Generator
    seasons : int

    Raises
    ------
    InputFault
        When the season is empty.
    """
    days = (last_day - first_day).days + 1
    if days < 1:
        raise InputFault(
            [Fault("season", f"{first_day} to {last_day}", "at least one day", "Put the first day first.")]
        )
    calendar = [first_day + timedelta(days=day) for day in range(-SPIN_UP, days)]
    month = np.array([day.month - 1 for day in calendar])
    of_year = np.array([day.timetuple().tm_yday for day in calendar])
    total = days + SPIN_UP
    chance = generator.random((total, seasons))
    amount = generator.gamma(climate.shape[month][:, None], climate.scale[month][:, None], (total, seasons))
    shocks = generator.normal(size=(total, seasons, 2))
    low, high, rain = (np.empty((seasons, total)) for _ in range(3))
    wet = np.zeros(seasons, dtype=bool)
    anomaly = np.zeros((seasons, 2))
    for day in range(total):
        at = month[day]
        wet = chance[day] < np.where(wet, climate.wet_after_wet[at], climate.wet_after_dry[at])
        rain[:, day] = np.where(wet, np.maximum(amount[day], WET), 0.0)
        anomaly = anomaly @ climate.memory.T + shocks[day] @ climate.shock.T
        state = wet.astype(np.int64)
        for which, series in enumerate((low, high)):
            mean, spread = climate.mean[state, which, of_year[day]], climate.spread[state, which, of_year[day]]
            coldest, hottest = climate.seen[which, :, at]
            series[:, day] = np.clip(mean + spread * anomaly[:, which], coldest - BEYOND, hottest + BEYOND)
    low, high, rain = low[:, SPIN_UP:], high[:, SPIN_UP:], rain[:, SPIN_UP:]
    crossed = low > high - 0.5
    middle = (low + high) / 2.0
    low, high = np.where(crossed, middle - 0.25, low), np.where(crossed, middle + 0.25, high)
    rows = np.tile(of_year[SPIN_UP:], (seasons, 1))
    demand, radiation = demand_from_temperature(low, high, rows, latitude)
    by_month = month[SPIN_UP:]
    name = f"{climate.years[0]}-{climate.years[1]}"
    return WeatherYears(
        first_day,
        low,
        high,
        rain,
        demand * climate.demand_ratio[by_month],
        radiation * climate.radiation_ratio[by_month],
        tuple(f"generated from {name}, no. {number}" for number in range(1, seasons + 1)),
        climate.source,
        Evidence.WORKED_OUT,
    )
