"""Readings against forecasts as dots: the band of 8 in 10 is a stripe, each reading stands where it came."""

# ruff: noqa: E501 - strings of SVG are kept whole, they read worse when broken

from __future__ import annotations

from datetime import timedelta
from html import escape
from statistics import NormalDist
from zlib import crc32

from mullbed.domain.honesty import Came, ForecastCheck
from mullbed.reports import pigments
from mullbed.reports.season_axis import Axis, months_axis
from mullbed.reports.words import day_words

LEFT, HIGH, TOP = 118.0, 170.0, 10.0
#: Standard deviations the picture reaches from the middle; dots beyond stand at its edge.
REACH = 3.2
NINETIETH = 1.2815515655446004


def honest_chart(check: ForecastCheck, *, title: str, sentence: str, width: float = 640.0) -> str:
    """Return readings by day, each by how far it lay from the middle of its forecast; dots in the stripe were held.

    Filled dots lie in the band, open ones outside; nothing is told by colour alone.
    """
    if not check.came:
        return ""
    first = min(one.observation.day for one in check.came) - timedelta(days=3)
    last = max(one.observation.day for one in check.came) + timedelta(days=3)
    axis = Axis(first, max(28, (last - first).days + 1), width - LEFT - 12)
    top, bottom = _y(NINETIETH), _y(-NINETIETH)
    words = ((REACH - 0.5, "more came"), (0.0, "as forecast"), (0.5 - REACH, "less came"))
    labels = "".join(
        f'<text x="{LEFT - 10:.0f}" y="{_y(at) + 5:.1f}" text-anchor="end" font-size="17">{text}</text>'
        for at, text in words
    )
    dots = "".join(_dot(one, LEFT + axis.at(one.observation.day)) for one in check.came)
    key = f"k{crc32(f'{title} {width} honest'.encode()):08x}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {TOP + HIGH + 34:.0f}" class="chart" role="img" '
        f'aria-labelledby="{key}t {key}d"><title id="{key}t">{escape(title)}</title><desc id="{key}d">{escape(sentence)}</desc>'
        f'<rect x="{LEFT:.0f}" y="{top:.1f}" width="{width - LEFT - 12:.0f}" height="{bottom - top:.1f}" fill="{pigments.VERTE_TINT}" opacity=".75"/>'
        f'<path d="M{LEFT:.0f} {_y(0.0):.1f}H{width - 12:.0f}" stroke="{pigments.SLATE}" stroke-width="2"/>'
        f'<g font-family="{pigments.NARROW}" fill="{pigments.INK}">{labels}</g>{dots}'
        f'<g transform="translate({LEFT:.0f} 0)">{months_axis(axis, TOP + HIGH + 24, 17.0, narrow=width < 700)}</g></svg>'
    )


def _y(deviates: float) -> float:
    return TOP + HIGH * 0.5 * (1.0 - deviates / REACH)


def deviate(one: Came) -> float:
    """Return how far a reading lay from the middle of its forecast, in standard deviations within the picture."""
    found = NormalDist().inv_cdf(min(1.0 - 1e-6, max(1e-6, one.place)))
    return min(REACH, max(-REACH, found))


def _dot(one: Came, x: float) -> str:
    fill = pigments.VERTE if one.inside else pigments.KAOLIN
    told = escape(f"{one.observation.bed}, {day_words(one.observation.day)}, {one.observation.what}")
    return (
        f'<circle cx="{x:.1f}" cy="{_y(deviate(one)):.1f}" r="6" fill="{fill}" stroke="{pigments.INK}" stroke-width="2">'
        f"<title>{told}</title></circle>"
    )
