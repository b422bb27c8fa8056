"""Answers of two open data services, written by us in the form their documentation describes, become daily weather."""

from __future__ import annotations

import copy
import json
import math

import pytest

from mullbed.errors import InputFault
from mullbed.weather.daily_file import parse_daily_weather

POWER = {
    "type": "Feature",
    "header": {"title": "invented", "fill_value": -999.0},
    "parameters": {
        "T2M_MIN": {"units": "C"}, "T2M_MAX": {"units": "C"}, "PRECTOTCORR": {"units": "mm/day"},
        "ALLSKY_SFC_SW_DWN": {"units": "kW-hr/m^2/day"}, "RH2M": {"units": "%"}, "WS10M": {"units": "m/s"},
    },
    "properties": {
        "parameter": {
            "T2M_MIN": {"20240301": 1.5, "20240302": -999.0, "20240303": 3.0},
            "T2M_MAX": {"20240301": 9.0, "20240302": 11.0, "20240303": 12.5},
            "PRECTOTCORR": {"20240301": 0.0, "20240302": 4.2, "20240303": 0.1},
            "ALLSKY_SFC_SW_DWN": {"20240301": 2.5, "20240302": 1.0, "20240303": 3.0},
            "RH2M": {"20240301": 80.0, "20240302": 90.0, "20240303": 70.0},
            "WS10M": {"20240301": 3.2, "20240302": 2.0, "20240303": 5.0},
        }
    },
}  # fmt: skip
OPEN_METEO = {
    "latitude": 47.6,
    "daily_units": {
        "time": "iso8601", "temperature_2m_min": "°F", "temperature_2m_max": "°F", "precipitation_sum": "inch",
        "shortwave_radiation_sum": "MJ/m²", "et0_fao_evapotranspiration": "mm", "wind_speed_10m_mean": "km/h",
    },
    "daily": {
        "time": ["2024-03-01", "2024-03-02"],
        "temperature_2m_min": [32.0, 41.0],
        "temperature_2m_max": [50.0, None],
        "precipitation_sum": [0.5, 0.0],
        "shortwave_radiation_sum": [9.0, 12.0],
        "et0_fao_evapotranspiration": [1.2, 1.9],
        "wind_speed_10m_mean": [18.0, 36.0],
    },
}  # fmt: skip


def test_an_answer_of_power_is_read_with_its_units_and_what_is_missing_stays_missing() -> None:
    read = parse_daily_weather(json.dumps(POWER), "power.json")
    assert (str(read.first_day), read.source) == ("2024-03-01", "NASA POWER daily")
    assert [str(day) for day in read.missing_days] == ["2024-03-02"]
    assert read.low[0] == 1.5 and math.isnan(read.low[1])
    assert read.radiation is not None and read.radiation[0] == pytest.approx(2.5 * 3.6)  # kWh to MJ
    assert read.wind is not None and read.wind[0] == pytest.approx(2.4, abs=0.05)  # published: allen1998, example 14


def test_an_answer_of_open_meteo_is_turned_into_our_units() -> None:
    read = parse_daily_weather(json.dumps(OPEN_METEO), "answer.json")
    assert list(read.low) == pytest.approx([0.0, 5.0])
    assert read.high[0] == pytest.approx(10.0) and math.isnan(read.high[1])
    assert read.rain[0] == pytest.approx(12.7)
    assert read.reference_evaporation is not None and list(read.reference_evaporation) == [1.2, 1.9]
    assert read.wind is not None and read.wind[0] == pytest.approx(5.0 * 0.748, rel=0.01)  # allen1998 table 2.9 [M]


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda answer: answer["daily_units"].pop("precipitation_sum"), "no unit"),
        (lambda answer: answer["daily_units"].update(precipitation_sum="furlong"), "unit 'furlong'"),
        (lambda answer: answer["daily"].pop("temperature_2m_min"), "temperature_2m_min is not in the answer"),
        (lambda answer: answer["daily"]["precipitation_sum"].pop(), "1 values for 2 days"),
        (lambda answer: answer["daily"]["precipitation_sum"].__setitem__(0, "wet"), "'wet'"),
        (lambda answer: answer["daily"]["time"].__setitem__(0, "March"), "'March'"),
        (lambda answer: answer.update(error=True, reason="too many days"), "the service refused: too many days"),
        (lambda answer: answer.pop("daily"), "neither form is there"),
    ],
)
def test_a_broken_answer_is_refused_with_what_is_wrong(change: object, told: str) -> None:
    answer = copy.deepcopy(OPEN_METEO)
    change(answer)  # type: ignore[operator]
    with pytest.raises(InputFault, match=told):
        parse_daily_weather(json.dumps(answer), "answer.json")


def test_days_an_answer_leaves_out_are_faults_as_in_a_station_file() -> None:
    answer = copy.deepcopy(OPEN_METEO)
    answer["daily"]["time"][1] = "2024-03-04"  # type: ignore[index]
    with pytest.raises(InputFault, match="2 days are missing"):
        parse_daily_weather(json.dumps(answer), "answer.json")


def test_text_that_only_begins_like_an_answer_is_refused() -> None:
    with pytest.raises(InputFault, match="no JSON"):
        parse_daily_weather("{ date, tmin_c", "answer.json")
