"""Weather of a litter site from its means, and the one moisture driver that all open data sets share.

[@mullbed_model] section 6.0: a thin litter sublayer of constant mass on the soil, run through the water and
temperature scheme of the column; what drives decay is the product of its warmth and wetness factors.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from math import pi

import numpy as np
from numpy.typing import NDArray

from mullbed.compiled import loop
from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.spread import Evidence
from mullbed.evidence.litter import driving
from mullbed.evidence.open_tables import Row, needed
from mullbed.processes.canopy_and_snow import canopy_interception, runoff, snow_fall, snow_melt
from mullbed.processes.crop_cover import evaporation_demand
from mullbed.processes.decomposition import rewetted_share, rewetting_turnover
from mullbed.processes.evapotranspiration import extraterrestrial_radiation
from mullbed.processes.layer_water import demand_passed, free_water_evaporation, kept_water
from mullbed.processes.mineralisation import soluble_release_opening
from mullbed.processes.rate_modifiers import (
    layer_moisture_response,
    relative_water,
    soil_moisture_response,
    temperature_response,
)
from mullbed.processes.soil_temperature import damping, soil_temperature_step, surface_temperature
from mullbed.processes.soil_water import contact_exchange, contact_target, drained_water, soil_evaporation
from mullbed.processes.transpiration import transpiration

Array = NDArray[np.float64]

MASS, COVERS, HOLDS, SHADING = 0.25, 3.7, 2.6, 2.1
FULL, WILTING, GAIN = 0.28, 0.137, 0.15


@dataclass(frozen=True, slots=True)
class Climate:
    """Means of a place."""

    temperature: float
    """Annual mean. [°C]"""
    half_range: float
    """Half the range of monthly means. [°C]"""
    rain: float
    """Mean rate. [mm d-1]"""
    latitude: float
    """[degrees]"""
    monthly: tuple[float, ...] | None = None
    """Twelve monthly means; None for a cosine of the half-range. [°C]"""


def daily_weather(climate: Climate, seed: int = 1, years: int = 1) -> WeatherYears:
    """Return daily weather made from means by the rule of [@mullbed_model] section 6.0.

    Warmth is the same every year; wet days and amounts are drawn for all years at once, first every chance of a
    wet day, then every amount.
    """
    day = np.arange(365)
    if climate.monthly is not None:
        middles = (np.arange(-1, 13) + 0.5) * 365.0 / 12.0
        means = np.array([climate.monthly[-1], *climate.monthly, climate.monthly[0]])
        air = np.interp(day + 0.5, middles, means)
    else:
        warmest = 200.0 if climate.latitude >= 0 else 17.0
        air = climate.temperature + climate.half_range * np.cos(2.0 * pi * (day + 1 - warmest) / 365.0)
    chances = np.random.default_rng(seed)
    chance = min(0.65, max(0.05, 0.12 + 0.08 * climate.rain))
    wet = chances.random(365 * years) < chance
    rain = np.where(wet, chances.exponential(1.0, 365 * years) * climate.rain / chance, 0.0).reshape(years, 365)
    span = min(15.0, max(7.0, 14.0 - 1.2 * climate.rain))
    above = np.array([float(extraterrestrial_radiation(climate.latitude, float(one + 1))) for one in day])
    demand = 0.0023 * 0.408 * above * (air + 17.8) * span**0.5
    demand = np.where(air < -5.0, 0.1, np.maximum(0.1, demand))
    radiation = 0.16 * span**0.5 * above

    def every_year(values: Array) -> Array:
        return np.tile(values, (years, 1))

    return WeatherYears(
        date(2021, 1, 1),
        every_year(air),
        every_year(air),
        rain,
        every_year(demand),
        every_year(radiation),
        ("from means",) * years,
        "monthly or annual means",
        Evidence.GUESS,
    )


@dataclass(frozen=True, slots=True)
class Drive:
    """What drives decay at a place, by day of years that repeat; arrays of shape (days,)."""

    surface: Array
    """Warmth times wetness of a thin litter on the soil. [1]"""
    buried: Array
    """The same dug in. [1]"""
    passing: Array
    """Water passing the litter. [mm d-1]"""
    rewetting: Array
    """Loss of decomposers by rain on moist litter, at strength 1; nothing dug in. [d-1]"""
    opening: Array
    """How open tissue on the surface stands for its soluble nitrogen to leave. [1]"""
    buried_opening: Array
    """The same dug in. [1]"""

    def on_surface(self, scale: float = 1.0) -> Array:
        """Return what drives a litter on the soil, shape (days, 4); the scale is that of warmth times wetness."""
        return driving(self.surface * scale, self.passing, self.rewetting, self.opening)

    def dug_in(self) -> Array:
        """Return what drives a litter dug in, from which nothing is washed out, shape (days, 4)."""
        nothing = np.zeros_like(self.buried)
        return driving(self.buried, nothing, nothing, self.buried_opening)


@loop
def _drive(
    air, rain, reference, radiation, kcb, crop_cover, surface, buried, passing, rewetting, opening, buried_opening
):
    """Fill the drive of every day, after the first year was run once to settle water and warmth."""
    days = air.shape[0]
    water = 0.5 * HOLDS * MASS
    snow = 0.0
    soil = np.array([0.9 * FULL * 50.0, 0.9 * FULL * 200.0, 0.9 * FULL * 350.0])
    thick = np.array([50.0, 200.0, 350.0])
    depth = np.array([2.5, 10.0, 30.0])
    warmth = np.full(3, np.mean(air))
    litter = np.mean(air)
    for settling in (True, False):
        for day in range(365 if settling else days):
            falls = snow_fall(rain[day], air[day])
            snow += falls
            melt = snow_melt(snow, air[day])
            snow -= melt
            held = canopy_interception(rain[day] - falls, crop_cover)
            left = max(0.0, reference[day] - held) if snow <= 5.0 else 0.0
            inflow = rain[day] - falls - held + melt
            kept = kept_water(inflow, water, MASS, COVERS, HOLDS)
            rewetted = rewetted_share(kept / MASS, water / MASS, HOLDS)
            water += kept
            passed = inflow - kept
            start = water / MASS
            soil[0] += passed - runoff(passed, np.exp(-COVERS * MASS))
            demand = evaporation_demand(kcb, left)
            below = demand_passed(demand, MASS, SHADING)
            water -= free_water_evaporation(demand - below, water, MASS, 0.12, HOLDS)
            over = max(0.0, water - HOLDS * MASS)
            water -= over
            soil[0] += over
            dry = 0.5 * WILTING * 50.0
            soil[0] -= soil_evaporation(soil[0] - dry, below, 50.0 * (FULL - 0.5 * WILTING))
            share = relative_water(soil[0], dry, FULL * 50.0)
            drawn = contact_exchange(contact_target(MASS, share), water, 0.5 * MASS, soil[0] - dry, 0.12 * MASS)
            water += drawn
            soil[0] -= drawn
            available = 0.0
            for h in range(3):
                available += max(0.0, soil[h] - WILTING * thick[h])
            drunk = transpiration(kcb, left, available, 600.0 * (FULL - WILTING))
            if available > 0.0:
                for h in range(3):
                    soil[h] -= drunk * max(0.0, soil[h] - WILTING * thick[h]) / available
            for h in range(3):
                out = drained_water(soil[h], FULL * thick[h])
                soil[h] -= out
                if h < 2:
                    soil[h + 1] += out
            covering = COVERS * MASS
            driven = surface_temperature(air[day], radiation[day], 1.0 - np.exp(-covering), crop_cover, GAIN)
            if snow > 5.0:
                driven = min(0.0, driven)
            for h in range(3):
                warmth[h] += soil_temperature_step(warmth[h], driven, depth[h], damping(crop_cover, covering))
            litter = warmth[0] if snow > 5.0 else air[day] + 0.5 * (warmth[0] - air[day])
            if not settling:
                wet = layer_moisture_response(0.5 * (start + water / MASS))
                driven = temperature_response(litter)
                surface[day] = driven * wet
                rewetting[day] = rewetting_turnover(rewetted, driven, 1.0)
                opening[day] = soluble_release_opening(wet, driven)
                middle = relative_water(soil[1], WILTING * 200.0, FULL * 200.0)
                driven, wet = temperature_response(warmth[1]), soil_moisture_response(middle)
                buried[day] = driven * wet
                buried_opening[day] = soluble_release_opening(wet, driven)
                passing[day] = passed


def drive(weather: WeatherYears, kcb: float = 0.15, crop_cover: float = 0.0) -> Drive:
    """Return the drive of all days of the weather's years, one after the other, after one year of settling.

    Parameters
    ----------
    weather : WeatherYears
    kcb, crop_cover : float
        Crop or trees over the litter. [1]
    """
    air = (0.5 * (weather.low + weather.high)).ravel()
    out = Drive(*(np.zeros(air.size) for _ in range(6)))
    _drive(
        air,
        np.ascontiguousarray(weather.rain).ravel(),
        np.ascontiguousarray(weather.reference_evaporation).ravel(),
        np.ascontiguousarray(weather.radiation).ravel(),
        kcb,
        crop_cover,
        out.surface,
        out.buried,
        out.passing,
        out.rewetting,
        out.opening,
        out.buried_opening,
    )
    return out


def half_range_of_latitude(latitude: float) -> float:
    """Return the half-range of monthly means a latitude suggests. [°C]"""
    return min(17.0, max(1.0, (abs(latitude) - 1.5) / 3.0))


def latitude_of_half_range(half_range: float, *, south: bool) -> float:
    """Return the latitude a half-range of monthly means suggests. [degrees]"""
    latitude = min(65.0, 3.0 * half_range + 1.5)
    return -latitude if south else latitude


def monthly_means(row: Row) -> tuple[float, ...]:
    """Return the twelve monthly means of a row of an open data set. [°C]"""
    return tuple(needed(row, f"t{month:02d}_c") for month in range(1, 13))


def site_climate(row: Row) -> Climate:
    """Return the climate of a site of which monthly warmth and annual rain are known, but not where it lies."""
    means = monthly_means(row)
    half_range = 0.5 * (max(means) - min(means))
    warmest = means.index(max(means)) + 1
    south = warmest >= 10 or warmest <= 3
    latitude = latitude_of_half_range(half_range, south=south)
    return Climate(sum(means) / 12.0, half_range, needed(row, "map_mm") / 365.0, latitude, means)
