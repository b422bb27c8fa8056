"""A bed for tests: the standard set-up of the column checks ([@mullbed_model] section 8), in our own words."""

from __future__ import annotations

from datetime import date

import numpy as np

from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.residue import Group, Residue, Texture
from mullbed.domain.spread import Evidence, Spread
from mullbed.simulate import layout as at
from mullbed.simulate.case import BedCase, LaidLift, Lay, SoilColumn
from mullbed.simulate.ensemble import NOTHING, draw_members
from mullbed.simulate.run import Outcome, pack, run_packed, simulate

SEEDS = range(1, 9)


def exact(value: float) -> Spread:
    return Spread(value, value, value, "", Evidence.GUESS)


def residue(
    key: str,
    nitrogen: float,
    lignin: float,
    carbon: float,
    *,
    covers: float = 3.7,
    size: float = 1.0,
    palatability: float = 0.6,
    density: float = 45.0,
    holds: float = 2.6,
) -> Residue:
    """Return a residue with exact chemistry in % of dry matter."""
    return Residue(
        key,
        key,
        (),
        Group.DRY,
        exact(0.1),
        exact(carbon / 100),
        exact(nitrogen / 100),
        exact(0.002),
        None,
        exact(lignin / 100),
        exact(100.0),
        None,
        holds,
        covers,
        size,
        density,
        palatability,
        False,
        None,
        Texture.LEAVES,
    )


LEAVES = residue("leaves", 0.6, 15.0, 46.0)
STRAW = residue("straw", 0.6, 9.0, 45.0, size=0.8, palatability=0.4)


def greens(nitrogen: float = 4.0, *, covers: float = 7.0) -> Residue:
    return residue(f"greens {nitrogen}", nitrogen, 4.0, 44.0, covers=covers, palatability=1.0, density=40.0)


def lift(what: Residue, kilograms: float, *, tissue: float = 0.0, free: float = 0.0) -> LaidLift:
    """Return a lift of so many kg of dry matter; water in mm for the whole lift."""
    return LaidLift(what, 1000.0 * kilograms, 0.0, free, tissue, tissue > 0.0, f"{what.key} {kilograms}")


def fresh(kilograms: float, nitrogen: float = 4.0, *, covers: float = 7.0, per_kg: float = 4.0) -> LaidLift:
    return lift(greens(nitrogen, covers=covers), kilograms, tissue=per_kg * kilograms)


def showers(days: int, share: float, mean: float, seed: int) -> np.ndarray:
    """Return rain: exponential amounts of this mean on a share of the days. [mm]"""
    chance = np.random.default_rng(seed)
    wet = chance.random(days) < share
    return np.where(wet, chance.exponential(mean, days), 0.0)


def weather(days: int, low: float, high: float, demand: float, rain, radiation: float = 16.0) -> WeatherYears:
    """Return constant weather with this rain; several rains make several years."""
    rains = np.atleast_2d(np.asarray(rain, dtype=float) * np.ones(days))
    shape = rains.shape
    return WeatherYears(
        date(2021, 5, 1),
        np.full(shape, float(low)),
        np.full(shape, float(high)),
        rains,
        np.full(shape, float(demand)),
        np.full(shape, float(radiation)),
        tuple(str(year) for year in range(shape[0])),
        "check",
        Evidence.GUESS,
    )


def rainy(days: int, low: float, high: float, demand: float, share: float, mean: float, radiation: float = 16.0):
    return weather(days, low, high, demand, [showers(days, share, mean, seed) for seed in SEEDS], radiation)


def column(start: float = 15.0, mineral: float = 4.0) -> SoilColumn:
    """Return the standard soil; per horizon ammonium 0.2 g and nitrate a third of ``mineral``."""
    return SoilColumn(
        0.20, 0.28, 0.137, (15.0, 450.0, 75.0, 2800.0, 300.0), (15.0 / 40.0, 15.0), 0.9, 0.6, mineral, start
    )


def run(
    sky: WeatherYears,
    *lifts: LaidLift,
    soil: SoilColumn | None = None,
    cut: int = 1,
    per_lift: bool = False,
    override: dict[str, float] | None = None,
    twin: bool = False,
) -> Outcome:
    """Run middle values, one member for each rain."""
    events = (Lay(0, lifts),) if lifts else ()
    case = BedCase("check", sky, soil or column(), events)
    years = sky.years
    members = draw_members(case, years, 1, vary=NOTHING, override=override)
    members = type(members)(members.records, members.draws, np.arange(years, dtype=np.int64))
    if twin:
        return simulate(case, members, per_lift=per_lift)
    return run_packed(pack(case, cut=cut), members, per_lift=per_lift, tolerance=1e-12)


def ammonia_percent(outcome: Outcome, day: int = -1) -> float:
    """Return the mean loss as ammonia per nitrogen laid. [%]"""
    return float(np.mean(100.0 * outcome.daily["ammonia_lost"][:, day] / outcome.final(at.LAID_N)))


def carbon_left(outcome: Outcome) -> float:
    """Return the mean share of the laid carbon that is left in the layer. [1]"""
    return float(np.mean(outcome.daily["carbon_left"][:, -1] / outcome.final(at.LAID_C)))
