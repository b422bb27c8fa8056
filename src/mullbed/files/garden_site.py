"""Site, season, weather source and limits of the garden file."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from mullbed.domain.garden import Limits, Profile, SeasonsFrom, Site, UnitSystem, WeatherSource
from mullbed.files import amounts
from mullbed.files.garden_safety import read_dangers
from mullbed.files.reading import Table, finite, shown
from mullbed.units import to_canonical

MONTHLY = ("monthly_low", "monthly_high", "monthly_rain")
LONGEST_SEASON_DAYS = 1100
"""Three years. [d]"""
NO_ZERO = "Raise it or remove the line; under a ceiling of zero nothing may be laid."


def read_season(root: Table) -> tuple[date, date] | None:
    """Return first and last day of the season, or None after noting what is wrong."""
    table = root.table("season", required="Add a header [season] with first_day and last_day.")
    if table is None:
        return None
    first_day = table.day("first_day", required="Write first_day = 2027-03-15.")
    last_day = table.day("last_day", required="Write last_day = 2027-10-31.")
    table.no_others()
    if first_day is None or last_day is None:
        return None
    days = (last_day - first_day).days + 1
    if not 1 <= days <= LONGEST_SEASON_DAYS:
        found = f"{first_day} to {last_day}, {days} days"
        allowed = f"1 to {LONGEST_SEASON_DAYS} days"
        table.fault("last_day", found, allowed, "Put last_day after first_day, and plan at most three years at once.")
        return None
    return first_day, last_day


def read_site(root: Table, folder: Path) -> Site | None:
    """Return the site, or None after noting what is wrong; paths are taken from the garden file's folder."""
    weather = _weather(root, folder)
    table = root.table("site", required="Add a header [site] with name and latitude.")
    if table is None:
        return None
    name = table.text("name", required='Write name = "..." with the name of the garden.')
    latitude = table.number(
        "latitude", -72.0, 72.0, "degrees, north positive", required="Write latitude = 47.6, south negative."
    )
    longitude = table.number("longitude", -180.0, 180.0, "degrees, east positive")
    elevation = table.parsed("elevation", amounts.height, '-450 to 6000 m, such as "120 m"')
    zone = table.parsed("time_zone", _time_zone, 'a time zone such as "Europe/Vienna"') or "UTC"
    units = table.word("units", UnitSystem) or UnitSystem.METRIC
    profile = table.word("profile", Profile) or Profile.HOME
    away = _weeks_away(table)
    dangers = read_dangers(table)
    table.no_others()
    if name is None or latitude is None or weather is None:
        return None
    return Site(name, latitude, weather, elevation, zone, units, profile, away, longitude, dangers)


def _time_zone(value: object) -> str:
    remedy = 'Write region and city, such as time_zone = "America/Los_Angeles".'
    if not isinstance(value, str):
        raise ValueError(remedy)
    try:
        return ZoneInfo(value.strip()).key
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise ValueError(remedy) from error


def _weeks_away(site: Table) -> tuple[tuple[date, date], ...]:
    away = []
    for table in site.tables("away"):
        first_day = table.day("from", required="Write from = 2027-08-09.")
        last_day = table.day("to", required="Write to = 2027-08-22.")
        table.no_others()
        if first_day is None or last_day is None:
            continue
        if last_day < first_day:
            table.fault("to", f"{last_day} is before {first_day}", "a day not before from", "Swap the two days.")
            continue
        if last_day - first_day > timedelta(days=366):
            table.fault("to", f"{(last_day - first_day).days} days away", "at most a year", "Correct the dates.")
            continue
        away.append((first_day, last_day))
    return tuple(sorted(away))


def _weather(root: Table, folder: Path) -> WeatherSource | None:
    table = root.table("weather", required='Add a header [weather] with daily_file = "weather.csv" or monthly means.')
    if table is None:
        return None
    named = table.text("daily_file")
    months = {key: table.numbers(key, 12) for key in MONTHLY}
    given = [key for key in MONTHLY if table.has(key)]
    units = table.word("units", UnitSystem) or UnitSystem.METRIC
    seasons = table.word("seasons", SeasonsFrom) or SeasonsFrom.YEARS
    warmer = _by_month(table, "warmer", -10.0, 10.0, "°C")
    if warmer is not None and units is UnitSystem.US:
        warmer = tuple(value / 1.8 for value in warmer)
    rain_times = _by_month(table, "rain_times", 0.0, 5.0, "times the rain of the record")
    table.no_others()
    if table.has("daily_file"):
        if given:
            remedy = "Keep daily_file and remove the monthly means, or the other way round."
            table.fault("daily_file", "given beside monthly means", "one of the two", remedy)
            return None
        if named is None:
            return None
        return WeatherSource(daily_file=folder / named, seasons=seasons, warmer=warmer, rain_times=rain_times)
    if table.has("seasons"):
        allowed = "only beside daily_file"
        table.fault("seasons", f"'{seasons}' without a daily file", allowed, "Remove it, or name a daily_file.")
    if len(given) < len(MONTHLY):
        allowed = "daily_file, or monthly_low, monthly_high and monthly_rain with 12 numbers each"
        remedy = 'Write daily_file = "weather.csv", or give all three lists of monthly means.'
        table.reading.fault(table.path, "no weather", allowed, remedy)
        return None
    low, high, rain = (months[key] for key in MONTHLY)
    if low is None or high is None or rain is None:
        return None
    if units is UnitSystem.US:
        low, high = (tuple(to_canonical(value, "degF") for value in values) for values in (low, high))
        rain = tuple(1000.0 * to_canonical(value, "in") for value in rain)
    return (
        WeatherSource(monthly_low=low, monthly_high=high, monthly_rain=rain, warmer=warmer, rain_times=rain_times)
        if _plausible(table, low, high, rain)
        else None
    )


