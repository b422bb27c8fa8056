"""Whole-file signs that columns were swapped or that degrees Fahrenheit were given as Celsius."""

from __future__ import annotations

import numpy as np

from mullbed.domain.daily_weather import Series
from mullbed.errors import Fault

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
