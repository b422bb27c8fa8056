"""Charts of a forecast: round numbers at the axis, a sentence each, missing days left out."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
from season_sample import BALANCE, FIRST, PLAN

from mullbed.domain.forecast import Band
from mullbed.domain.garden import UnitSystem
from mullbed.reports.charts import axis_numbers, band_chart, band_sentence, shown_series
from mullbed.reports.forecast_report import forecast_html

METRIC, US = UnitSystem.METRIC, UnitSystem.US
WALL = PLAN.forecasts["Wall"]


@pytest.mark.parametrize(
    ("low", "high", "numbers"),
    [(0.0, 3.7, [0, 1, 2, 3, 4]), (-2.0, 19.0, [-10, 0, 10, 20]), (18.0, 21.0, [18, 19, 20, 21]), (0.0, 0.0, [0.0])],
)
def test_numbers_at_the_axis_are_round_and_hold_all(low: float, high: float, numbers: list[float]) -> None:
    found = axis_numbers([np.array([low, np.nan, high])])
    assert found[0] <= low and found[-1] >= high
    assert found[: len(numbers)] == pytest.approx(numbers)


@pytest.mark.parametrize("name", shown_series(METRIC))
@pytest.mark.parametrize("units", [METRIC, US])
def test_a_chart_is_told_in_words(name: str, units: UnitSystem) -> None:
    told = band_sentence(WALL, name, units)
    root = ElementTree.fromstring(band_chart(WALL, name, units, title="Wall", sentence=told))
    assert [node.text for node in root][:2] == ["Wall", told]
    assert re.search(r"\d", told) and told.endswith(".")


def test_days_on_which_nothing_lies_are_left_out() -> None:
    holes = np.where(np.arange(WALL.crop_want.size) < 50, np.nan, 0.5)
    broken = replace(WALL, series={**WALL.series, "moisture": Band(holes, holes, holes)})
    svg = band_chart(broken, "moisture", METRIC, title="t", sentence="s")
    assert "nan" not in svg
    empty = replace(WALL, series={**WALL.series, "moisture": Band(holes * np.nan, holes * np.nan, holes * np.nan)})
    assert band_sentence(empty, "moisture", METRIC).endswith("nothing lies here.")
    ElementTree.fromstring(band_chart(empty, "moisture", METRIC, title="t", sentence="s"))


def test_the_page_of_a_forecast_asks_nothing_of_the_network() -> None:
    text = forecast_html(
        PLAN.forecasts, BALANCE, garden="Kestrel Yard", units=METRIC, planned_from=FIRST, made_on=FIRST
    )
    assert not re.search(r'(src|href)="(?!#)', text) and "<script" not in text
    assert text.count("All values as a table") == len(PLAN.forecasts)
    ids = re.findall(r' id="([^"]+)"', text)
    assert len(ids) == len(set(ids))
