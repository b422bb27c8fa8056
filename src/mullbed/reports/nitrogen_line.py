"""Nitrogen below the soil line: given to the roots goes down, taken goes up into the cover, as in the ground."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.forecast import Band, BedForecast
from mullbed.domain.garden import UnitSystem
from mullbed.language import marked, say
from mullbed.reports import pigments
from mullbed.reports.amounts import per_area_factor
from mullbed.reports.season_axis import Axis

Series = NDArray[np.float64]

_STEP = 2
"""Days between drawn points."""
_WORDS = (
    marked("below the line: given to the roots"),
    marked("stripes: where 8 years in 10 fall"),
    marked("dots: what the crop wants"),
)


@dataclass(frozen=True, slots=True)
class BelowLine:
    """What is drawn below the soil line, in the grower's unit, down is given."""

    band: Band
    want: Series
    weekly: bool

    def reach(self) -> tuple[float, float]:
        """Return the highest taken (negative) and the most given."""
        values = np.concatenate([self.band.p10, self.band.p90, self.want])
        finite = values[np.isfinite(values)]
        if finite.size == 0 or float(np.abs(finite).max()) == 0.0:
            return 0.0, 1.0
        return float(min(0.0, finite.min())), float(max(0.05 * np.abs(finite).max(), finite.max()))

    def drawn(self, axis: Axis, ground: float, factor: float) -> str:
        """Return stripes for 8 years in 10, the middle line with a pale casing, and dots for what the crop wants."""
        band = _closed(
            _points(self.band.p10, axis, ground, factor) + _points(self.band.p90, axis, ground, factor)[::-1]
        )
        line = _open(_points(self.band.p50, axis, ground, factor))
        want = _open(
            _points(
                np.where(self.want > 0.02 * float(np.nanmax(self.want, initial=0.0)), self.want, np.nan),
                axis,
                ground,
                factor,
            )
        )
        dots = 'fill="none" stroke-linecap="round" stroke-dasharray="0 9"'
        return (
            f'<path d="{band}" fill="{pigments.VERTE_TINT}" opacity=".75"/><path d="{band}" fill="url(#stripes)"/>'
            f'<path d="{line}" fill="none" stroke="{pigments.KAOLIN}" stroke-width="9" stroke-linejoin="round"/>'
            f'<path d="{line}" fill="none" stroke="{pigments.VERTE}" stroke-width="4.5" stroke-linejoin="round"/>'
            f'<path d="{want}" {dots} stroke="{pigments.KAOLIN}" stroke-width="7.5"/>'
            f'<path d="{want}" {dots} stroke="{pigments.INK}" stroke-width="5"/>'
        )

    def words(self, axis: Axis, ground: float, floor: float, factor: float, size: float) -> str:
        """Return the words at the lines where there is room at the left; else none, and the text below tells."""
        lines = [say(line) for line in _WORDS]
        wide = max(len(line) for line in lines) * size * 0.45
        until = min(self.want.size, int(wide / axis.width * axis.days) + 1)
        reach = np.concatenate([self.band.p90[:until], self.want[:until]]) * factor
        deepest = float(np.nanmax(reach)) if reach.size and bool(np.isfinite(reach).any()) else 0.0
        top = ground + max(0.0, deepest) + size + 8
        if wide > axis.width or top + 2 * (size + 5) > floor - 4:
            return ""
        told = "".join(
            f'<text x="8" y="{top + index * (size + 5):.1f}" font-size="{size:.0f}" fill="{colour}">{line}</text>'
            for index, (line, colour) in enumerate(
                zip(lines, (pigments.INK, pigments.VERTE, pigments.INK), strict=True)
            )
        )
        return f'<g font-family="{pigments.NARROW}">{told}</g>'


def stripes_pattern() -> str:
    """Return the stripes of the 10-90 band as an SVG pattern, defined once a page."""
    return (
        '<pattern id="stripes" width="6" height="6" patternUnits="userSpaceOnUse">'
        f'<path d="M3 0V6" stroke="{pigments.VERTE}" stroke-width="1.5"/></pattern>'
    )


def below_line(forecast: BedForecast, units: UnitSystem) -> BelowLine:
    """Return nitrogen by week where the forecast holds it, else added up since the first day.

    By week: what soil and layers give together, beside what the crop wants. Added up: what the layers give, beside
    what the crop wants beyond the soil's middle.
    """
    factor = per_area_factor(units)
    weekly = forecast.series.get("weekly_nitrogen")
    want = np.asarray(forecast.crop_want, dtype=float)
    if weekly is not None:
        blocks = np.repeat([want[start : start + 7].mean() * 7 for start in range(0, want.size, 7)], 7)[: want.size]
        return BelowLine(_scaled(weekly, factor), blocks * factor, True)
    soil = forecast.series.get("soil_nitrogen")
    beyond = np.cumsum(want) - (np.asarray(soil.p50, dtype=float) if soil is not None else 0.0)
    return BelowLine(_scaled(forecast.series["net_nitrogen"], factor), np.maximum(0.0, beyond) * factor, False)


def _scaled(band: Band, factor: float) -> Band:
    return Band(*(np.asarray(values, dtype=float) * factor for values in (band.p10, band.p50, band.p90)))


def _points(values: Series, axis: Axis, ground: float, factor: float) -> list[tuple[float, float]]:
    return [
        (axis.x(day), ground + float(values[day]) * factor)
        for day in range(0, values.size, _STEP)
        if isfinite(float(values[day]))
    ]


def _open(points: list[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points) if points else ""


def _closed(points: list[tuple[float, float]]) -> str:
    return _open(points) + "Z" if points else ""
