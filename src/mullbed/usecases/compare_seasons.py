"""Compare possible seasons, made in one of three ways from a weather file, with its past years as they were.

Reads the weather file and, where one is named, a forecast. Raises InputFault when either is at fault.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

import numpy as np

from mullbed.domain.garden import SeasonsFrom
from mullbed.domain.weather_record import PossibleSeasons
from mullbed.errors import Fault, InputFault
from mullbed.weather.daily_file import read_daily_weather
from mullbed.weather.possible_seasons import (
    FORECAST_WEAKNESS,
    SEASONS_WEAKNESSES,
    SHIFT_WEAKNESS,
    moved_climate,
    possible_seasons,
    with_forecast,
)
from mullbed.weather.season_figures import past_figures, season_figures

MOST_SEASONS = 2000


def compare_seasons(
    path: Path,
    latitude: float,
    first_day: date,
    last_day: date,
    *,
    way: str = "years",
    seasons: int | None = None,
    forecast: Path | None = None,
    warmer: Sequence[float] = (),
    rain_times: Sequence[float] = (),
    elevation: float | None = None,
    seed: int = 1,
) -> PossibleSeasons:
    """Return what the seasons are like beside past years.

    Parameters
    ----------
    path : Path
        A weather file, or the saved answer of an open service.
    latitude : float
        North positive. [degrees]
    first_day, last_day : date
    way : str
        "years", "blocks" or "generated".
    seasons : int, optional
        How many are joined or generated.
    forecast : Path, optional
        Days of a forecast to put in front; a weather file or an answer of an open service.
    warmer, rain_times : sequence of float
        One number or twelve; empty for none. [°C], [1]
    elevation : float, optional
        [m]
    seed : int

    Raises
    ------
    InputFault
        With what is wrong.
    """
    faults = []
    if way not in list(SeasonsFrom):
        faults.append(Fault("--way", f"'{way[:30]}'", " | ".join(SeasonsFrom), "Choose one of these."))
    if seasons is not None and not 3 <= seasons <= MOST_SEASONS:
        faults.append(Fault("--seasons", str(seasons), f"3 to {MOST_SEASONS}", "Choose within these."))
    moved = _by_month(warmer, "--warmer", -10.0, 10.0, faults)
    times = _by_month(rain_times, "--rain-times", 0.0, 5.0, faults)
    if faults:
        raise InputFault(faults)
    record = read_daily_weather(path, latitude)
    generator = np.random.default_rng(np.random.SeedSequence([seed, 77]))
    chosen = SeasonsFrom(way)
    found = possible_seasons(
        record, first_day, last_day, latitude, generator, way=chosen, elevation=elevation, seasons=seasons
    )
    joined = chosen is SeasonsFrom.YEARS and found.labels[0].startswith("joined")
    weaknesses = [*SEASONS_WEAKNESSES[SeasonsFrom.BLOCKS if joined else chosen]]
    if moved or times:
        found = moved_climate(found, moved or (0.0,) * 12, times or (1.0,) * 12, latitude)
        weaknesses.append(SHIFT_WEAKNESS)
    if forecast is not None:
        found = with_forecast(found, read_daily_weather(forecast, latitude), latitude)
        weaknesses.append(FORECAST_WEAKNESS)
    name = {
        SeasonsFrom.YEARS: "joined from blocks: too few whole years" if joined else "past years",
        SeasonsFrom.BLOCKS: "joined from two-week blocks",
        SeasonsFrom.GENERATED: "generated",
    }[chosen]
    return PossibleSeasons(
        path.name,
        found.source,
        str(found.evidence),
        first_day,
        last_day,
        past_figures(record, first_day, last_day, latitude, elevation),
        season_figures(found, name),
        tuple(weaknesses),
    )


def _by_month(
    values: Sequence[float], option: str, lowest: float, highest: float, faults: list[Fault]
) -> tuple[float, ...]:
    """Return twelve numbers; none where none were told."""
    if len(values) not in (0, 1, 12):
        faults.append(Fault(option, f"{len(values)} numbers", "one, or twelve", "Give one number, or twelve."))
    for value in values:
        if not lowest <= value <= highest:
            faults.append(Fault(option, f"{value:g}", f"{lowest:g} to {highest:g}", "Correct it."))
    return tuple(values) * 12 if len(values) == 1 else tuple(values)
