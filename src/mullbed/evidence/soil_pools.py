"""The soil-carbon pools against a published reference run, month by month, with the run's own moisture deficit.

Coleman, Prout and Milne 2024 (the bare-soil deficit of the reference code is 0.556 of the full one). The run's clay,
depth and inert carbon stand in the remarks at the head of its file.
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np

from mullbed.domain.validation import Comparison
from mullbed.errors import Fault, InputFault
from mullbed.evidence.open_tables import Row, needed, read_rows, value
from mullbed.processes.soil_carbon import (
    pool_decay,
    respired_to_retained,
    soil_carbon_deficit_moisture,
    soil_carbon_warmth,
)

INPUTS, MONTHLY = "rothc_*_input.csv", "rothc_*_monthly.csv"
POOLS = ("dpm_t_c_ha", "rpm_t_c_ha", "bio_t_c_ha", "hum_t_c_ha")
RATES = (10.0, 0.3, 0.66, 0.02)
#: Shares of farmyard manure in DPM, RPM and HUM (Coleman and Jenkinson 1996).
MANURE = (0.49, 0.49, 0.0, 0.02)
#: The first year is cycled until its total changes by less than this. [t C ha-1 a-1]
SETTLED = 1e-6
BARE = 0.556


def compare_soil_pools(folder: Path) -> list[Comparison]:
    """Return every monthly pool of every run in the folder; ``max_abs_difference`` is the largest of any pool."""
    seen: list[float] = []
    found: list[float] = []
    groups: list[str] = []
    months: list[float] = []
    for path in sorted(folder.glob(INPUTS)):
        wanted = read_rows(path.with_name(path.name.replace("_input", "_monthly")))
        forcing = read_rows(path)
        if wanted is None or forcing is None:
            continue
        clay, depth, inert = _soil_of(path)
        for number, (row, pools) in enumerate(zip(wanted, _run(forcing, clay, depth), strict=False)):
            for name, pool in (*zip(POOLS, pools, strict=True), ("soc_t_c_ha", sum(pools) + inert)):
                seen.append(needed(row, name))
                found.append(pool)
                groups.append(name.split("_")[0])
                months.append(number * 365.25 / 12.0)
    compared = Comparison(
        "rothc",
        "Soil-carbon pools of a reference run, monthly",
        "t C/ha",
        "pool",
        tuple(groups),
        np.array(months),
        np.array(seen),
        np.array(found),
    )
    compared.further["max_abs_difference"] = float(np.max(np.abs(compared.error))) if seen else float("nan")
    return [compared]


def _soil_of(path: Path) -> tuple[float, float, float]:
    """Return clay [%], depth [cm] and inert carbon [t C ha-1] told at the head of a run's file."""
    head = " ".join(line for line in path.read_text(encoding="utf-8").splitlines() if line.startswith("#"))
    number = r"\s*[=:]?\s*([0-9.]*[0-9])"
    found = [re.search(word + number, head, re.IGNORECASE) for word in ("clay", "depth", "IOM")]
    if not all(found):
        raise InputFault(
            [
                Fault(
                    path.name,
                    "clay, depth or IOM is not told at its head",
                    "clay %, depth cm, IOM t C/ha",
                    "Write them on a line that begins with #.",
                )
            ]
        )
    clay, depth, inert = (float(one[1]) for one in found if one)
    return clay, depth, inert


def _run(forcing: list[Row], clay: float, depth: float) -> list[list[float]]:
    """Return the pools at the end of every month after the first year was cycled to rest."""
    first = forcing[0]["year"]
    spin = [row for row in forcing if row["year"] == first]
    pools, deficit, before = [0.0, 0.0, 0.0, 0.0], 0.0, -1.0
    while abs(sum(pools) - before) > SETTLED:
        before = sum(pools)
        for month in spin:
            pools, deficit = _month(pools, deficit, month, clay, depth)
    found = []
    for month in forcing[len(spin) :]:
        pools, deficit = _month(pools, deficit, month, clay, depth)
        found.append(pools)
    return found


def _month(pools: list[float], deficit: float, month: Row, clay: float, depth: float) -> tuple[list[float], float]:
    """Return pools and deficit after one month."""
    full = -(20.0 + 1.3 * clay - 0.01 * clay**2) * depth / 23.0
    covered = needed(month, "plant_cover") > 0.5
    lowest = full if covered else min(BARE * full, deficit)
    change = needed(month, "rain_mm") - 0.75 * needed(month, "pan_evap_mm")
    deficit = min(0.0, max(lowest, deficit + change))
    modifier = soil_carbon_warmth(needed(month, "temp_c")) * soil_carbon_deficit_moisture(deficit, full)
    modifier *= 0.6 if covered else 1.0
    lost = [pool_decay(pool, rate, modifier, 1.0 / 12.0) for pool, rate in zip(pools, RATES, strict=True)]
    retained = sum(lost) / (1.0 + respired_to_retained(clay))
    ratio, plant, manure = needed(month, "dpm_rpm"), needed(month, "c_input_t_ha"), value(month, "fym_t_ha") or 0.0
    gained = (plant * ratio / (1.0 + ratio), plant / (1.0 + ratio), 0.46 * retained, 0.54 * retained)
    after = [
        pool - gone + got + manure * share for pool, gone, got, share in zip(pools, lost, gained, MANURE, strict=True)
    ]
    return after, deficit
