"""What to do about a cause on this bed: amounts, waits, the smallest quick dose, or waiting for what will come."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, isfinite
from typing import TYPE_CHECKING

from mullbed.domain.diagnosis import Cause, NitrogenAccount, QuickDose, Remedy
from mullbed.domain.spread import Evidence, Spread
from mullbed.reference.tables import provenance, toml_table

if TYPE_CHECKING:  # brings the array library, which a table of signs does not need
    from mullbed.domain.forecast import BedForecast, Series

ACCOUNT_DAYS = 21
"""A quick dose tides a crop over so many days. Judgement. [d]"""
OUT_OF_REACH = 1.0
"""Mineral nitrogen of 0-25 cm a crop does not get at. Judgement. [g m-2]"""
MOST_AT_ONCE = 5.0
"""No more nitrogen than this in one dose: it would burn or wash down. Judgement. [g m-2]"""
LEAST_DOSE = 0.5
"""A shortage below this is not worth a dose. Judgement. [g m-2]"""
STRIP_DEPTH_MASS = 0.30 * 1300.0 / 1000.0
"""g m-2 of nitrate nitrogen per mg kg-1 in 0-30 cm at 1300 kg m-3: 25 mg kg-1 are 9.8 g m-2. [g m-2 per mg kg-1]"""
SOON_DAYS = 10
"""Nitrogen that comes within so many days is waited for. Judgement. [d]"""


@dataclass(frozen=True, slots=True)
class DryStuff:
    """What dry cover is counted in on this garden."""

    container: str
    litres: Spread
    """What one container holds. [L]"""


def nitrogen_account(forecast: BedForecast, day: date, strip: float | None = None) -> NitrogenAccount | None:
    """Return what the crop wants in three weeks beside what comes; None where no crop stands or the day is outside.

    Parameters
    ----------
    forecast : BedForecast
    day : date
    strip : float or None
        Measured nitrate nitrogen of 0-30 cm; it replaces the model's store. [mg kg-1]
    """
    start = (day - forecast.first_day).days
    end = min(start + ACCOUNT_DAYS, forecast.crop_want.size)
    if not 0 <= start < end:
        return None
    want = _sum(forecast.crop_want[start:end])
    if want <= 0.0:
        return None
    store = forecast.series["mineral_nitrogen"]
    held = [max(0.0, float(one[start]) - OUT_OF_REACH) for one in (store.p10, store.p50, store.p90)]
    if strip is not None:
        held = [max(0.0, strip * STRIP_DEPTH_MASS * factor - OUT_OF_REACH) for factor in (0.75, 1.0, 1.25)]
    flow = forecast.series.get("weekly_nitrogen")
    given = [_sum(one[start:end]) / 7.0 for one in (flow.p10, flow.p50, flow.p90)] if flow else [0.0] * 3
    coming = sorted(max(0.0, one + other) for one, other in zip(held, given, strict=True))
    short = [max(0.0, want - one) for one in reversed(coming)]
    enough = None
    if flow is not None:
        pairs = zip(flow.p50[start:], forecast.crop_want[start:], strict=True)
        later = next(
            (number for number, (given_week, want_day) in enumerate(pairs) if given_week >= 7.0 * want_day), None
        )
        enough = None if later is None else day + timedelta(days=later)
    return NitrogenAccount(end - start, want, _grams(coming), _grams(short), enough)


def _sum(values: Series) -> float:
    """Return the sum of what is known of a series."""
    return sum(float(one) for one in values if isfinite(one))


def _grams(values: list[float]) -> Spread:
    low, mid, high = values
    return Spread(low, mid, high, "g m-2", Evidence.WORKED_OUT, "mullbed_model")


def is_worth_waiting(account: NitrogenAccount, day: date) -> bool:
    """Return whether the forecast shows enough nitrogen now, or within ten days."""
    soon = account.enough_from is not None and (account.enough_from - day).days <= SOON_DAYS
    return account.shortage.mid < LEAST_DOSE or (soon and account.shortage.mid < 0.25 * account.want)


def quick_doses(shortage: Spread, area: float) -> tuple[QuickDose, ...]:
    """Return the smallest dose of each quick carrier that covers a shortage [g m-2] on an area [m2], up to a limit."""
    doses = []
    for key, row in toml_table("quick_nitrogen.toml").items():
        evidence, source = provenance(f"quick_nitrogen.toml, {key}", row.get("evidence"), row.get("source"))
        per = area / (row["nitrogen"] * row["used"])
        low, mid, high = (min(MOST_AT_ONCE, one) * per for one in (shortage.low, shortage.mid, shortage.high))
        grams = Spread(low, mid, high, "g", evidence, source)
        doses.append(QuickDose(row["name"], grams, max(0.5, ceil(2.0 * mid / row["spoon"]) / 2.0)))
    return tuple(doses)


def remedy(
    cause: Cause,
    *,
    area: float,
    day: date,
    dry: DryStuff,
    account: NitrogenAccount | None = None,
    last_soft: date | None = None,
) -> Remedy:
    """Return what to do about a cause on a bed of an area [m2], with amounts in the grower's own containers."""
    containers = litres = None
    if cause.cover is not None:
        volume = cause.cover * area * 1000.0
        litres = Spread(0.75 * volume, volume, 1.25 * volume, "L", Evidence.WORKED_OUT, "mullbed_model")
        containers = max(0.5, round(2.0 * volume / dry.litres.mid) / 2.0)
    wait = cause.wait
    until = (day + timedelta(days=wait[0]), day + timedelta(days=wait[1])) if wait else None
    if cause.wait_from_soft is not None:
        first, last = (timedelta(days=days) for days in cause.wait_from_soft)
        start = last_soft or day
        until = (max(day, start + first), max(day, start + last))
    heading, steps = cause.heading, cause.steps
    doses: tuple[QuickDose, ...] = ()
    if cause.quick_nitrogen and account is not None:
        if is_worth_waiting(account, day):
            heading, steps = "Wait. Nitrogen is coming.", (cause.steps[0], "Give nothing now; look again in ten days.")
        else:
            doses = quick_doses(account.shortage, area)
    elif cause.quick_nitrogen:
        small = Spread(1.0, 2.0, 3.0, "g m-2", Evidence.GUESS, "common_practice")
        doses = quick_doses(small, area)
    return Remedy(
        heading=heading,
        steps=steps,
        avoid=cause.avoid,
        expect=cause.expect,
        expect_from=day + timedelta(days=cause.days[0]),
        expect_until=day + timedelta(days=cause.days[1]),
        container=dry.container,
        containers=containers,
        container_litres=litres,
        cover_thickness=cause.cover,
        water_litres=cause.water * area if cause.water else None,
        wait_until=until,
        doses=doses,
        nitrogen=account if cause.quick_nitrogen else None,
    )
