"""The axis of days that every season picture shares, with its month names."""

# ruff: noqa: E501 - strings of SVG and HTML are kept whole, they read worse when broken

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from mullbed.reports import pigments
from mullbed.reports.words import capital, month_name


@dataclass(frozen=True, slots=True)
class Axis:
    """Days to pixels."""

    first: date
    days: int
    width: float

    def x(self, day: float) -> float:
        """Return the place of a day counted from the first."""
        return day / max(1, self.days - 1) * self.width

    def at(self, day: date) -> float:
        """Return the place of a date."""
        return self.x((day - self.first).days)


def months_axis(axis: Axis, y: float, size: float = 17.0, *, narrow: bool = False) -> str:
    """Return month names with a tick at each first; short names where there is little room."""
    marks = []
    month = date(axis.first.year, axis.first.month, 1)
    last = axis.first + timedelta(days=axis.days - 1)
    taken = -99.0
    while month <= last:
        x = max(0.0, axis.at(month))
        name = capital(month_name(month.month))
        following = date(month.year + month.month // 12, month.month % 12 + 1, 1)
        room = min(axis.width, axis.at(following)) - x - 9
        needed = size * 0.45 * len(name)
        if narrow or needed > room:
            name = capital(month_name(month.month, short=True))
            needed = size * 0.45 * len(name)
        if needed <= room and x >= taken:
            marks.append(
                f'<path d="M{x + 0.8:.1f} {y - size * 0.85:.1f}v{size * 1.1:.1f}" stroke="{pigments.INK}" stroke-width="1.6"/>'
                f'<text x="{x + 5:.1f}" y="{y:.1f}" font-size="{size:.0f}" font-weight="700">{name}</text>'
            )
            taken = x + needed
        month = following
    return f'<g font-family="{pigments.NARROW}" fill="{pigments.INK}">{"".join(marks)}</g>'
