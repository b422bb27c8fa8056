"""Run what is expected of a bed against the model: cases as data, the middle of many members judged.

Every expectation is written in ``behaviour_cases.toml`` with its direction and source before it is run. All runs of
a case share their members' draws, so differences are differences of treatment. Weather, beds and places are made up.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from importlib.resources import files
from typing import Any

import numpy as np

from mullbed.domain.behaviour import Behaviour, Course, Expectation, Judged, Standing
from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.forecast import Band
from mullbed.domain.spread import Evidence
from mullbed.evidence.behaviour_measures import DRAWN, MEASURES, Array, Ran, drawn_series
from mullbed.evidence.forcing import Climate, daily_weather
from mullbed.reference.residues import all_residues
from mullbed.reference.tables import sources
from mullbed.simulate import layout as at
from mullbed.simulate.case import BedCase, DigIn, Event, LaidLift, Lay, SoilColumn
from mullbed.simulate.ensemble import draw_members
from mullbed.simulate.run import simulate
from mullbed.simulate.soil_start import resting_pools

#: Members and rains of a case that names none.
MEMBERS, RAINS = 64, 8
#: Doubt of the dry matter laid, as the standard deviation of its logarithm. Judgement.
MASS_DOUBT = 0.25
#: A loam: clay, field capacity, wilting point; carbon of 0-25 cm where a case names none. [g m-2]
CLAY, FULL, WILTING, SOIL_CARBON = 0.20, 0.28, 0.137, 3640.0
#: Longest case whose outputs are kept day by day; longer ones keep one a week. [d]
DAILY = 400

Row = Mapping[str, Any]


@lru_cache(maxsize=1)
def behaviour_table() -> dict[str, Any]:
    """Return the cases and their weather as written."""
    return tomllib.loads(files(__package__).joinpath("behaviour_cases.toml").read_text(encoding="utf-8"))


def case_keys() -> tuple[str, ...]:
    """Return the keys of all cases in the order they are written."""
    return tuple(row["key"] for row in behaviour_table()["case"])


def expectations(key: str) -> tuple[Expectation, ...]:
    """Return what is expected of a case; nothing is run."""
    return tuple(_expectation(row) for row in _case_row(key)["expect"])


def run_behaviour(key: str, seed: int = 1, members: int | None = None) -> Behaviour:
    """Run one case and judge what was expected of it.

    Parameters
    ----------
    key : str
        One of ``case_keys()``.
    seed : int
        Equal seeds, equal answers.
    members : int, optional
        Members in place of what the case names.
    """
    row = _case_row(key)
    count = members or int(row.get("members", MEMBERS))
    ran = {name: _ran(row, name, count, seed) for name in row["runs"]}
    _, _, unit, words = DRAWN[row["draws"]]
    weather = behaviour_table()["weather"]
    return Behaviour(
        key=key,
        title=row["title"],
        setting=weather[row["weather"]]["words"],
        drawn=words,
        drawn_unit=unit,
        members=count,
        judged=tuple(_judged(one, ran) for one in expectations(key)),
        courses=tuple(_course(row, name, ran[name]) for name in row["runs"]),
    )


def _case_row(key: str) -> Row:
    found: Row = next(row for row in behaviour_table()["case"] if row["key"] == key)
    return found


def _expectation(row: Row) -> Expectation:
    unknown = [key for key in row["sources"] if key not in sources()]
    if unknown:
        raise KeyError(f"{row['key']}: no source is called {', '.join(unknown)}")
    return Expectation(
        key=row["key"],
        says=row["says"],
        measure=row["measure"],
        run=row["run"],
        against=row.get("against"),
        how=row.get("how", "value"),
        day=int(row["day"]),
        low=row.get("low"),
        high=row.get("high"),
        standing=Standing(row["standing"]),
        sources=tuple(row["sources"]),
        note=row["note"],
        finding=row.get("finding", ""),
    )


def _weather(row: Row, name: str, seed: int) -> WeatherYears:
    """Return the weather of a run, one row for each rain."""
    run = row["runs"][name]
    kind = behaviour_table()["weather"][run.get("weather", row["weather"])]
    days, rains = int(row["days"]), int(row.get("rains", RAINS))
    if kind["kind"] == "steady":
        return _steady(kind, days, [np.random.default_rng([seed, one]) for one in range(rains)])
    climate = Climate(kind["mean"], kind["half_range"], kind["rain"], kind["latitude"])
    start = int(run.get("start", 0))
    years = -(-(days + start) // 365)
    made = [daily_weather(climate, 1000 * seed + one, years) for one in range(rains)]

    def stretch(series: str) -> Array:
        return np.stack([getattr(one, series).ravel()[start : start + days] for one in made])

    return replace(
        made[0],
        low=stretch("low"),
        high=stretch("high"),
        rain=stretch("rain"),
        reference_evaporation=stretch("reference_evaporation"),
        radiation=stretch("radiation"),
        labels=tuple(str(one) for one in range(rains)),
    )


def _steady(kind: Row, days: int, chances: list[np.random.Generator]) -> WeatherYears:
    rain = np.stack([
        np.where(chance.random(days) < kind["share"], chance.exponential(1.0, days) * kind["shower"], 0.0)
        for chance in chances
    ])  # fmt: skip
    return WeatherYears(
        daily_weather(Climate(10.0, 0.0, 0.0, 50.0)).first_day,
        np.full(rain.shape, kind["low"]),
        np.full(rain.shape, kind["high"]),
        rain,
        np.full(rain.shape, kind["demand"]),
        np.full(rain.shape, kind["radiation"]),
        tuple(str(one) for one in range(len(chances))),
        "made up",
        Evidence.GUESS,
    )


def _lift(name: str, kilograms: float) -> LaidLift:
    """Return a lift as the residue table tells it, with the water it usually has."""
    residue = all_residues()[name]
    water = kilograms * residue.moisture.mid / residue.dry_share
    fresh = residue.fresh
    return LaidLift(
        residue, 1000.0 * kilograms, MASS_DOUBT, 0.0 if fresh else water, water if fresh else 0.0, fresh, name
    )


def _events(run: Row) -> tuple[Event, ...]:
    found: list[Event] = []
    for event in run["events"]:
        for time in range(int(event.get("times", 1))):
            day = int(event["day"]) + time * int(event.get("every", 0))
            if "dig" in event:
                found.append(DigIn(day, float(event["dig"])))
            else:
                found.append(Lay(day, tuple(_lift(name, float(kg)) for name, kg in event["lay"])))
    return tuple(found)


def _soil(carbon: float) -> SoilColumn:
    pools = resting_pools(carbon, CLAY)
    return SoilColumn(CLAY, FULL, WILTING, pools, (pools[0] / 40.0, pools[1] / 30.0))


def _ran(row: Row, name: str, count: int, seed: int) -> Ran:
    case = BedCase(
        f"{row['key']}, {name}",
        _weather(row, name, seed),
        _soil(float(row.get("soil_carbon", SOIL_CARBON))),
        _events(row["runs"][name]),
    )
    members = draw_members(case, count, seed, place=row["key"])
    every = 1 if row["days"] <= DAILY else 7
    outcome = simulate(case, members, every=every, twin=bool(case.lifts), per_lift=every == 1)
    if not case.lifts:
        outcome.daily["net_nitrogen"] = np.zeros_like(outcome.daily["leached"])
    return Ran(outcome, members.draws[:, :, at.D_MASS].sum(axis=1))


def _judged(expected: Expectation, ran: Mapping[str, Ran]) -> Judged:
    measure, unit, _ = MEASURES[expected.measure]
    values = measure(ran[expected.run], expected.day)
    if expected.against is not None:
        other = measure(ran[expected.against], expected.day)
        values = values / other if expected.how == "ratio" else values - other
        unit = "times" if expected.how == "ratio" else unit
    low = -np.inf if expected.low is None else expected.low
    high = np.inf if expected.high is None else expected.high
    p10, p50, p90 = (float(one) for one in np.percentile(values, (10.0, 50.0, 90.0)))
    return Judged(expected, unit, p10, p50, p90, float(np.mean((values >= low) & (values <= high))))


def _course(row: Row, name: str, ran: Ran) -> Course:
    values = drawn_series(ran, row["draws"])
    lying = np.isfinite(values).any(axis=0)
    bands = np.full((3, values.shape[1]), np.nan)
    bands[:, lying] = np.nanpercentile(values[:, lying], (10.0, 50.0, 90.0), axis=0)
    days = tuple(range(0, values.shape[1] * ran.outcome.every, ran.outcome.every))
    return Course(name, row["runs"][name]["label"], days, Band(*bands))
