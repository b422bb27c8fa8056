"""Missing days and values: named, and filled only the way the user names, each filled value told.

Known weaknesses. A straight line has no warm or cold days of its own, so it is held to a few days, and rain is never
drawn as a line. The mean of other years has no spells at all; for rain it would drizzle every day, so rain is taken
from one other year, the one most alike in the days around the gap: its sum and its wet days are real, their date is
chance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Any

import numpy as np

from mullbed.domain.daily_weather import DailyWeather, Series
from mullbed.domain.weather_record import Filled, Gap, GapWay
from mullbed.errors import Fault, InputFault
from mullbed.weather.climate_years import equal_date

FIELDS = {"low": "tmin_c", "high": "tmax_c", "rain": "precip_mm", "radiation": "srad", "humidity": "humidity",
          "wind": "wind", "reference_evaporation": "et0"}  # fmt: skip
NEEDED = ("low", "high", "rain")
LONGEST_LINE = 10
"""Longest gap a straight line may cross. Judgement. [d]"""
WINDOW = 7
"""Days before and after a day of the year that count as the same time of the year. Judgement. [d]"""
AROUND = 15
"""Days before and after a gap by which other years are compared. Judgement. [d]"""


@dataclass(frozen=True, slots=True)
class GapPolicy:
    """One way, and the longest gap it may fill."""

    way: GapWay
    days: int = 0
    """[d]; 0 for any length."""


def gap_policy(text: str) -> GapPolicy:
    """Return the policy a user names: "leave", "refuse", "line:3", "other-years" or "other-years:30".

    Raises
    ------
    InputFault
        When it is none of them.
    """
    name, _, days = text.strip().casefold().partition(":")
    allowed = f"leave, refuse, line:DAYS (1 to {LONGEST_LINE}), other-years or other-years:DAYS"
    try:
        way, count = GapWay(name), int(days) if days else 0
    except ValueError:
        raise InputFault([Fault("gaps", f"'{text[:30]}'", allowed, "Name one way.")]) from None
    if way is GapWay.LINE and not 1 <= count <= LONGEST_LINE:
        raise InputFault([Fault("gaps", f"'{text[:30]}'", allowed, "Say how long a gap it may cross: line:3.")])
    if count < 0 or (days and way in (GapWay.LEAVE, GapWay.REFUSE)):
        raise InputFault([Fault("gaps", f"'{text[:30]}'", allowed, "Leave the number out.")])
    return GapPolicy(way, count)


def gaps_of(weather: DailyWeather) -> tuple[Gap, ...]:
    """Return every gap of every column that is there at all, in the order of columns and days."""
    found: list[Gap] = []
    for name, column in FIELDS.items():
        series = getattr(weather, name)
        if series is None:
            continue
        for begin, length in _runs(np.isnan(series)):
            found.append(Gap(column, weather.first_day + timedelta(days=begin), length))
    return tuple(found)


def without_gaps(weather: DailyWeather, policies: Sequence[GapPolicy]) -> tuple[DailyWeather, tuple[Filled, ...]]:
    """Return the record with gaps filled as the policies say, one after the other, and what was filled.

    What no policy fills stays missing.

    Raises
    ------
    InputFault
        Under "refuse", with every gap of lowest, highest and rain.
    """
    if any(policy.way is GapWay.REFUSE for policy in policies):
        needed = [gap for gap in gaps_of(weather) if gap.column in {FIELDS[name] for name in NEEDED}]
        if needed:
            remedy = "Give the values, or name another way for gaps."
            raise InputFault([Fault(gap.column, _span(gap), "a value on every day", remedy) for gap in needed[:40]])
    filled: list[Filled] = []
    for policy in policies:
        if policy.way is GapWay.LINE:
            weather = _by_line(weather, policy.days, filled)
        elif policy.way is GapWay.OTHER_YEARS:
            weather = _by_other_years(weather, policy.days or weather.rain.size, filled)
    if not filled:
        return weather, ()
    values = sum(one.gap.days for one in filled)
    absent = np.isnan(weather.low) | np.isnan(weather.high) | np.isnan(weather.rain)
    missing = tuple(weather.first_day + timedelta(days=int(day)) for day in np.flatnonzero(absent))
    source = f"{weather.source}; {values} missing values filled in"
    return replace(weather, source=source, missing_days=missing), tuple(filled)


def _span(gap: Gap) -> str:
    if gap.days == 1:
        return f"missing on {gap.first_day}"
    return f"missing on {gap.days} days, {gap.first_day} to {gap.last_day}"


def _by_line(weather: DailyWeather, most: int, filled: list[Filled]) -> DailyWeather:
    """Return the record with short gaps crossed by a straight line, rain left out."""
    changed: dict[str, Any] = {}
    for name, column in FIELDS.items():
        series = getattr(weather, name)
        if series is None or name == "rain":
            continue
        values = series.copy()
        for begin, length in _runs(np.isnan(series)):
            end = begin + length
            if length <= most and begin > 0 and end < series.size:
                values[begin:end] = np.interp(np.arange(begin, end), [begin - 1, end], [series[begin - 1], series[end]])
                filled.append(Filled(Gap(column, weather.first_day + timedelta(days=begin), length), "a straight line"))
        changed[name] = values
    return replace(weather, **_ordered(weather, changed))


def _by_other_years(weather: DailyWeather, most: int, filled: list[Filled]) -> DailyWeather:
    """Return the record with gaps filled from other years: means of the time of the year, rain of the most alike."""
    days = [weather.first_day + timedelta(days=day) for day in range(weather.rain.size)]
    of_year = np.array([min(day.timetuple().tm_yday, 365) for day in days])
    year = np.array([day.year for day in days])
    changed: dict[str, Any] = {}
    for name, column in FIELDS.items():
        series = getattr(weather, name)
        if series is None:
            continue
        values = series.copy()
        for begin, length in _runs(np.isnan(series)):
            if length > most:
                continue
            gap = Gap(column, days[begin], length)
            if name == "rain":
                other = _most_alike(weather, begin, length)
                if other is None:
                    continue
                values[begin : begin + length] = series[other : other + length]
                filled.append(Filled(gap, f"the same days of {days[other].year}, the year most alike around them"))
                continue
            means = [_mean_of_day(series, of_year, year, place) for place in range(begin, begin + length)]
            if not np.isnan(means).any():
                values[begin : begin + length] = means
                filled.append(Filled(gap, f"the mean of other years, {WINDOW} days around"))
        changed[name] = values
    return replace(weather, **_ordered(weather, changed))


def _mean_of_day(series: Series, of_year: np.ndarray, year: np.ndarray, place: int) -> float:
    apart = np.abs(of_year - of_year[place])
    near = (np.minimum(apart, 365 - apart) <= WINDOW) & (year != year[place]) & ~np.isnan(series)
    return float(series[near].mean()) if near.any() else float("nan")


def _most_alike(weather: DailyWeather, begin: int, length: int) -> int | None:
    """Return where the same days of another year begin, of the year most alike in the days around; None for none."""
    record = weather.rain.size
    best: tuple[float, int] | None = None
    here = weather.first_day + timedelta(days=begin)
    last = weather.first_day + timedelta(days=record - 1)
    for year in range(weather.first_day.year, last.year + 1):
        other = (equal_date(here, year - here.year) - weather.first_day).days
        shift = other - begin
        if year == here.year or other < 0:
            continue
        if other + length > record or np.isnan(weather.rain[other : other + length]).any():
            continue
        distance = _distance(weather, begin, length, shift)
        if best is None or distance < best[0]:
            best = distance, other
    return None if best is None else best[1]


def _distance(weather: DailyWeather, begin: int, length: int, shift: int) -> float:
    """Return how unlike the days around a gap are, so many days apart: rain sums and mean temperature."""
    record = weather.rain.size
    around = (*range(begin - AROUND, begin), *range(begin + length, begin + length + AROUND))
    both = np.array([d for d in around if 0 <= d < record and 0 <= d + shift < record])
    if both.size == 0:
        return float("inf")
    rain = _difference(weather.rain, both, shift, 20.0)
    mean = (weather.low + weather.high) / 2.0
    return rain + _difference(mean, both, shift, 2.0)


def _difference(series: Series, places: np.ndarray, shift: int, scale: float) -> float:
    here, there = series[places], series[places + shift]
    known = ~(np.isnan(here) | np.isnan(there))
    if not known.any():
        return 5.0
    apart = here[known] - there[known]
    return float(abs(apart.sum()) / scale if scale > 10.0 else abs(apart.mean()) / scale)


def _ordered(weather: DailyWeather, changed: dict[str, Any]) -> dict[str, Any]:
    """Return filled series; a filled temperature gives way where it would cross one that was measured."""
    low, high = changed.get("low", weather.low), changed.get("high", weather.high)
    for place in np.flatnonzero(low > high):
        if np.isnan(weather.low[place]):
            low[place] = high[place]
        elif np.isnan(weather.high[place]):
            high[place] = low[place]
    return changed


def _runs(missing: np.ndarray) -> list[tuple[int, int]]:
    """Return begin and length of every run of missing days."""
    edges = np.diff(np.concatenate(([0], missing.astype(np.int8), [0])))
    begins, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    return [(int(a), int(b - a)) for a, b in zip(begins, ends, strict=True)]
