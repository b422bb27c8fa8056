"""Many years of weather as possible futures: whole calendar years of a place, drawn and joined end to end."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.garden import Site
from mullbed.domain.spread import Evidence
from mullbed.weather.place_weather import place_weather

#: A leap year, so that every day of any year is found in it.
PATTERN = 2028


def long_weather(
    site: Site, first_day: date, last_day: date, seed: int, *, futures: int = 16, station_text: str | None = None
) -> WeatherYears:
    """Return so many joined futures between two days; each calendar year is one of the place's years.

    Years are drawn evenly, without memory from one to the next and without a trend (judgement).

    Raises
    ------
    InputFault
        When the site has neither a daily file nor monthly means, or its file is at fault.
    """
    year = place_weather(site, date(PATTERN, 1, 1), date(PATTERN, 12, 31), seed, station_text=station_text)
    generator = np.random.default_rng(np.random.SeedSequence([seed, 79]))
    days = (last_day - first_day).days + 1
    calendar = [first_day + timedelta(days=number) for number in range(days)]
    columns = np.array([(date(PATTERN, day.month, day.day) - date(PATTERN, 1, 1)).days for day in calendar])
    which_year = np.array([day.year - first_day.year for day in calendar])
    spans = int(which_year[-1]) + 1
    rows = np.empty((futures, spans), dtype=np.int64)
    for span in range(spans):
        turns = np.tile(np.arange(year.years), -(-futures // year.years))
        rows[:, span] = generator.permutation(turns)[:futures]
    picked = rows[:, which_year]
    return replace(
        year,
        first_day=first_day,
        low=year.low[picked, columns],
        high=year.high[picked, columns],
        rain=year.rain[picked, columns],
        reference_evaporation=year.reference_evaporation[picked, columns],
        radiation=year.radiation[picked, columns],
        labels=tuple(f"years joined, no. {number}" for number in range(1, futures + 1)),
        evidence=year.evidence if year.evidence is Evidence.GUESS else Evidence.WORKED_OUT,
    )
