"""A set of open data in six pictures: seen and predicted, by group, by time ahead, bands, and what drives the error."""

# ruff: noqa: E501 - strings of SVG are kept whole, they read worse when broken

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from math import ceil, floor, log10

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.validation import SetResult
from mullbed.reports import pigments
from mullbed.reports.validation_words import figure

Array = NDArray[np.float64]

WIDTH, HIGH, SIZE = 380.0, 250.0, 15.0
LEFT, TOP, BELOW = 58.0, 34.0, 50.0
_CELLS = 44
_FEW = 400
_BINS = 6
_NOMINAL = (0.5, 0.6, 0.7, 0.8, 0.9, 0.95)
_MOST_GROUPS = 16
_NAMES = 146.0


class _Panel:
    """One picture: its axes, and the marks put on it."""

    def __init__(self, title: str, across: str, xs: Sequence[float], ys: Sequence[float]) -> None:
        self.title, self.across = title, across
        self.x_ticks = _ticks(xs)
        self.y_ticks = _ticks(ys)
        self.marks: list[str] = []

    def x(self, value: float) -> float:
        """Return where a value stands across."""
        low, high = self.x_ticks[0], self.x_ticks[-1]
        return LEFT + (value - low) / (high - low) * (WIDTH - LEFT - 12)

    def y(self, value: float) -> float:
        """Return where a value stands upright."""
        low, high = self.y_ticks[0], self.y_ticks[-1]
        return TOP + HIGH - (value - low) / (high - low) * HIGH

    def path(self, points: Sequence[tuple[float, float]], colour: str, width: float, dash: str = "") -> None:
        """Draw a line through points."""
        line = "L".join(f"{self.x(x):.1f} {self.y(y):.1f}" for x, y in points)
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self.marks.append(f'<path d="M{line}" fill="none" stroke="{colour}" stroke-width="{width}"{dashed}/>')

    def dots(
        self, points: Sequence[tuple[float, float]], colour: str, radius: float = 3.2, opacity: float = 1.0
    ) -> None:
        """Draw points."""
        self.marks += [
            f'<circle cx="{self.x(x):.1f}" cy="{self.y(y):.1f}" r="{radius}" fill="{colour}" fill-opacity="{opacity}"/>'
            for x, y in points
        ]

    def drawn(self, right: float, down: float) -> str:
        """Return the picture at its place."""
        parts = [f'<text x="0" y="18" font-size="{SIZE + 2}" font-weight="700">{escape(self.title)}</text>']
        for tick in self.y_ticks:
            parts.append(
                f'<path d="M{LEFT:.0f} {self.y(tick):.1f}H{WIDTH - 12:.0f}" stroke="{pigments.SLATE}" stroke-width="{2.0 if tick == 0 else 0.6}"/>'
                f'<text x="{LEFT - 6:.0f}" y="{self.y(tick) + 5:.1f}" text-anchor="end" font-size="{SIZE}">{_tick(tick)}</text>'
            )
        every = 1 if len(self.x_ticks) <= 6 else 2
        parts += [
            f'<text x="{self.x(tick):.1f}" y="{TOP + HIGH + 19:.0f}" text-anchor="middle" font-size="{SIZE}">{_tick(tick)}</text>'
            for tick in self.x_ticks[::every]
        ]
        parts.append(f'<text x="{LEFT}" y="{TOP + HIGH + 40:.0f}" font-size="{SIZE}">{escape(self.across)}</text>')
        return f'<g transform="translate({right:.0f} {down:.0f})">{"".join(parts)}{"".join(self.marks)}</g>'


