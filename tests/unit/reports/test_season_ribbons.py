"""Ribbons and charts through time."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from datetime import date
from xml.etree import ElementTree

import numpy as np
import pytest
from season_sample import FIRST, PLAN

from mullbed.domain.forecast import Band
from mullbed.domain.garden import UnitSystem
from mullbed.reports.nitrogen_line import below_line
from mullbed.reports.season_axis import Axis, months_axis
from mullbed.reports.season_ribbons import Ribbon, bed_chart, ribbon_svg, ribbon_words

METRIC, US = UnitSystem.METRIC, UnitSystem.US
WALL = PLAN.forecasts["Wall"]


def test_a_ribbon_names_itself_and_its_layers() -> None:
    root = ElementTree.fromstring(ribbon_svg(WALL, FIRST, "Wall bed", Ribbon()))
    told = [node.text for node in root if node.tag.endswith(("title", "desc"))]
    assert told[0] == "Wall bed"
    assert told[1] is not None and "24 Apr" in told[1] and "6 June" in told[1]


def test_planned_lifts_are_dashed_and_laid_ones_are_not() -> None:
    dashed = ribbon_svg(WALL, FIRST, "Wall", Ribbon()).count("stroke-dasharray")
    assert dashed == 4  # two planned layers of two lifts; the old layer is solid
    assert ribbon_svg(WALL, date(2028, 1, 1), "Wall", Ribbon()).count("stroke-dasharray") == 0


def test_a_bed_without_cover_says_so() -> None:
    assert ribbon_words(PLAN.forecasts["Well"]) == "No cover all season."


def test_height_follows_thickness() -> None:
    svg = ribbon_svg(WALL, FIRST, "Wall", Ribbon(scale=3.7))
    ground = float(re.findall(r'<path d="M0 ([\d.]+)H', svg)[0])
    ys = [float(y) for d in re.findall(r'<path d="(M[^"]+Z)" fill="url', svg) for y in re.findall(r" ([\d.]+)", d)]
    total = np.nansum(np.array([lift.thickness for lift in WALL.lifts]), axis=0)
    sampled = [total[day] for day in range(total.size)]
    assert ground - min(ys) == pytest.approx(max(sampled) * 100 * 3.7, rel=0.03)


def test_given_goes_down_and_taken_goes_up() -> None:
    line = below_line(WALL, METRIC)
    axis = Axis(FIRST, line.band.p50.size, 900)
    drawn = line.drawn(axis, ground=100.0, factor=10.0)
    middle = re.findall(r'<path d="(M[^"]+)" fill="none" stroke="#2F4A1C"', drawn)[0]
    ys = [float(point.split(" ")[1]) for point in middle[1:].split("L")]
    values = line.band.p50[::2]
    assert ys[int(np.argmin(values))] < 100.0 < ys[int(np.argmax(values))]


def test_weekly_nitrogen_is_drawn_where_the_forecast_holds_it() -> None:
    days = WALL.series["net_nitrogen"].p50.size
    flow = Band(np.full(days, 0.2), np.full(days, 0.4), np.full(days, 0.9))
    weekly = below_line(replace(WALL, series={**WALL.series, "weekly_nitrogen": flow}), METRIC)
    assert weekly.weekly and not below_line(WALL, METRIC).weekly
    assert weekly.want.max() == pytest.approx(7 * WALL.crop_want.max())
    assert below_line(WALL, US).band.p50[-1] == pytest.approx(0.20482 * WALL.series["net_nitrogen"].p50[-1], rel=1e-3)


@pytest.mark.parametrize("width", [350.0, 1140.0])
def test_a_chart_has_words_and_stays_in_its_frame(width: float) -> None:
    svg = bed_chart(WALL, FIRST, "Wall bed", "It gives.", METRIC, width=width)
    root = ElementTree.fromstring(svg)
    assert [node.text for node in root][:2] == ["Wall bed", "It gives."]
    high = float(root.get("viewBox", "").split(" ")[3])
    ys = [float(y) for y in re.findall(r'<text [^>]*y="([\d.]+)"', svg)]
    assert ys and max(ys) < high and min(ys) >= 16
    assert not re.search(r"nan|inf", svg)


def test_months_never_run_into_each_other() -> None:
    for width in (350.0, 760.0):
        svg = months_axis(Axis(FIRST, 239, width), 20, narrow=width < 500)
        spans = [(float(x), len(name)) for x, name in re.findall(r'<text x="([\d.]+)"[^>]*>(\w+)<', svg)]
        assert len(spans) == 8
        for (x, letters), (following, _) in itertools.pairwise(spans):
            assert x + letters * 17 * 0.45 <= following
