"""The course of one thin litter under a given drive: mass and nitrogen left by day, nitrogen in plenty.

Runs steps 5-7 of the daily model for one cohort, with the engine's own functions, so that what is validated is
what the grower is told. One row of numbers a member: one member of middle values, or an ensemble.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mullbed.compiled import loop
from mullbed.processes.ammonia import richness
from mullbed.processes.leaching import washed_out_share
from mullbed.processes.mineralisation import soluble_release_share
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
from mullbed.simulate.steps_cohort import apply_flows, organic_carbon, potential_flows

Array = NDArray[np.float64]

#: Columns of the numbers of a litter, one row a member.
NITROGEN, LIGNIN, CARBON, WATER_SOLUBLE, ETHANOL_SOLUBLE, OPENNESS, SIZE = range(7)
#: Columns of what drives a litter, one row a day: warmth times wetness [1], water passing [mm d-1], loss of
#: decomposers by rain on moist litter at strength 1 [d-1], how open tissue stands for soluble nitrogen to leave [1].
MODIFIER, PASSING, REWETTING, OPENING = range(4)
#: Longest time a litter is followed to a given mass. [d]
LONGEST = 365 * 40


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

    def row(self) -> list[float]:
        """Return the numbers in the order of the columns; unknown is NaN."""
        soluble = np.nan if self.water_soluble is None else self.water_soluble
        return [self.nitrogen, self.lignin, self.carbon, soluble, self.ethanol_soluble, self.openness, self.size]


@dataclass(frozen=True, slots=True)
class Course:
    """What is left by day; arrays of shape (days,), fractions of what was laid."""

    mass: Array
    """Dry matter, its ash kept."""
    carbon: Array
    """Carbon, which is what ash-free mass follows."""
    nitrogen: Array


@loop
def _lay(pools, rates, ratios, litter, surface, rate, record):
    """Fill pools [g per g dry matter], daily rates and C:N ratios of a litter."""
    nitrogen, lignin, carbon = litter[NITROGEN], litter[LIGNIN], litter[CARBON] / 100.0
    if np.isnan(litter[WATER_SOLUBLE]):
        soluble, main, resistant = residue_pools(
            nitrogen,
            lignin,
            record[par.SOLUBLE_BASE],
            record[par.SOLUBLE_SLOPE],
            record[par.RESISTANT_BASE],
            record[par.RESISTANT_SLOPE],
        )
    else:
        soluble, main, resistant = pools_from_soluble(
            litter[WATER_SOLUBLE],
            lignin,
            litter[ETHANOL_SOLUBLE],
            0.20,
            record[par.RESISTANT_BASE],
            record[par.RESISTANT_SLOPE],
            0.90,
        )
    free = soluble_nitrogen_share(nitrogen)
    if free > 0.02:
        free = min(0.5, max(0.0, free + record[par.SOLUBLE_NITROGEN_SHIFT]))
    organic = nitrogen / 100.0 * (1.0 - free)
    pools[0, :] = 0.0
    pools[0, at.SOLUBLE], pools[0, at.SOLUBLE_N] = carbon * soluble, organic * soluble
    pools[0, at.MAIN], pools[0, at.MAIN_N] = carbon * main, organic * main
    pools[0, at.RESISTANT], pools[0, at.RESISTANT_N] = carbon * resistant, organic * resistant
    pools[0, at.FREE_N] = nitrogen / 100.0 * free
    pools[0, at.ASH] = laid_ash(1.0, carbon)
    quality = quality_factor(nitrogen, record[par.HALF_EFFECT])
    on_top = 1.0 if surface else 0.0
    rates[0] = rate * record[par.SOLUBLE_RATE] * (record[par.SOLUBLE_SURFACE] if surface else 1.0)
    rates[1] = rate * record[par.MAIN_RATE] * quality * litter[SIZE] * (record[par.MAIN_SURFACE] if surface else 1.0)
    rates[2] = rate * record[par.RESISTANT_RATE] * quality**0.5
    rates[3] = rate * record[par.BIOMASS_TURNOVER]
    rates[4] = rate * record[par.PRODUCT_RATE]
    rates[5] = record[par.REWETTING_STRENGTH] * richness(nitrogen) * on_top
    ratios[0] = max(3.0, biomass_carbon_to_nitrogen(nitrogen, on_top) + record[par.BIOMASS_RATIO_SHIFT])
    ratios[1] = max(3.0, product_carbon_to_nitrogen(nitrogen, on_top) + record[par.PRODUCT_RATIO_SHIFT])


@loop
def _step(pools, flows, rates, ratios, surface, openness, now, record):
    """Run one day of a litter under the drive of now; nitrogen is in plenty."""
    modifier, passing = now[MODIFIER], now[PASSING]
    if surface and passing > 0.0:
        share = washed_out_share(passing, openness, record[par.WASH_OUT])
        pools[0, at.SOLUBLE] -= share * pools[0, at.SOLUBLE]
        pools[0, at.SOLUBLE_N] -= share * pools[0, at.SOLUBLE_N]
    release = soluble_release_share(now[OPENING], record[par.SOLUBLE_RELEASE])
    pools[0, at.FREE_N] -= release * pools[0, at.FREE_N]
    potential_flows(
        pools,
        flows,
        0,
        rates[0],
        rates[1],
        rates[2],
        rates[3],
        rates[4],
        ratios[0],
        ratios[1],
        modifier,
        rates[5] * now[REWETTING],
        record,
    )
    apply_flows(pools, flows, 0, 1.0, ratios[1], record)


@loop
def _organic_nitrogen(pools):
    return (
        pools[0, at.SOLUBLE_N]
        + pools[0, at.MAIN_N]
        + pools[0, at.RESISTANT_N]
        + pools[0, at.BIOMASS_N]
        + pools[0, at.PRODUCT_N]
        + pools[0, at.FREE_N]
    )


@loop
def _courses(litters, records, rates, surface, drive, start, days, mass, carbon, nitrogen):
    """Fill what is left on the given days, first axis members; the drive repeats from ``start``."""
    pools, flows = np.zeros((1, at.COHORT_POOLS)), np.zeros((1, at.COHORT_FLOWS))
    own, ratios = np.zeros(6), np.zeros(2)
    for member in range(records.shape[0]):
        record, litter = records[member], litters[member]
        _lay(pools, own, ratios, litter, surface, rates[member], record)
        density = carbon_density(litter[CARBON] / 100.0)
        day = 0
        for place in range(days.shape[0]):
            while day < days[place]:
                now = drive[(start + day) % drive.shape[0]]
                _step(pools, flows, own, ratios, surface, litter[OPENNESS], now, record)
                day += 1
            left = organic_carbon(pools, 0)
            mass[member, place] = left / density + pools[0, at.ASH]
            carbon[member, place] = left / (litter[CARBON] / 100.0)
            nitrogen[member, place] = _organic_nitrogen(pools) / (litter[NITROGEN] / 100.0)


@loop
def _nitrogen_at(litters, records, rates, surface, drive, start, wanted, longest, nitrogen):
    """Fill nitrogen left when carbon left falls to the wanted shares, which fall themselves."""
    pools, flows = np.zeros((1, at.COHORT_POOLS)), np.zeros((1, at.COHORT_FLOWS))
    own, ratios = np.zeros(6), np.zeros(2)
    for member in range(records.shape[0]):
        record, litter = records[member], litters[member]
        _lay(pools, own, ratios, litter, surface, rates[member], record)
        carbon = left_before = 1.0
        own_nitrogen = before = 1.0
        day = place = 0
        while place < wanted.shape[0]:
            while carbon > wanted[place] and day < longest:
                left_before, before = carbon, own_nitrogen
                now = drive[(start + day) % drive.shape[0]]
                _step(pools, flows, own, ratios, surface, litter[OPENNESS], now, record)
                carbon = organic_carbon(pools, 0) / (litter[CARBON] / 100.0)
                own_nitrogen = _organic_nitrogen(pools) / (litter[NITROGEN] / 100.0)
                day += 1
            share = 1.0
            if left_before > carbon and wanted[place] > carbon:
                share = (left_before - wanted[place]) / (left_before - carbon)
            nitrogen[member, place] = before + min(1.0, max(0.0, share)) * (own_nitrogen - before)
            place += 1


def driving(modifier: Array, passing: Array, rewetting: Array, opening: Array) -> Array:
    """Return what drives a litter by day as one array, shape (days, 4); columns as named in this module."""
    return np.ascontiguousarray(np.stack([modifier, passing, rewetting, opening], axis=1))


def steady(modifier: Array, passing: Array | None = None) -> Array:
    """Return the drive of a moist litter without cycles of drying, shape (days, 4); the modifier is its warmth."""
    opening = np.maximum(0.3, modifier)
    return driving(modifier, np.zeros_like(modifier) if passing is None else passing, np.zeros_like(modifier), opening)


def course(
    chemistry: Chemistry, drive: Array, *, surface: bool = True, rate: float = 1.0, record: Array | None = None
) -> Course:
    """Return the course of a litter by day.

    Parameters
    ----------
    chemistry : Chemistry
    drive : array, shape (days, 4)
        What drives it by day, from :func:`driving`.
    surface : bool
        False for dug in.
    rate : float
        Factor of the place on all rates. [1]
    record : array, optional
        Parameters; middle values where not given.
    """
    records = (par.middle_record() if record is None else record)[None, :]
    days = np.arange(1, drive.shape[0] + 1)
    found = courses(np.array([chemistry.row()]), records, np.array([rate]), drive, 0, days, surface=surface)
    return Course(found.mass[0], found.carbon[0], found.nitrogen[0])


def courses(
    litters: Array,
    records: Array,
    rates: Array,
    drive: Array,
    start: int,
    days: NDArray[np.int64],
    *,
    surface: bool = True,
) -> Course:
    """Return what members of a litter leave on the given days; arrays of shape (members, days).

    Parameters
    ----------
    litters : array, shape (members, 7)
        Rows of :meth:`Chemistry.row`.
    records : array, shape (members, parameters)
    rates : array, shape (members,)
        Factor of place and material on all rates. [1]
    drive : array, shape (days, 4)
        What drives it by day, from :func:`driving`, repeated without end.
    start : int
        Day of the drive on which the litter is laid.
    days : array of int
        Days after laying, rising.
    surface : bool
        False for dug in.
    """
    shape = (records.shape[0], days.shape[0])
    out = Course(np.empty(shape), np.empty(shape), np.empty(shape))
    _courses(
        _plain(litters),
        _plain(records),
        _plain(rates),
        surface,
        _plain(drive),
        start,
        np.ascontiguousarray(days, dtype=np.int64),
        out.mass,
        out.carbon,
        out.nitrogen,
    )
    return out


def nitrogen_at_mass(
    litters: Array, records: Array, rates: Array, drive: Array, start: int, mass: Array, *, surface: bool = True
) -> Array:
    """Return nitrogen left when the carbon left has fallen to given shares, shape (members, shares)."""
    order = np.argsort(-mass, kind="stable")
    found = np.empty((records.shape[0], mass.shape[0]))
    _nitrogen_at(
        _plain(litters),
        _plain(records),
        _plain(rates),
        surface,
        _plain(drive),
        start,
        _plain(mass[order]),
        LONGEST,
        found,
    )
    out = np.empty_like(found)
    out[:, order] = found
    return out


def _plain(values: Array) -> Array:
    return np.ascontiguousarray(values, dtype=np.float64)
