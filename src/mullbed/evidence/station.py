"""Warmth and water of soil under grass at a weather station, day by day, by the column's own equations.

Station of the US Climate Reference Network (Diamond and others 2013; Bell and others 2013). Texture and grass are not
in the file: silty clay loam with 4 % organic matter and a prairie's season are taken from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from mullbed.compiled import loop
from mullbed.domain.validation import Comparison
from mullbed.evidence.doubt import Ensemble
from mullbed.evidence.open_tables import Row, read_rows, value
from mullbed.processes.canopy_and_snow import canopy_interception, runoff, snow_fall, snow_melt
from mullbed.processes.crop_cover import crop_ground_cover, evaporation_demand
from mullbed.processes.evapotranspiration import extraterrestrial_radiation, reference_evaporation_hargreaves
from mullbed.processes.soil_temperature import damping, soil_temperature_step, surface_temperature
from mullbed.processes.soil_texture import field_capacity, wilting_point
from mullbed.processes.soil_water import drained_water, soil_evaporation
from mullbed.processes.transpiration import transpiration
from mullbed.simulate.layout import HORIZON_CM, HORIZON_MM

Array = NDArray[np.float64]

FILES = "soil_uscrn_*.csv"
#: Days at the start that are left out while the column settles.
SETTLING = 60
#: Warming of grass by the sun, check P41. [°C m2 d MJ-1]
GRASS_GAIN = 0.02
#: From memory. [fraction], [%]
SAND, CLAY, ORGANIC_MATTER = 0.10, 0.35, 4.0
#: Prairie grass: least and highest basal coefficient, and the days it rises, stands and dies on. Judgement.
DORMANT, GROWING, SEASON = 0.15, 0.95, (105, 150, 245, 300)
#: Noise of a daily value at one depth: [°C], [m3 m-3]. Judgement.
WARMTH_NOISE, WATER_NOISE = 1.3, 0.09
TEMPERATURE_COLUMNS = {"5 cm": "soil_temp_5cm_c", "10 cm": "soil_temp_10cm_c", "20 cm": "soil_temp_20cm_c"}
WATER_COLUMNS = {"5 cm": "vwc_5cm", "10 cm": "vwc_10cm", "20 cm": "vwc_20cm"}


@dataclass(frozen=True, slots=True)
class _Record:
    """Days of a station; arrays of shape (days,)."""

    rows: list[Row]
    air: Array
    rain: Array
    reference: Array
    radiation: Array
    coefficient: Array


def compare_station(folder: Path, ensemble: Ensemble) -> list[Comparison]:
    """Return soil warmth and soil water by depth."""
    warmth: list[tuple[str, Array, Array]] = []
    water: list[tuple[str, Array, Array]] = []
    for path in sorted(folder.glob(FILES)):
        record = _record(path)
        found = _warmth(record, ensemble)
        warmth += [
            (depth, _seen(record, column), found[:, :, place])
            for place, (depth, column) in enumerate(TEMPERATURE_COLUMNS.items())
        ]
        held = _water(record, ensemble)
        water += [
            (depth, _seen(record, column), held[:, :, 0 if depth == "5 cm" else 1])
            for depth, column in WATER_COLUMNS.items()
        ]
    return [
        _joined("soil_temperature", "Warmth of soil under grass, daily", "°C", warmth, ensemble, WARMTH_NOISE, -30.0),
        _joined("soil_water", "Water of soil under grass, daily", "m3 m-3", water, ensemble, WATER_NOISE, 0.0),
    ]


def _joined(
    key: str,
    title: str,
    unit: str,
    parts: list[tuple[str, Array, Array]],
    ensemble: Ensemble,
    noise: float,
    lowest: float,
) -> Comparison:
    groups: list[str] = []
    seen, days, found = [], [], []
    for depth, values, members in parts:
        told = np.flatnonzero(np.isfinite(values) & (np.arange(values.size) >= SETTLING))
        groups += [depth] * told.size
        seen.append(values[told])
        days.append(told.astype(float))
        found.append(members[:, told])
    whole = np.concatenate(found, axis=1)
    compared = Comparison(
        key,
        title,
        unit,
        "depth",
        tuple(groups),
        np.concatenate(days),
        np.concatenate(seen),
        whole[0],
        ensemble.noisy_by(np.ascontiguousarray(whole[1:].T), noise, key, lowest=lowest),
    )
    for depth in dict.fromkeys(groups):
        error = compared.error[np.array(groups) == depth]
        name = depth.replace(" ", "")
        compared.further[f"rmse_{name}"] = float(np.sqrt(np.mean(error**2)))
        compared.further[f"bias_{name}"] = float(np.mean(error))
    return compared


def _record(path: Path) -> _Record:
    head = " ".join(line for line in path.read_text(encoding="utf-8").splitlines() if line.startswith("#"))
    where = re.search(r"([0-9.]+)\s*([NS])\b", head)
    latitude = 40.0 if where is None else float(where[1]) * (1.0 if where[2] == "N" else -1.0)
    rows = [row for row in read_rows(path) or [] if row["tmin_c"] and row["tmax_c"]]
    low, high = (np.array([float(row[name]) for row in rows]) for name in ("tmin_c", "tmax_c"))
    day = np.array([date.fromisoformat(row["date"]).timetuple().tm_yday for row in rows])
    above = np.array([float(extraterrestrial_radiation(latitude, float(one))) for one in range(367)])[day]
    pairs = zip(high, low, above, strict=True)
    reference = np.array([float(reference_evaporation_hargreaves(*one)) for one in pairs])
    radiation, last = [], 15.0
    for row in rows:
        last = value(row, "srad_mj_m2") or last
        radiation.append(last)
    rain = np.array([value(row, "precip_mm") or 0.0 for row in rows])
    shift = 0 if latitude >= 0 else 182
    coefficient = np.interp((day + shift) % 366, SEASON, (DORMANT, GROWING, GROWING, DORMANT))
    return _Record(rows, 0.5 * (low + high), rain, reference, np.array(radiation), coefficient)


def _seen(record: _Record, column: str) -> Array:
    found = [value(row, column) for row in record.rows]
    return np.array([np.nan if one is None else one for one in found])


@loop
def _warm(air: Array, radiation: Array, gain: float, out: Array) -> None:
    """Fill warmth at 5, 10 and 20 cm; grass counts as bare with a small gain, frost is not damped (check P41)."""
    warmth = np.full(3, 20.0)
    for day in range(air.shape[0]):
        surface = surface_temperature(air[day], radiation[day], 0.0, 0.0, gain, 0.0)
        for k in range(3):
            warmth[k] += soil_temperature_step(warmth[k], surface, HORIZON_CM[k], damping(0.0, 0.0))
        out[day, 0] = warmth[0] + (warmth[1] - warmth[0]) / 3.0
        out[day, 1] = warmth[1]
        out[day, 2] = 0.5 * (warmth[1] + warmth[2])


@loop
def _wet(air: Array, rain: Array, reference: Array, coefficient: Array, full: float, dry: float, out: Array) -> None:
    """Fill water of 0-5 and 5-25 cm as shares of volume."""
    water = np.empty(3)
    for k in range(3):
        water[k] = full * HORIZON_MM[k]
    snow = 0.0
    for day in range(air.shape[0]):
        kcb = coefficient[day]
        falls = snow_fall(rain[day], air[day])
        snow += falls
        melt = snow_melt(snow, air[day])
        snow -= melt
        held = canopy_interception(rain[day] - falls, crop_ground_cover(kcb))
        left = max(0.0, reference[day] - held) if snow <= 5.0 else 0.0
        inflow = rain[day] - falls - held + melt
        water[0] += inflow - runoff(inflow, 1.0)
        demand = evaporation_demand(kcb, left)
        least = 0.5 * dry * HORIZON_MM[0]
        water[0] -= soil_evaporation(water[0] - least, demand, HORIZON_MM[0] * (full - 0.5 * dry))
        available = 0.0
        for k in range(3):
            available += max(0.0, water[k] - dry * HORIZON_MM[k])
        drunk = transpiration(kcb, left, available, 600.0 * (full - dry))
        if available > 0.0:
            for k in range(3):
                water[k] -= drunk * max(0.0, water[k] - dry * HORIZON_MM[k]) / available
        for k in range(3):
            out_flow = drained_water(water[k], full * HORIZON_MM[k])
            water[k] -= out_flow
            if k < 2:
                water[k + 1] += out_flow
        out[day, 0] = water[0] / HORIZON_MM[0]
        out[day, 1] = water[1] / HORIZON_MM[1]


def _warmth(record: _Record, ensemble: Ensemble) -> Array:
    """Return warmth, shape (members + 1, days, 3)."""
    gains = GRASS_GAIN * ensemble.factors(0.5, "grass gain")
    found = np.empty((gains.size, record.air.size, 3))
    for member, gain in enumerate(gains):
        _warm(record.air, record.radiation, gain, found[member])
    return found


def _water(record: _Record, ensemble: Ensemble) -> Array:
    """Return water, shape (members + 1, days, 2)."""
    full = float(field_capacity(SAND, CLAY, ORGANIC_MATTER)) * ensemble.factors(0.10, "field capacity")
    dry = float(wilting_point(SAND, CLAY, ORGANIC_MATTER)) * ensemble.factors(0.15, "wilting point")
    grass = ensemble.factors(0.2, "grass coefficient")
    found = np.empty((full.size, record.air.size, 2))
    for member in range(full.size):
        _wet(
            record.air,
            record.rain,
            record.reference,
            np.minimum(1.15, record.coefficient * grass[member]),
            full[member],
            min(dry[member], full[member] - 0.05),
            found[member],
        )
    return found
