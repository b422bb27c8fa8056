"""Signs that a record is not what it seems: swapped columns, wrong units, frozen sensors, more sun than there is.

`whole_file_fault` refuses a file that can only be wrong. `suspicions` are milder: what somebody should look at before
the record is used, each with the days, what it may be and what to do. Their thresholds are judgement; they were set so
that the clean records of `shared/data/weather` raise few.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise

import numpy as np

from mullbed.domain.daily_weather import DailyWeather, Series
from mullbed.domain.weather_record import Suspicion
from mullbed.errors import Fault
from mullbed.processes import evapotranspiration as equations

FEWEST_DAYS = 10
"""Fewer days than this show nothing about a whole file. Judgement."""


def looks_like_fahrenheit(low: Series, high: Series, latitude: float | None = None) -> bool:
    """Tell whether temperatures read as Celsius are only plausible as Fahrenheit (judgement).

    A tenth of the days above 50 °C, or half of them above 47 °C, is known from no place on earth. Where the
    latitude is known, thirty days running may also not be warmer than any place so far from the equator.
    """
    known = ~np.isnan(low) & ~np.isnan(high)
    if int(known.sum()) < FEWEST_DAYS:
        return False
    top = high[known]
    if float(np.quantile(top, 0.9)) > 50.0 or float(np.median(top)) > 47.0:
        return True
    if latitude is None or int(known.sum()) < 30:
        return False
    mean = (low[known] + top) / 2.0
    month = np.convolve(mean, np.full(30, 1.0 / 30.0), mode="valid")
    return float(month.max()) > warmest_month(latitude)


def warmest_month(latitude: float) -> float:
    """Mean temperature that no thirty days exceed at this latitude (judgement). [°C]"""
    return 40.0 - 0.45 * max(0.0, abs(latitude) - 33.0)


def whole_file_fault(place: str, low: Series, high: Series, latitude: float | None = None) -> Fault | None:
    """Return the one fault that explains a file of strange temperatures, or None."""
    known = ~np.isnan(low) & ~np.isnan(high)
    days = int(known.sum())
    if days < FEWEST_DAYS:
        return None
    for name, series in (("tmin_c", low), ("tmax_c", high)):
        zeros = int((series[known] == 0.0).sum())
        if zeros > 0.25 * days:
            return Fault(
                f"{place}, column {name}",
                f"exactly 0 on {zeros} of {days} days, as a rain column is",
                "temperatures in °C",
                f"Another column seems to be named {name}; check that the header line names each column rightly.",
            )
    above = int((low[known] > high[known]).sum())
    if above > days / 2:
        return Fault(
            f"{place}, columns tmin_c and tmax_c",
            f"the lowest temperature is above the highest on {above} of {days} days",
            "tmin_c not above tmax_c",
            "Swap the names tmin_c and tmax_c in the header line.",
        )
    if looks_like_fahrenheit(low, high, latitude):
        return Fault(
            f"{place}, columns tmin_c and tmax_c",
            f"half of the days are warmer than {np.median(high[known]):.0f}, which is only plausible in °F",
            "degrees Celsius",
            "Convert both columns: °C = (°F - 32) / 1.8.",
        )
    return None


FROZEN_DAYS = {"tmin_c": 5, "tmax_c": 5, "precip_mm": 4, "srad": 4, "humidity": 6, "wind": 8, "et0": 8}
"""A value that stands still for so many days, read to a tenth or finer, is suspicious; twice as long for whole numbers.
Rain up to a fifth of a millimetre and humidity of a hundred may stand still. [d]"""
MONTH_APART = 15.0
"""A month's mean further than this from the same month of other years is suspicious. [°C]"""
YEARS_APART = 8.0
"""A year's rain so many times more or less than the middle year's is suspicious. [1]"""
FEWEST_ALIKE = 3
"""So many other years are needed to compare with."""


def suspicions(weather: DailyWeather, latitude: float | None = None) -> tuple[Suspicion, ...]:
    """Return what should be looked at in a record, by column and day."""
    found = [*_frozen(weather), *_swapped(weather), *_months_apart(weather), *_years_apart(weather), *_units(weather)]
    if latitude is not None:
        found += _too_much_sun(weather, latitude)
    return tuple(sorted(found, key=lambda one: (one.column, one.first_day)))


def _columns(weather: DailyWeather) -> Iterator[tuple[str, Series]]:
    for name, series in (
        ("tmin_c", weather.low),
        ("tmax_c", weather.high),
        ("precip_mm", weather.rain),
        ("srad", weather.radiation),
        ("humidity", weather.humidity),
        ("wind", weather.wind),
        ("et0", weather.reference_evaporation),
    ):
        if series is not None and not np.isnan(series).all():
            yield name, series


def _frozen(weather: DailyWeather) -> Iterator[Suspicion]:
    """Yield runs of one and the same value."""
    for name, series in _columns(weather):
        known = series[~np.isnan(series) & (series != 0.0)]
        coarse = known.size > 0 and float(np.mean(known == np.round(known))) > 0.8
        longest = FROZEN_DAYS[name] * (2 if coarse else 1)
        changes = np.flatnonzero(np.diff(np.nan_to_num(series, nan=-1e9)) != 0.0)
        bounds = np.concatenate(([0], changes + 1, [series.size]))
        for begin, end in pairwise(bounds):
            value = float(series[begin])
            usual = (name == "precip_mm" and value <= 0.2) or (name == "humidity" and value >= 99.0)
            if end - begin < longest or np.isnan(value) or usual:
                continue
            yield Suspicion(
                name,
                weather.first_day + timedelta(days=int(begin)),
                weather.first_day + timedelta(days=int(end) - 1),
                f"{value:g} on {end - begin} days running",
                "a frozen or unplugged sensor, or a value filled down",
                "Empty these cells if the sensor stood still.",
            )


