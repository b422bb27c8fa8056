"""How sure the model is of a place follows from how its weather is known."""

from __future__ import annotations

from mullbed.domain.daily_weather import WeatherKnown
from mullbed.domain.spread import Evidence
from mullbed.reference.place_doubt import ROW_OF_WEATHER, doubt_of_weather, doubts


def test_the_coarser_the_weather_is_known_the_less_sure_is_the_place() -> None:
    daily, monthly, annual = (doubt_of_weather(known) for known in WeatherKnown)
    assert daily.place_log_sd < monthly.place_log_sd < annual.place_log_sd
    assert daily.material_log_sd < monthly.material_log_sd < annual.material_log_sd
    assert daily.noise < monthly.noise < annual.noise


def test_every_way_of_knowing_weather_has_a_row_and_every_row_a_class() -> None:
    assert set(ROW_OF_WEATHER) == set(WeatherKnown)
    assert set(ROW_OF_WEATHER.values()) <= set(doubts())
    for row in doubts().values():
        assert row.evidence in {*Evidence, "judgement"}
        assert row.remark
        assert min(row.place_log_sd, row.material_log_sd) >= 0.0 < row.noise