def set_chart(one: SetResult) -> str:
    """Return all pictures of a set as one SVG, its sentence and title within."""
    panels: list[_Panel | _Rows | None] = [_seen_predicted(one), _by_group(one), _by_time(one)]
    panels.append(_bands(one))
    panels += [_by_driver(one, name) for name in one.comparison.drivers]
    found = [panel for panel in panels if panel is not None]
    rows = (len(found) + 1) // 2
    step = HIGH + TOP + BELOW + 18
    inner = "".join(
        panel.drawn(20 + (place % 2) * (WIDTH + 26), 16 + (place // 2) * step) for place, panel in enumerate(found)
    )
    title = f"{one.comparison.title}: seen and predicted, by {one.comparison.grouped_by}, by time, bands, drivers"
    told = f"Root mean square of the error {figure(one.score.rmse)}, bias {figure(one.score.bias, sign=True)} over {one.score.n} values."
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {2 * WIDTH + 60:.0f} {16 + rows * step:.0f}" role="img" '
        f'aria-labelledby="t d"><title id="t">{escape(title)}</title><desc id="d">{escape(told)}</desc>'
        f'<rect width="100%" height="100%" fill="{pigments.KAOLIN}"/>'
        f'<g font-family="{pigments.NARROW}" fill="{pigments.INK}">{inner}</g></svg>\n'
    )


def _seen_predicted(one: SetResult) -> _Panel:
    seen, predicted = one.comparison.seen, one.comparison.predicted
    whole = np.concatenate([seen, predicted])
    panel = _Panel(f"Predicted against seen, {one.comparison.unit}", "seen", whole.tolist(), whole.tolist())
    if seen.size <= _FEW:
        panel.dots(list(zip(seen.tolist(), predicted.tolist(), strict=True)), pigments.VERTE, 3.0, 0.55)
    else:
        low, high = panel.x_ticks[0], panel.x_ticks[-1]
        counts, edges, _ = np.histogram2d(seen, predicted, bins=_CELLS, range=[[low, high], [low, high]])
        wide = (panel.x(edges[1]) - panel.x(edges[0])) * 0.96
        tall = (panel.y(edges[0]) - panel.y(edges[1])) * 0.96
        for i, j in zip(*np.nonzero(counts), strict=True):
            depth = 0.25 + 0.75 * float(np.sqrt(counts[i, j] / counts.max()))
            panel.marks.append(
                f'<rect x="{panel.x(edges[i]):.1f}" y="{panel.y(edges[j + 1]):.1f}" width="{wide:.1f}" height="{tall:.1f}" fill="{pigments.VERTE}" fill-opacity="{depth:.2f}"/>'
            )
    panel.path([(panel.x_ticks[0], panel.y_ticks[0]), (panel.x_ticks[-1], panel.y_ticks[-1])], pigments.INK, 1.6)
    return panel


class _Rows:
    """Groups one below the other: a bar for the error, a dot for the bias, on one axis across."""

    across = ""

    def __init__(self, title: str, rows: Sequence[tuple[str, float, float]]) -> None:
        self.title, self.rows = title, rows
        self.ticks = _ticks([0.0, *(error for _, error, _ in rows), *(bias for _, _, bias in rows)])

    def x(self, value: float) -> float:
        """Return where a value stands across."""
        low, high = self.ticks[0], self.ticks[-1]
        return _NAMES + (value - low) / (high - low) * (WIDTH - _NAMES - 14)

    def drawn(self, right: float, down: float) -> str:
        """Return the picture at its place."""
        parts = [f'<text x="0" y="18" font-size="{SIZE + 2}" font-weight="700">{escape(self.title)}</text>']
        step = HIGH / max(len(self.rows), 6)
        for number, (name, error, bias) in enumerate(self.rows):
            top, middle = TOP + number * step, TOP + (number + 0.5) * step
            parts.append(
                f'<text x="{_NAMES - 8}" y="{middle + 4.5:.1f}" text-anchor="end" font-size="{min(SIZE, step):.0f}">{escape(name)}</text>'
                f'<rect x="{self.x(0.0):.1f}" y="{top + 0.16 * step:.1f}" width="{self.x(error) - self.x(0.0):.1f}" height="{0.68 * step:.1f}" fill="{pigments.OCHRE}" stroke="{pigments.OCHRE_INK}"/>'
                f'<circle cx="{self.x(bias):.1f}" cy="{middle:.1f}" r="4" fill="{pigments.SINOPIA}"/>'
            )
        foot = TOP + HIGH
        for number, tick in enumerate(self.ticks):
            parts.append(
                f'<path d="M{self.x(tick):.1f} {TOP:.0f}V{foot:.0f}" stroke="{pigments.SLATE}" stroke-width="{2.0 if tick == 0 else 0.6}"/>'
            )
            if number % (1 if len(self.ticks) < 6 else 2) == 0:
                parts.append(
                    f'<text x="{self.x(tick):.1f}" y="{foot + 19:.0f}" text-anchor="middle" font-size="{SIZE}">{_tick(tick)}</text>'
                )
        return f'<g transform="translate({right:.0f} {down:.0f})">{"".join(parts)}</g>'


def _by_group(one: SetResult) -> _Rows | None:
    groups = [group for group in one.groups if group.score.rmse is not None]
    if len(groups) < 2:
        return None
    groups = sorted(groups, key=lambda group: -(group.score.rmse or 0.0))
    shown = groups[:_MOST_GROUPS]
    more = f", worst {_MOST_GROUPS} of {len(groups)}" if len(groups) > _MOST_GROUPS else ""
    rows = [
        (f"{group.group[:17]} ({group.score.n})", group.score.rmse or 0.0, group.score.bias or 0.0) for group in shown
    ]
    return _Rows(f"By {one.comparison.grouped_by}{more}: error (bar), bias (dot)", rows)


def _bins(values: Array) -> list[NDArray[np.int64]]:
    """Return the places of values in up to six bins of about equal number, in rising order."""
    order = np.argsort(values, kind="stable")
    parts = [part for part in np.array_split(order, min(_BINS, max(1, values.size // 8))) if part.size]
    return parts


def _by_time(one: SetResult) -> _Panel | None:
    days = one.comparison.days
    if np.ptp(days) <= 0.0 or days.size < 16:
        return None
    years = bool(days.max() > 1000)
    return _errors(one, days / 365.25 if years else days, "Error by time ahead: ", "years" if years else "days")


def _by_driver(one: SetResult, name: str) -> _Panel | None:
    values = one.comparison.drivers[name]
    if np.ptp(values) <= 0.0 or values.size < 16:
        return None
    return _errors(one, values, "Error by ", name)


def _errors(one: SetResult, values: Array, title: str, across: str) -> _Panel:
    """Return bias (line and dots) and where 8 of 10 errors lie (bars) over bins of a driver."""
    error = one.comparison.error
    bins = _bins(values)
    middles = [float(np.median(values[part])) for part in bins]
    low, high = ([float(np.quantile(error[part], share)) for part in bins] for share in (0.1, 0.9))
    means = [float(error[part].mean()) for part in bins]
    name = title + ("8 of 10, and mean" if title.endswith(": ") else across)
    panel = _Panel(name, across, values.tolist(), [*low, *high, 0.0])
    for x, one_low, one_high in zip(middles, low, high, strict=True):
        panel.path([(x, one_low), (x, one_high)], pigments.OCHRE_INK, 7)
    panel.path(list(zip(middles, means, strict=True)), pigments.SINOPIA, 2.4)
    panel.dots(list(zip(middles, means, strict=True)), pigments.SINOPIA, 4.5)
    return panel


def _bands(one: SetResult) -> _Panel | None:
    seen, members = one.comparison.seen, one.comparison.members
    if members is None:
        return None
    kept = one.comparison.error == 0.0 if one.comparison.counts_bounds else np.zeros(seen.size, dtype=bool)
    points = []
    for share in _NOMINAL:
        low, high = np.quantile(members, [0.5 - share / 2, 0.5 + share / 2], axis=1)
        points.append((100 * share, 100 * float(np.mean(((seen >= low) & (seen <= high)) | kept))))
    panel = _Panel(
        "Values within the bands, %", "what the band says, %", [40.0, 100.0], [40.0, 100.0, *(y for _, y in points)]
    )
    floor = max(panel.x_ticks[0], panel.y_ticks[0])
    panel.path([(floor, floor), (100.0, 100.0)], pigments.INK, 1.6)
    panel.path(points, pigments.VERTE, 2.4)
    panel.dots(points, pigments.VERTE, 4.5)
    return panel


def _ticks(values: Sequence[float]) -> list[float]:
    """Return five to nine round numbers that hold all values closely."""
    low, high = min(values), max(values)
    if 0.0 < low < 0.6 * high:
        low = 0.0
    reach = max(high - low, 1e-6, abs(high) * 1e-3)
    power = 10.0 ** floor(log10(reach / 6.0))
    step = next(one * power for one in (1.0, 2.0, 5.0, 10.0) if one * power >= reach / 6.0)
    first = floor(low / step + 1e-9)
    last = max(ceil(high / step - 1e-9), first + 1)
    return [round(index * step, 12) for index in range(first, last + 1)]


def _tick(value: float) -> str:
    return f"{value:g}".replace("-", "−")
