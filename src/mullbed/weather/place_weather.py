"""The possible seasons of a place: from its daily file where there is one, else from its monthly means."""

from __future__ import annotations

from datetime import date

import numpy as np

from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.garden import Site
from mullbed.errors import Fault, InputFault
from mullbed.weather.daily_file import parse_daily_weather, read_daily_weather
from mullbed.weather.generator import generated_seasons
from mullbed.weather.possible_seasons import moved_climate, possible_seasons


def place_weather(
    site: Site, first_day: date, last_day: date, seed: int, *, station_text: str | None = None
) -> WeatherYears:
    """Return complete seasons between two days as possible futures.

    Parameters
    ----------
    site : Site
    first_day, last_day : date
    seed : int
        Joins or generates seasons where past years are too few; equal seeds give equal seasons.
    station_text : str, optional
        The content of the daily file, where it is kept elsewhere than at its path.

    Raises
    ------
    InputFault
        When the site has neither a daily file nor monthly means, or its file is at fault.
    """
    source = site.weather
    found = _unmoved(site, first_day, last_day, seed, station_text)
    if source.warmer is None and source.rain_times is None:
        return found
    return moved_climate(found, source.warmer or (0.0,) * 12, source.rain_times or (1.0,) * 12, site.latitude)


def _unmoved(site: Site, first_day: date, last_day: date, seed: int, station_text: str | None) -> WeatherYears:
    """Return the seasons of the climate that was measured."""
    source = site.weather
    generator = np.random.default_rng(np.random.SeedSequence([seed, 77]))
    if source.daily_file is not None:
        if station_text is not None:
            record = parse_daily_weather(station_text, source.daily_file.name, site.latitude)
        else:
            record = read_daily_weather(source.daily_file, site.latitude)
        return possible_seasons(
            record, first_day, last_day, site.latitude, generator, way=source.seasons, elevation=site.elevation
        )
    if source.monthly_low and source.monthly_high and source.monthly_rain:
        return generated_seasons(
            source.monthly_low, source.monthly_high, source.monthly_rain, first_day, last_day, site.latitude, generator
        )
    remedy = "Name a daily file, or give monthly_low, monthly_high and monthly_rain."
    raise InputFault([Fault("site.weather", "nothing given", "a daily file or twelve monthly means", remedy)])
