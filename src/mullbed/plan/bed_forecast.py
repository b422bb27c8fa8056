"""Run one bed with what lies on it and what is planned, and turn the members into bands."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.forecast import Band, BedForecast, RelativeBalance
from mullbed.domain.layer import Layer
from mullbed.plan.lift_rows import lifts_through
from mullbed.simulate import layout as at
from mullbed.simulate.case import BedCase, CropCover
from mullbed.simulate.ensemble import Members, draw_members, spread_shares
from mullbed.simulate.learned import Learned
from mullbed.simulate.run import Outcome, simulate

Array = NDArray[np.float64]

SERIES = (
    "thickness",
    "moisture",
    "layer_temperature",
    "soil_temperature",
    "mineral_nitrogen",
    "net_nitrogen",
    "ammonia_lost",
    "leached",
    "cover",
    "soil_nitrogen",
)


_SHOWN = tuple(name for name in SERIES if name in at.OUTPUTS)
"""What the engine keeps of these by itself; the others are made of two runs."""
_CUTS = (10.0, 50.0, 90.0)
WEEK = 7
"""[d]"""


def band(values: Array) -> Band:
    """Return 10th, 50th and 90th percentile by day of members' values, shape (members, days); NaN where none lies."""
    finite = np.isfinite(values)
    whole = finite.all(axis=0)
    partly = finite.any(axis=0) & ~whole  # a day some members still have cover on and others none: slow, and rare
    cuts = np.full((3, values.shape[1]), np.nan)
    if whole.any():
        cuts[:, whole] = np.percentile(values[:, whole], _CUTS, axis=0)
    if partly.any():
        cuts[:, partly] = np.nanpercentile(values[:, partly], _CUTS, axis=0)
    return Band(cuts[0], cuts[1], cuts[2])


def _bands(outcome: Outcome, threads: int, first: int) -> dict[str, Band]:
    """Return the bands of all series from a day on; most of it is sorting, which numpy does beside other threads."""
    values = {name: outcome.daily[name] for name in SERIES}
    values["weekly_nitrogen"] = weekly_flow(outcome.daily["net_nitrogen"] + outcome.daily["soil_nitrogen"])
    values = {name: one[:, first:] for name, one in values.items()}
    if threads <= 1:
        return {name: band(one) for name, one in values.items()}
    with ThreadPoolExecutor(threads) as together:
        return dict(zip(values, together.map(band, values.values()), strict=True))


def weekly_flow(cumulative: Array) -> Array:
    """Return what came in the seven days around each day, members by day; shorter ends are scaled to a week."""
    days = np.arange(cumulative.shape[1])
    first, last = np.maximum(days - 4, 0), np.minimum(days + 3, days.size - 1)
    flow: Array = (cumulative[:, last] - cumulative[:, first]) * (7.0 / np.maximum(last - first, 1))
    return flow


def forecast_of(
    case: BedCase,
    layers: Sequence[Layer],
    members: Members,
    seed: int,
    *,
    threads: int = 2,
    shares: int = 0,
    learned: Learned | None = None,
    shown_from: int = 0,
    lean: bool = False,
) -> tuple[BedForecast, Outcome]:
    """Return the forecast of a bed and the run behind it.

    Parameters
    ----------
    case : BedCase
    layers : sequence of Layer
        The layers of the case that are pictured; other lifts, such as a crop's own tops, are not.
    members : Members
    seed : int
    threads : int
    shares : int
        Members of each run that splits the spread by its causes; 0 leaves the split out.
    learned : Learned, optional
        What the members were drawn from, for the split.
    shown_from : int
        The forecast begins so many days later than the run, as :func:`after` would let it; what nobody looks at is
        not sorted. [d]
    lean : bool
        The run keeps what the forecast shows and nothing else, which is sooner done; a past that was run before is
        gone on from.

    Raises
    ------
    BalanceError, DirectionError
        When the books of a run do not close.
    """
    past = max(0, shown_from - WEEK) if lean else 0  # a week before what is shown, for flows of a week
    outcome = simulate(case, members, threads=threads, per_lift=True, keep=_SHOWN if lean else None, past=past)
    balance = RelativeBalance(outcome.balance.carbon, outcome.balance.nitrogen, outcome.balance.water)
    forecast = BedForecast(
        bed=case.name,
        first_day=case.weather.first_day,
        series=_bands(outcome, threads, shown_from),
        lifts=lifts_through(case, layers, outcome, members),
        crop_want=(case.cover or CropCover.bare(case.weather.days)).nitrogen_demand,
        balance=balance,
        spread_by=spread_by(case, shares, seed, threads, learned) if shares else {},
    )
    return (_begun(forecast, shown_from) if shown_from else forecast), outcome


def spread_by(
    case: BedCase, count: int, seed: int, threads: int = 2, learned: Learned | None = None
) -> dict[str, float]:
    """Return the share of the spread of net nitrogen at the end that each cause alone makes."""

    def run(vary: Collection[str]) -> Array:
        members = draw_members(case, count, seed, vary=vary, learned=learned)
        last: Array = simulate(case, members, every=case.weather.days, threads=threads).daily["net_nitrogen"][:, -1]
        return last

    if not case.lifts:
        return {}
    return spread_shares(run)


def after(forecast: BedForecast, day: int) -> BedForecast:
    """Return a forecast that begins later; cumulative series keep their totals."""
    series = {name: Band(one.p10[day:], one.p50[day:], one.p90[day:]) for name, one in forecast.series.items()}
    return _begun(replace(forecast, series=series), day)


def _begun(forecast: BedForecast, day: int) -> BedForecast:
    """Return a forecast whose bands begin a day already, with all the rest beginning there, too."""
    return replace(
        forecast,
        first_day=forecast.first_day + timedelta(days=day),
        lifts=tuple(
            replace(one, thickness=one.thickness[day:], carbon_gone=one.carbon_gone[day:], moisture=one.moisture[day:])
            for one in forecast.lifts
        ),
        crop_want=forecast.crop_want[day:],
    )