def _swapped(weather: DailyWeather) -> Iterator[Suspicion]:
    """Yield days on which the lowest temperature is above the highest, for records that may still hold them."""
    for place in np.flatnonzero(weather.low > weather.high):
        day = weather.first_day + timedelta(days=int(place))
        yield Suspicion(
            "tmin_c",
            day,
            day,
            f"lowest {weather.low[place]:g} above highest {weather.high[place]:g} °C",
            "the two are swapped on this day",
            "Swap the two values, or empty both cells.",
        )


def _months_apart(weather: DailyWeather) -> Iterator[Suspicion]:
    """Yield months whose mean temperature lies far from that of the same month of other years."""
    days = [weather.first_day + timedelta(days=day) for day in range(weather.rain.size)]
    number = np.array([day.year * 12 + day.month - 1 for day in days])
    for name, series in (("tmin_c", weather.low), ("tmax_c", weather.high)):
        means: dict[int, float] = {}
        for month in range(int(number[0]), int(number[-1]) + 1):
            of_month = series[number == month]
            if int((~np.isnan(of_month)).sum()) >= 15:
                means[month] = float(np.nanmean(of_month))
        for month, mean in means.items():
            others = [other for key, other in means.items() if key % 12 == month % 12 and key != month]
            if len(others) < FEWEST_ALIKE:
                continue
            usual = float(np.median(others))
            if abs(mean - usual) <= MONTH_APART:
                continue
            fahrenheit = abs((mean - 32.0) / 1.8 - usual) < 6.0
            first = date(month // 12, month % 12 + 1, 1)
            last = date((month + 1) // 12, (month + 1) % 12 + 1, 1) - timedelta(days=1)
            yield Suspicion(
                name,
                max(first, days[0]),
                min(last, days[-1]),
                f"mean {mean:.1f}, usual for the month {usual:.1f} °C",
                "degrees Fahrenheit in this month" if fahrenheit else "another unit, another station, or wrong rows",
                "Convert this month: °C = (°F - 32) / 1.8." if fahrenheit else "Check these rows against the source.",
            )


def _years_apart(weather: DailyWeather) -> Iterator[Suspicion]:
    """Yield years whose rain is many times more or less than that of the middle year."""
    days = [weather.first_day + timedelta(days=day) for day in range(weather.rain.size)]
    year = np.array([day.year for day in days])
    sums = {
        int(one): float(np.nansum(weather.rain[year == one]))
        for one in np.unique(year)
        if int((~np.isnan(weather.rain[year == one])).sum()) >= 350
    }
    if len(sums) <= FEWEST_ALIKE:
        return
    middle = float(np.median(list(sums.values())))
    for one, total in sums.items():
        if middle <= 0.0 or middle / YEARS_APART < total < middle * YEARS_APART:
            continue
        slip = "inches" if total < middle else "tenths of a millimetre"
        yield Suspicion(
            "precip_mm",
            date(one, 1, 1),
            date(one, 12, 31),
            f"{total:.0f} mm in the year, {middle:.0f} in the middle year",
            f"{slip} in this year, or a rain gauge that was blocked" if total < middle else f"{slip} in this year",
            "Check the unit of this year.",
        )


def _units(weather: DailyWeather) -> Iterator[Suspicion]:
    """Yield columns whose whole record is only plausible in another unit."""
    first, last = weather.first_day, weather.first_day + timedelta(days=weather.rain.size - 1)

    def slip(column: str, found: str, may_be: str) -> Suspicion:
        return Suspicion(column, first, last, found, may_be, "Check the unit of the column.")

    wet = weather.rain[weather.rain > 0.0]
    if wet.size >= 30 and float(wet.mean()) < 0.8:
        yield slip("precip_mm", f"a wet day brings {wet.mean():.2f} mm in the mean", "inches or centimetres")
    if wet.size >= 30 and float(wet.mean()) > 40.0:
        yield slip("precip_mm", f"a wet day brings {wet.mean():.0f} mm in the mean", "tenths of a millimetre")
    if weather.humidity is not None and np.nanmax(weather.humidity, initial=0.0) <= 1.5:
        yield slip("humidity", "never above 1.5", "a fraction, not per cent")
    if weather.wind is not None and float(np.nanmedian(weather.wind)) > 9.0:
        yield slip("wind", f"half of the days above {np.nanmedian(weather.wind):.1f} m/s", "km/h or knots")
    if weather.radiation is not None and 0.0 < float(np.nanmedian(weather.radiation)) < 3.0:
        yield slip("srad", f"half of the days below {np.nanmedian(weather.radiation):.1f} MJ/m2", "kWh/m2")


def _too_much_sun(weather: DailyWeather, latitude: float) -> Iterator[Suspicion]:
    """Yield radiation beyond what reaches the top of the air ([@allen1998] eq. 21), all such days as one."""
    if weather.radiation is None:
        return
    above_air = getattr(equations.extraterrestrial_radiation, "py_func", equations.extraterrestrial_radiation)
    by_day = np.array([0.0, *(above_air(latitude, float(day)) for day in range(1, 367))])
    days = [weather.first_day + timedelta(days=day) for day in range(weather.rain.size)]
    top = by_day[[day.timetuple().tm_yday for day in days]]
    over = np.flatnonzero(weather.radiation > top)
    if over.size:
        yield Suspicion(
            "srad",
            days[int(over[0])],
            days[int(over[-1])],
            f"more than reaches the top of the air on {over.size} days",
            "another unit, or a latitude that is not the station's",
            "Check unit and latitude; empty single cells that are wrong.",
        )
