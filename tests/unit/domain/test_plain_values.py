"""Domain words become plain values and come back the same."""

from __future__ import annotations

import json
from datetime import date, timedelta

import numpy as np
import pytest

from mullbed.domain.forecast import Band
from mullbed.domain.garden import Garden, Site
from mullbed.domain.layer import Layer
from mullbed.domain.plain_values import from_plain, to_plain
from mullbed.errors import InputFault
from mullbed.files.bundled_garden import bundled_garden
from mullbed.files.garden_file import read_garden


def test_a_whole_garden_comes_back_through_json() -> None:
    garden = read_garden(bundled_garden())
    assert from_plain(Garden, json.loads(json.dumps(to_plain(garden), allow_nan=False))) == garden


def test_a_missing_number_of_a_series_stays_missing() -> None:
    band = Band(np.array([1.0, np.nan]), np.array([2.0, np.nan]), np.array([3.0, np.nan]))
    plain = json.loads(json.dumps(to_plain(band), allow_nan=False))
    assert plain["p10"] == [1.0, None]
    again = from_plain(Band, plain)
    assert np.array_equal(again.p50, band.p50, equal_nan=True)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"lifts": 3}, "layer.lifts: 3. Allowed: a list"),
        ({"day": "yesterday"}, "layer.day: yesterday. Allowed: a date"),
        ({"water": "much"}, "layer.water: much. Allowed: a number"),
        ({"water": True}, "layer.water: True. Allowed: a number"),
        ({"colour": "brown"}, "unknown key 'colour'"),
    ],
)
def test_what_does_not_fit_is_told_with_its_place(change: dict[str, object], told: str) -> None:
    plain = to_plain(Layer("Gate Bed", date(2027, 4, 1), (), 2.0))
    with pytest.raises(InputFault) as refused:
        from_plain(Layer, plain | change, "layer")
    assert told in str(refused.value)


def test_what_is_missing_is_told_unless_it_has_a_default() -> None:
    plain = to_plain(read_garden(bundled_garden()).site)
    del plain["longitude"]
    assert from_plain(Site, plain).longitude is None
    del plain["name"]
    with pytest.raises(InputFault, match=r"site\.name: missing"):
        from_plain(Site, plain, "site")


def test_what_has_no_plain_form_is_refused() -> None:
    with pytest.raises(TypeError, match="timedelta has no plain form"):
        to_plain(timedelta(days=1))
