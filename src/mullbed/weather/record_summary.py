"""What a record says by calendar year: mean temperature, rain, and what the air asks for."""

from __future__ import annotations

from datetime import timedelta

import numpy as np

from mullbed.domain.daily_weather import DailyWeather, Series
from mullbed.domain.weather_record import YearSummary
from mullbed.weather.evaporative_demand import evaporative_demand

MOST_MISSING = 0.1
"""A year with a larger share of its days missing is not summed up. Judgement. [1]"""


def year_summaries(
    weather: DailyWeather, latitude: float | None = None, elevation: float | None = None
) -> tuple[YearSummary, ...]:
    """Return a summary of every calendar year; sums of a year are scaled by nothing, so a gap lowers them."""
    days = [weather.first_day + timedelta(days=day) for day in range(weather.rain.size)]
    year = np.array([day.year for day in days])
    if latitude is None:
        demand = weather.reference_evaporation
    else:
        demand, _ = evaporative_demand(weather, latitude, elevation)
    mean = (weather.low + weather.high) / 2.0
    found = []
    for one in np.unique(year):
        of_year = year == one
        whole = ~(np.isnan(mean[of_year]) | np.isnan(weather.rain[of_year]))
        enough = int(whole.sum()) >= (1.0 - MOST_MISSING) * 365
        found.append(
            YearSummary(
                int(one),
                int(whole.sum()),
                float(np.nanmean(mean[of_year])) if enough else None,
                float(np.nansum(weather.rain[of_year])) if enough else None,
                _sum(demand, of_year) if enough else None,
            )
        )
    return tuple(found)


def _sum(series: Series | None, of_year: np.ndarray) -> float | None:
    if series is None:
        return None
    values = series[of_year]
    known = ~np.isnan(values)
    return float(values[known].sum()) if known.mean() >= 1.0 - MOST_MISSING else None
