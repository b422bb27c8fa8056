"""The course of one thin litter under a given drive: mass and nitrogen left by day, nitrogen in plenty.

Runs steps 5-7 of the daily model for one cohort, with the engine's own functions, so that what is validated is
what the grower is told.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mullbed.compiled import loop
from mullbed.processes.leaching import washed_out_share
from mullbed.processes.residue_quality import (
    biomass_carbon_to_nitrogen,
    carbon_density,
    laid_ash,
    pools_from_soluble,
    product_carbon_to_nitrogen,
    quality_factor,
    residue_pools,
    soluble_nitrogen_share,
)
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par
from mullbed.simulate.steps_layer import apply_flows, organic_carbon, potential_flows

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Chemistry:
    """What a litter is made of, in % of dry matter."""

    nitrogen: float
    lignin: float
    carbon: float
    water_soluble: float | None = None
    """[fraction]; None where unknown."""
    ethanol_soluble: float = 0.0
    """[fraction]"""
    openness: float = 1.0
    """1 for tissue that was ever dry, 0.5 for tissue laid fresh. [1]"""
    size: float = 1.0
    """Factor of coarse pieces. [1]"""


@dataclass(frozen=True, slots=True)
class Course:
    """What is left by day; arrays of shape (days,), fractions of what was laid."""

    mass: Array
    """Dry matter, its ash kept."""
    carbon: Array
    """Carbon, which is what ash-free mass follows."""
    nitrogen: Array


@loop
def _course(pools, flows, rates, ratios, density, surface, openness, modifier, passing, record, mass, carbon, nitrogen):
    for day in range(modifier.shape[0]):
        if surface and passing[day] > 0.0:
            share = washed_out_share(passing[day], openness, record[par.WASH_OUT])
            pools[0, at.SOLUBLE] -= share * pools[0, at.SOLUBLE]
            pools[0, at.SOLUBLE_N] -= share * pools[0, at.SOLUBLE_N]
        release = 1.0 - np.exp(-record[par.SOLUBLE_RELEASE] * max(0.03, modifier[day]))
        pools[0, at.FREE_N] -= release * pools[0, at.FREE_N]
        potential_flows(
            pools, flows, 0, rates[0], rates[1], rates[2], rates[3], rates[4], ratios[0], ratios[1], modifier[day], record
        )
        apply_flows(pools, flows, 0, 1.0, ratios[1], record)
        carbon[day] = organic_carbon(pools, 0)
        mass[day] = organic_carbon(pools, 0) / density + pools[0, at.ASH]
        nitrogen[day] = (
            pools[0, at.SOLUBLE_N] + pools[0, at.MAIN_N] + pools[0, at.RESISTANT_N] + pools[0, at.BIOMASS_N]
            + pools[0, at.PRODUCT_N] + pools[0, at.FREE_N]
        )


def course(
    chemistry: Chemistry, modifier: Array, passing: Array, *, surface: bool = True, rate: float = 1.0,
    record: Array | None = None,
) -> Course:
    """Return the course of a litter.

    Parameters
    ----------
    chemistry : Chemistry
    modifier : array
        Warmth times wetness by day. [1]
    passing : array
        Water passing by day. [mm d-1]
    surface : bool
        False for dug in.
    rate : float
        Factor of the place on all rates. [1]
    record : array, optional
        Parameters; middle values where not given.
    """
    numbers = par.middle_record() if record is None else record
    if chemistry.water_soluble is None:
        shares = residue_pools(
            chemistry.nitrogen, chemistry.lignin, numbers[par.SOLUBLE_BASE], numbers[par.SOLUBLE_SLOPE],
            numbers[par.RESISTANT_BASE], numbers[par.RESISTANT_SLOPE],
        )
    else:
        shares = pools_from_soluble(
            chemistry.water_soluble, chemistry.lignin, chemistry.ethanol_soluble, 0.20, numbers[par.RESISTANT_BASE],
            numbers[par.RESISTANT_SLOPE],
        )
    free = soluble_nitrogen_share(chemistry.nitrogen)
    fraction = chemistry.carbon / 100.0
    density = carbon_density(fraction)
    pools, flows = np.zeros((1, at.COHORT_POOLS)), np.zeros((1, at.COHORT_FLOWS))
    for pool, own, share in zip(
        (at.SOLUBLE, at.MAIN, at.RESISTANT), (at.SOLUBLE_N, at.MAIN_N, at.RESISTANT_N), shares, strict=True
    ):
        pools[0, pool] = fraction * share
        pools[0, own] = chemistry.nitrogen / 100.0 * (1.0 - free) * share
    pools[0, at.FREE_N] = chemistry.nitrogen / 100.0 * free
    pools[0, at.ASH] = laid_ash(1.0, fraction)
    quality = quality_factor(chemistry.nitrogen, numbers[par.HALF_EFFECT])
    on_top = 1.0 if surface else 0.0
    rates = rate * np.array([
        numbers[par.SOLUBLE_RATE] * (numbers[par.SOLUBLE_SURFACE] if surface else 1.0),
        numbers[par.MAIN_RATE] * quality * chemistry.size * (numbers[par.MAIN_SURFACE] if surface else 1.0),
        numbers[par.RESISTANT_RATE] * quality**0.5, numbers[par.BIOMASS_TURNOVER], numbers[par.PRODUCT_RATE],
    ])
    ratios = np.array([
        biomass_carbon_to_nitrogen(chemistry.nitrogen, on_top) + numbers[par.BIOMASS_RATIO_SHIFT],
        product_carbon_to_nitrogen(chemistry.nitrogen, on_top) + numbers[par.PRODUCT_RATIO_SHIFT],
    ])
    days = modifier.shape[0]
    mass, left, nitrogen = np.empty(days), np.empty(days), np.empty(days)
    _course(
        pools, flows, rates, ratios, density, surface, chemistry.openness, np.ascontiguousarray(modifier, dtype=np.float64),
        np.ascontiguousarray(passing, dtype=np.float64), numbers, mass, left, nitrogen,
    )
    return Course(mass, left / fraction, nitrogen / (chemistry.nitrogen / 100.0))
