"""One quantity through the season: stripes for 8 years in 10, the middle line, numbers at the axis, a sentence each."""

# ruff: noqa: E501 - strings of SVG and HTML are kept whole, they read worse when broken

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from html import escape
from math import ceil, floor, isfinite, log10
from zlib import crc32

import numpy as np

from mullbed.domain.forecast import Band, BedForecast
from mullbed.domain.garden import UnitSystem
from mullbed.reports import pigments
from mullbed.reports.amounts import is_us, per_area_factor, per_area_unit
from mullbed.reports.season_axis import Axis, months_axis
from mullbed.reports.words import day_words, evenly, number
from mullbed.units import from_canonical

Turn = Callable[[float], float]
_STEP = 2


def shown_series(units: UnitSystem) -> dict[str, tuple[str, str, Turn]]:
    """Return the series of a forecast that are drawn: name, unit and how a number is turned into it."""
    us = is_us(units)
    rate, factor = per_area_unit(units), per_area_factor(units)

    def degrees(value: float) -> float:
        return from_canonical(value, "degF") if us else value

    def amount(value: float) -> float:
        return value * factor

    def height(value: float) -> float:
        return from_canonical(value, "in" if us else "cm")

    degree = "°F" if us else "°C"
    return {
        "thickness": ("Height of the cover", "in" if us else "cm", height),
        "moisture": ("Water in the cover", "% of its mass", lambda value: value * 100),
        "layer_temperature": ("Warmth of the cover", degree, degrees),
        "soil_temperature": ("Warmth of the soil at 2 in" if us else "Warmth of the soil at 5 cm", degree, degrees),
        "mineral_nitrogen": (f"Ready nitrogen in the soil, to {'10 in' if us else '25 cm'}", rate, amount),
        "net_nitrogen": ("Nitrogen the layers have given", rate, amount),
        "ammonia_lost": ("Nitrogen lost to the air", rate, amount),
        "leached": ("Nitrogen washed down", rate, amount),
    }


def band_chart(
    forecast: BedForecast, name: str, units: UnitSystem, *, title: str, sentence: str, width: float = 540.0
) -> str:
    """Return one series as SVG, 160 px high above its months."""
    _, _, turn = shown_series(units)[name]
    band = forecast.series[name]
    values = [np.array([turn(float(value)) for value in one]) for one in (band.p10, band.p50, band.p90)]
    left, high, size = 52.0, 160.0, 17.0
    ticks = axis_numbers(values)
    low, top = ticks[0], ticks[-1]
    axis = Axis(forecast.first_day, band.p50.size, width - left)

    def place(day: int, value: float) -> str:
        return f"{left + axis.x(day):.1f} {8 + high - (value - low) / (top - low) * high:.1f}"

    def line(one: int) -> list[str]:
        return [
            place(day, float(values[one][day]))
            for day in range(0, band.p50.size, _STEP)
            if isfinite(float(values[one][day]))
        ]

    shape = "M" + "L".join(line(0) + line(2)[::-1]) + "Z" if line(0) else ""
    middle = "M" + "L".join(line(1)) if line(1) else ""
    texts = evenly([top, *ticks])[1:]
    rules = "".join(
        f'<path d="M{left:.0f} {8 + high - (tick - low) / (top - low) * high:.1f}H{width:.0f}" stroke="{pigments.SLATE}" '
        f'stroke-width="{2.4 if tick == 0 else 0.8}"/><text x="{left - 7:.0f}" '
        f'y="{14 + high - (tick - low) / (top - low) * high:.1f}" text-anchor="end" font-size="{size:.0f}">{text}</text>'
        for tick, text in zip(ticks, texts, strict=True)
    )
    key = f"k{crc32(f'{title} {width}'.encode()):08x}"
    height = high + 42
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" class="chart" role="img" '
        f'aria-labelledby="{key}t {key}d"><title id="{key}t">{escape(title)}</title><desc id="{key}d">{escape(sentence)}</desc>'
        f'<g font-family="{pigments.NARROW}" fill="{pigments.INK}">{rules}</g>'
        f'<path d="{shape}" fill="{pigments.VERTE_TINT}" opacity=".75"/><path d="{shape}" fill="url(#stripes)"/>'
        f'<path d="{middle}" fill="none" stroke="{pigments.KAOLIN}" stroke-width="8" stroke-linejoin="round"/>'
        f'<path d="{middle}" fill="none" stroke="{pigments.VERTE}" stroke-width="4" stroke-linejoin="round"/>'
        f'<g transform="translate({left:.0f} 0)">{months_axis(axis, high + 34, size, narrow=width < 700)}</g></svg>'
    )


def band_sentence(forecast: BedForecast, name: str, units: UnitSystem) -> str:
    """Return a series in a sentence: where its middle is highest and what it ends at; or that nothing lies there."""
    words, unit, turn = shown_series(units)[name]
    middle = np.asarray(forecast.series[name].p50, dtype=float)
    if not np.isfinite(middle).any():
        return f"{words}: nothing lies here."
    at = int(np.nanargmax(middle))
    peak = number(turn(float(middle[at])))
    last = next(day for day in range(middle.size - 1, -1, -1) if isfinite(float(middle[day])))
    ends = [turn(float(one[last])) for one in _parts(forecast.series[name])]
    texts = evenly((ends[1], ends[0], ends[2]))
    if at == last:
        return f"{words}, {unit}: {texts[0]} ({texts[1]} to {texts[2]}) by {day_words(forecast.first_day + timedelta(days=last))}."
    return (
        f"{words}, {unit}: at its most {peak} about {day_words(forecast.first_day + timedelta(days=at))}, "
        f"{texts[0]} ({texts[1]} to {texts[2]}) on {day_words(forecast.first_day + timedelta(days=last))}."
    )


def _parts(band: Band) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    return band.p10, band.p50, band.p90


def axis_numbers(values: list[np.ndarray]) -> list[float]:
    """Return three to six round numbers that hold all values; zero is among them unless all lie far above it."""
    finite = np.concatenate([one[np.isfinite(one)] for one in values])
    if finite.size == 0:
        return [0.0, 1.0]
    low, high = float(finite.min()), float(finite.max())
    if low > 0 and low < 0.6 * high:
        low = 0.0
    high = max(high, 0.0) if high < 0 else high
    reach = max(high - low, 1e-6, abs(high) * 1e-3)
    rough = reach / 4
    power = 10.0 ** floor(log10(rough))
    step = next(one * power for one in (1.0, 2.0, 5.0, 10.0) if one * power >= rough)
    first, last = floor(low / step + 1e-9), max(ceil(high / step - 1e-9), floor(low / step + 1e-9) + 1)
    return [round(index * step, 12) for index in range(first, last + 1)]
