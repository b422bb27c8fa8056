"""Fetch the daily weather of a place from an open service, or take what was kept of it, and write a weather file.

Asks the network only where it must and may; keeps answers in the user's cache. Raises InputFault when the place or the
days cannot be asked, nobody answers, or the answer is at fault.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from platformdirs import user_cache_path

from mullbed.domain.weather_record import WeatherFetched
from mullbed.errors import Fault, InputFault
from mullbed.weather.daily_file import parse_daily_weather
from mullbed.weather.gaps import gap_policy
from mullbed.weather.http_answer import answer_of
from mullbed.weather.open_services import TERMS, Service, answer_place, check_answer, latest_day, service_address
from mullbed.weather.read_record import record_of
from mullbed.weather.station_file import write_whole

USUAL_YEARS = 30
"""A climate is thirty years by convention (World Meteorological Organization)."""


def fetch_weather(
    latitude: float,
    longitude: float,
    *,
    today: date,
    service: str = "nasa-power",
    first_day: str | None = None,
    last_day: str | None = None,
    gaps: Sequence[str] = (),
    out: Path | None = None,
    offline: bool = False,
    fresh: bool = False,
    cache: Path | None = None,
    address: str | None = None,
    progress: Callable[[str], None] = lambda sentence: None,
) -> WeatherFetched:
    """Return the record of a place.

    Parameters
    ----------
    latitude, longitude : float
        North and east positive. [degrees]
    today : date
    service : str
        "nasa-power" or "open-meteo".
    first_day, last_day : str, optional
        Day or year; without them the last thirty whole years.
    gaps : sequence of str
        Ways of dealing with gaps, one after the other.
    out : Path, optional
        Where to write the weather file.
    offline : bool
        Use only what was kept before.
    fresh : bool
        Ask again for what was kept.
    cache : Path, optional
        Folder that keeps answers; the user's own where not told.
    address : str, optional
        Another server that answers alike.
    progress : callable

    Raises
    ------
    InputFault
        When something cannot be asked, is not answered, or the answer is at fault.
    """
    if service not in list(Service):
        raise InputFault([Fault("--service", f"'{service[:30]}'", " | ".join(Service), "Choose one of these.")])
    chosen = Service(service)
    terms = TERMS[chosen]
    first, last = _days(first_day, last_day, chosen, today)
    policies = [gap_policy(one) for one in gaps]
    asked = service_address(chosen, latitude, longitude, first, last, address)
    place = f"{terms.name} at {latitude:g}, {longitude:g}"
    progress(f"Asking {terms.name} for {first} to {last}.")
    answer = answer_of(
        asked,
        cache=cache or user_cache_path("mullbed") / "weather",
        today=today.isoformat(),
        offline=offline,
        fresh=fresh,
        sound=lambda text: check_answer(text, place, latitude, longitude),
    )
    cell = answer_place(answer.text)
    weather = parse_daily_weather(answer.text, f"{place}.json", latitude)
    told = f"{terms.name} daily, {latitude:.2f}, {longitude:.2f}, fetched {answer.fetched_on}"
    read = record_of(
        replace(weather, source=told),
        place,
        policies,
        latitude=latitude,
        elevation=cell.elevation,
        remarks=(f"attribution: {terms.attribution}", f"terms: {terms.terms}", f"asked: {asked}"),
    )
    if out is not None:
        write_whole(out, read.text)
    return WeatherFetched(
        read,
        terms.name,
        asked,
        terms.attribution,
        terms.terms,
        terms.grid,
        answer.from_cache,
        answer.fetched_on,
        cell.latitude,
        cell.longitude,
        cell.elevation,
    )


def _days(first: str | None, last: str | None, service: Service, today: date) -> tuple[date, date]:
    """Return first and last day; a year alone stands for its first or its last day."""
    latest = latest_day(service, today)
    faults: list[Fault] = []
    end = _day(last, "--until", 12, 31, faults) if last is not None else date(latest.year - 1, 12, 31)
    begin = _day(first, "--from", 1, 1, faults) if first is not None else None
    if faults or end is None:
        raise InputFault(faults)
    begin = begin or max(TERMS[service].first_day, date(end.year - USUAL_YEARS + 1, 1, 1))
    if end > latest:
        allowed = f"{latest} or earlier: the service is some days behind"
        raise InputFault([Fault("--until", str(end), allowed, "Leave the days to come to a forecast.")])
    return begin, end


def _day(text: str, option: str, month: int, day: int, faults: list[Fault]) -> date | None:
    try:
        return date(int(text), month, day) if text.isdigit() and len(text) == 4 else date.fromisoformat(text)
    except ValueError:
        faults.append(Fault(option, f"'{text[:20]}'", "a year or a day: 1995 or 1995-01-01", "Write it so."))
        return None
