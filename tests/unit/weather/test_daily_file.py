"""Station files: read whole or refused with every fault."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mullbed.domain.spread import Evidence
from mullbed.errors import InputFault
from mullbed.files.bundled_garden import bundled_garden
from mullbed.weather.bounded_text import read_bounded_text
from mullbed.weather.daily_file import parse_daily_weather, read_daily_weather

DATA = Path(__file__).parents[2] / "data"
HEADER = "date,tmin_c,tmax_c,precip_mm\n"

BROKEN = {  # file: where the fault is, what was found, what the remedy says
    "gap.csv": ("line 42", "3 days are missing, 2021-02-10 to 2021-02-12", "Add a row"),
    "duplicate.csv": ("line 42", "2021-02-09 stands twice", "Keep one"),
    "unsorted.csv": ("line 43", "2021-02-10 comes after 2021-02-11", "Sort"),
    "swapped.csv": ("columns tmin_c and tmax_c", "120 of 120 days", "Swap the names"),
    "fahrenheit.csv": ("columns tmin_c and tmax_c", "only plausible in °F", "(°F - 32) / 1.8"),
    "nan.csv": ("line 12, tmin_c", "'NaN' is not a number", "leave the cell empty"),
    "negative_rain.csv": ("line 12, precip_mm", "-3 mm", "zero or more"),
    "impossible.csv": ("line 15, precip_mm", "25000 mm", "leave the cell empty"),
    "missing_column.csv": ("line 1", "lacks precip_mm", "Name the columns"),
    "day_first.csv": ("line 2, date", "'01.01.2021'", "year-month-day"),
    "not_csv.csv": ("line 1", "lacks date, tmin_c, tmax_c, precip_mm", "Name the columns"),
    "weather_not_utf8.csv": ("line 3", "byte 0xb0 is not UTF-8", "Save the file again"),
    "radiation_in_watts.csv": ("line 7, srad", "310 MJ m-2 d-1", "0.0864"),
    "no_rows.csv": ("no_rows.csv", "no rows", "Add the daily rows"),
}


@pytest.mark.parametrize("name", BROKEN)
def test_each_broken_file_is_named_with_place_value_allowed_and_remedy(name: str) -> None:
    with pytest.raises(InputFault) as caught:
        read_daily_weather(DATA / "broken" / name, 47.6)
    first = caught.value.faults[0]
    place, value, remedy = BROKEN[name]
    assert name in first.place
    assert place in first.place
    assert value in first.value
    assert first.allowed
    assert remedy in first.remedy


def test_all_faults_of_a_file_are_found_in_one_pass() -> None:
    with pytest.raises(InputFault) as caught:
        read_daily_weather(DATA / "broken" / "impossible.csv")
    places = " ".join(fault.place for fault in caught.value.faults)
    assert all(f"line {line}" in places for line in (12, 13, 14, 15))


def test_one_slip_on_every_line_is_said_a_few_times_and_counted() -> None:
    with pytest.raises(InputFault) as caught:
        read_daily_weather(DATA / "broken" / "day_first.csv")
    assert len(caught.value.faults) == 7
    assert "114 more lines" in caught.value.faults[-1].value


def test_an_unsorted_file_has_no_gap() -> None:
    with pytest.raises(InputFault) as caught:
        read_daily_weather(DATA / "broken" / "unsorted.csv")
    assert [fault.allowed for fault in caught.value.faults] == ["days in order"]


def test_a_sound_file_is_read_with_its_source() -> None:
    weather = read_daily_weather(DATA / "sound_weather.csv", 47.6)
    assert weather.first_day == date(2021, 1, 1)
    assert weather.rain.shape == (120,)
    assert weather.rain[2] == 4.2
    assert weather.source == "made for tests, no real place"
    assert weather.evidence is Evidence.MEASURED
    assert weather.radiation is None
    assert weather.missing_days == ()


def test_the_bundled_record_is_four_whole_years() -> None:
    weather = read_daily_weather(bundled_garden().with_name("weather.csv"), 47.6)
    assert weather.first_day == date(2012, 1, 1)
    assert weather.rain.shape == (1461,)  # known: 3 x 365 + 366
    assert weather.missing_days == ()
    assert 0.9e3 < weather.rain.sum() / 4 < 1.3e3


def test_rain_in_a_temperature_column_is_named_as_such() -> None:
    text = bundled_garden().with_name("weather.csv").read_text(encoding="utf-8")
    swapped = text.replace("date,tmin_c,tmax_c,precip_mm", "date,tmin_c,precip_mm,tmax_c")
    with pytest.raises(InputFault) as caught:
        parse_daily_weather(swapped, "w.csv", 47.6)
    assert caught.value.faults[0].place == "w.csv, column tmax_c"
    assert "as a rain column is" in caught.value.faults[0].value


def test_an_empty_cell_is_missing_and_its_day_is_named() -> None:
    weather = parse_daily_weather(HEADER + "2021-01-01,1,5,\n2021-01-02,1,5,0\n", "w.csv")
    assert np.isnan(weather.rain[0])
    assert weather.missing_days == (date(2021, 1, 1),)


def test_semicolons_and_decimal_commas_are_understood() -> None:
    weather = parse_daily_weather("date;tmin_c;tmax_c;precip_mm\n2021-01-01;-1,5;5,25;0,4\n", "w.csv")
    assert (weather.low[0], weather.high[0], weather.rain[0]) == (-1.5, 5.25, 0.4)


def test_a_misspelt_optional_column_is_not_silently_dropped() -> None:
    with pytest.raises(InputFault, match="Write humidity"):
        parse_daily_weather("date,tmin_c,tmax_c,precip_mm,humidty\n2021-01-01,1,5,0,80\n", "w.csv")


def test_a_warm_place_in_celsius_is_not_taken_for_fahrenheit() -> None:
    rows = "".join(f"2021-07-{day:02d},27,43,0\n" for day in range(1, 32))
    assert parse_daily_weather(HEADER + rows, "desert.csv", 33.4).high[0] == 43.0


def test_a_200_mb_file_is_refused_before_it_is_read(tmp_path: Path) -> None:
    huge = tmp_path / "huge.csv"
    with huge.open("wb") as stream:
        stream.truncate(200_000_000)
    with pytest.raises(InputFault, match=r"200 MB is too large\. Allowed: at most 20 MB"):
        read_daily_weather(huge)


def test_a_missing_file_a_folder_and_an_empty_file_are_named(tmp_path: Path) -> None:
    (tmp_path / "empty.csv").write_text("\n")
    for path, found in (
        (tmp_path / "none.csv", "cannot be read"),
        (tmp_path, "plain"),
        (tmp_path / "empty.csv", "empty"),
    ):
        with pytest.raises(InputFault, match=found):
            read_bounded_text(path)


def test_a_binary_file_in_place_of_csv_is_a_fault(tmp_path: Path) -> None:
    (tmp_path / "photo.csv").write_bytes(bytes(range(256)) * 20)
    with pytest.raises(InputFault, match="not UTF-8"):
        read_daily_weather(tmp_path / "photo.csv")


@settings(max_examples=60, deadline=None)
@given(text=st.one_of(st.text(max_size=300), st.text(max_size=200).map(lambda rows: HEADER + rows)))
def test_any_text_is_read_or_refused_and_never_crashes(text: str) -> None:
    try:
        weather = parse_daily_weather(text, "fuzz.csv", 40.0)
    except InputFault as fault:
        assert all(one.place and one.value and one.allowed and one.remedy for one in fault.faults)
    else:
        assert weather.rain.shape == weather.low.shape


CELL = st.one_of(st.floats(-200, 200).map(str), st.sampled_from(["", "NaN", "inf", "1e400", "x", '"', "−3", "1,2"]))
ROW = st.tuples(
    st.sampled_from(["2021-01-01", "2021-01-02", "0001-01-01", "9999-12-31", "2021-13-01"]), CELL, CELL, CELL
)


@settings(max_examples=60, deadline=None)
@given(rows=st.lists(ROW, max_size=6))
def test_any_rows_are_read_or_refused_and_never_crash(rows: list[tuple[str, str, str, str]]) -> None:
    try:
        parse_daily_weather(HEADER + "\n".join(",".join(row) for row in rows), "fuzz.csv", 40.0)
    except InputFault as fault:
        assert fault.faults
