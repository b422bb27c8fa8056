"""A forecast comes back from the record as it was kept, but for what lies between the days that are kept."""

from __future__ import annotations

import json
from datetime import date, timedelta

import numpy as np
import pytest

from mullbed.domain.forecast import Band
from mullbed.domain.honesty import KeptForecast
from mullbed.errors import InputFault
from mullbed.files.kept_forecast import EVERY, forecast_content, read_forecast

FIRST = date(2026, 4, 1)


def forecast(days: int = 61, made_after: int = 0) -> KeptForecast:
    ramp = np.linspace(0.0, 6.0, days)
    bands = {"moisture": Band(ramp * 0.05, ramp * 0.08, ramp * 0.1), "net_nitrogen": Band(ramp, ramp, ramp)}
    return KeptForecast("Low bed", FIRST + timedelta(days=made_after), FIRST, bands, 1.5)


def test_bands_come_back_on_every_day() -> None:
    back = read_forecast(forecast_content(forecast()))
    assert (back.bed, back.made_on, back.first_day, back.widening) == ("Low bed", FIRST, FIRST, 1.5)
    for day in range(0, 61, 7):
        told = forecast().at("moisture", FIRST + timedelta(days=day))
        assert back.at("moisture", FIRST + timedelta(days=day)) == pytest.approx(told, abs=2e-3)


def test_only_what_can_be_read_later_is_kept_and_only_from_the_day_it_was_made() -> None:
    content = forecast_content(forecast(made_after=30))
    back = read_forecast(content)
    assert set(back.series) == {"moisture"}
    assert back.first_day == FIRST + timedelta(days=30)
    assert back.at("moisture", FIRST + timedelta(days=29)) is None
    assert len(json.loads(content)["series"]["moisture"]["p50"]) == 31 // EVERY + 1


def test_days_on_which_nothing_lies_stay_without_a_band() -> None:
    empty = np.full(31, np.nan)
    kept = KeptForecast("Low bed", FIRST, FIRST, {"moisture": Band(empty, empty, empty)})
    assert read_forecast(forecast_content(kept)).at("moisture", FIRST) is None


@pytest.mark.parametrize("content", ["{}", "[]", '{"bed": "a", "series": 3}', '{"every_days": "x"}'])
def test_what_is_no_forecast_is_refused(content: str) -> None:
    with pytest.raises(InputFault):
        read_forecast(content)