def _by_month(table: Table, key: str, lowest: float, highest: float, unit: str) -> tuple[float, ...] | None:
    """Return twelve numbers within limits; one number stands for all months."""
    if finite(table.raw(key)) is not None:
        value = table.number(key, lowest, highest, unit)
        return None if value is None else (value,) * 12
    values = table.numbers(key, 12)
    for month, value in enumerate(values or (), start=1):
        if not lowest <= value <= highest:
            remedy = "Correct the month."
            table.fault(key, f"{value:g} in month {month}", f"{lowest:g} to {highest:g} {unit}", remedy)
            return None
    return values


def _plausible(table: Table, low: tuple[float, ...], high: tuple[float, ...], rain: tuple[float, ...]) -> bool:
    """Tell whether monthly means can be true somewhere on earth, after noting those that cannot."""
    before = len(table.reading.faults)
    unit = 'Give °C and mm a month, or write units = "us" for °F and inches.'
    for key, values, lowest, highest, name in (
        ("monthly_low", low, -60.0, 40.0, "°C"),
        ("monthly_high", high, -50.0, 50.0, "°C"),
        ("monthly_rain", rain, 0.0, 3000.0, "mm"),
    ):
        for month, value in enumerate(values, start=1):
            if not lowest <= value <= highest:
                table.fault(key, f"{value:g} {name} in month {month}", f"{lowest:g} to {highest:g} {name}", unit)
                break
    for month, (lowest, highest) in enumerate(zip(low, high, strict=True), start=1):
        if lowest > highest:
            found = f"{lowest:g} °C in month {month}, above the high of {highest:g} °C"
            table.fault("monthly_low", found, "not above monthly_high", "Swap the two lists or correct the month.")
            break
    return len(table.reading.faults) == before


def read_limits(root: Table) -> Limits:
    """Return the limits; the defaults where a limit is not given. A limit of zero is refused: nothing could be laid."""
    table = root.table("limits")
    limits = Limits()
    if table is None:
        return limits
    given: dict[str, Any] = {
        "nitrogen_fed_share": table.number("nitrogen_fed_share", 0.05, 10.0, "times the want", remedy=NO_ZERO),
        "phosphorus_share_of_removal": table.number(
            "phosphorus_share_of_removal", 0.05, 20.0, "times the removal", remedy=NO_ZERO
        ),
        "minutes_per_day": table.number("minutes_per_day", 1.0, 1440.0, "minutes"),
        "litres_per_day": table.parsed("water_per_day", amounts.water, '1 to 100000 L, such as "120 L"'),
        "thickest_soft_fresh": table.parsed("thickest_soft_fresh", amounts.lift_limit, '2 mm to 1 m, such as "30 mm"'),
        "thickest_cover": table.parsed("thickest_cover", amounts.lift_limit, '2 mm to 1 m, such as "12 cm"'),
    }
    for key in ("nitrogen_laid_per_year", "legal_nitrogen_per_year", "legal_phosphorus_per_year"):
        given[key] = table.parsed(key, amounts.ceiling, '0.1 to 200 g/m2 (1 to 2000 kg/ha), such as "170 kg/ha"')
    for key in ("days_between_layers", "days_before_direct_sowing", "days_before_fine_seed"):
        given[key] = table.whole(key, 0, 365, "days")
    table.no_others()
    return replace(limits, **{key: value for key, value in given.items() if value is not None})


def day_within(table: Table, key: str, day: date | None, season: tuple[date, date], around: int) -> date | None:
    """Return the day, or None after noting that it lies further from the season than so many days."""
    if day is None:
        return None
    first, last = season[0] - timedelta(days=around), season[1] + timedelta(days=around)
    if not first <= day <= last:
        allowed = f"{first} to {last}, around the season {season[0]} to {season[1]}"
        table.fault(key, shown(day), allowed, "Correct the date, or the season's first_day and last_day.")
        return None
    return day
