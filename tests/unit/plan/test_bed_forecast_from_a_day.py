"""A forecast asked for from a day on is the whole one, begun later: the same numbers with any count of threads."""

from __future__ import annotations

from dataclasses import fields
from datetime import date
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from mullbed.domain.forecast import Band, BedForecast
from mullbed.files.garden_file import read_garden
from mullbed.plan.bed_forecast import after, forecast_of
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues
from mullbed.simulate.bed_case import bed_case
from mullbed.simulate.ensemble import draw_members
from mullbed.weather.place_weather import place_weather


def same(one: BedForecast, other: BedForecast) -> None:
    assert one.first_day == other.first_day and one.series.keys() == other.series.keys()
    for name, band in one.series.items():
        for part in fields(Band):
            np.testing.assert_array_equal(getattr(band, part.name), getattr(other.series[name], part.name), name)
    np.testing.assert_array_equal(one.crop_want, other.crop_want)
    assert len(one.lifts) == len(other.lifts) > 0
    for mine, theirs in zip(one.lifts, other.lifts, strict=True):
        np.testing.assert_array_equal(mine.thickness, theirs.thickness)
        np.testing.assert_array_equal(mine.carbon_gone, theirs.carbon_gone)
        np.testing.assert_array_equal(mine.moisture, theirs.moisture)


@pytest.mark.parametrize("threads", [1, 2])
def test_it_is_the_whole_forecast_begun_later(threads: int) -> None:
    garden = read_garden(Path(str(files("mullbed.files").joinpath("demo/garden.toml"))), needs_supplies=False)
    bed = garden.bed("Garlic Bed")
    assert bed is not None
    weather = place_weather(garden.site, date(2026, 11, 1), date(2027, 7, 1), 1)
    case = bed_case(bed, weather, all_crops(), all_residues())
    layers = [one for one in bed.layers if one.day >= weather.first_day]
    members = draw_members(case, 32, 1)
    whole, _ = forecast_of(case, layers, members, 1, threads=1)
    same(after(whole, 150), forecast_of(case, layers, members, 1, threads=threads, shown_from=150)[0])
    same(whole, forecast_of(case, layers, members, 1, threads=threads, lean=True)[0])
