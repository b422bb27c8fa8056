"""A station's table with any headings, units and dates: what is found, what is refused, what is left to confirm."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from mullbed.domain.weather_record import How
from mullbed.errors import InputFault
from mullbed.weather.station_columns import parted, understood
from mullbed.weather.station_days import station_days
from mullbed.weather.station_table import DateOrder, station_table
from mullbed.weather.told_units import unit_named

DAYS = 20


def table(headings: str, row: str = "{day},{low},{high},{rain}", units: str = "", between: str = ",") -> str:
    """Return twenty days from 28 January 2024 with low 1, 2, 3 ..., high 10 above, rain on every fourth day."""
    lines = [headings, *([units] if units else [])]
    for number in range(DAYS):
        day = date(2024, 1, 28) + timedelta(days=number)
        filled = row.format(
            day=day, low=number + 1, high=number + 11, rain=5 if number % 4 == 0 else 0, dotted=f"{day:%d.%m.%Y}",
            slashed=f"{day:%m/%d/%Y}", year=day.year, month=day.month, dom=day.day, doy=day.timetuple().tm_yday,
            compact=f"{day:%Y%m%d}", low_f=(number + 1) * 1.8 + 32, high_f=(number + 11) * 1.8 + 32,
            rain_in=(5 if number % 4 == 0 else 0) / 25.4,
        )  # fmt: skip
        lines.append(filled if between == "," else filled.replace(",", between))
    return "\n".join(lines) + "\n"


def read(text: str, **changes: object) -> tuple[np.ndarray, np.ndarray, np.ndarray, date]:
    found = station_table(text, "station.csv")
    days = station_days(found, understood(found), source="ours", **changes)  # type: ignore[arg-type]
    return days.weather.low, days.weather.high, days.weather.rain, days.weather.first_day


@pytest.mark.parametrize(
    "text",
    [
        table("date,tmin,tmax,rain"),
        table("date,low_f,tmax (°F),prcp [in]", "{day},{low_f},{high_f},{rain_in}"),
        table("Datum;TN;TX;Niederschlag", "{dotted};{low};{high};{rain}"),
        table("obs date\tT_MIN_C\tT_MAX_C\tPPT_MM", "{slashed},{low},{high},{rain}", between="\t"),
        table("year,month,day,tmin,tmax,rain", "{year},{month},{dom},{low},{high},{rain}"),
        table("yr,doy,mint,maxt,rain", "{year},{doy},{low},{high},{rain}"),
        table("YYYYMMDD,TMIN,TMAX,RR", "{compact},{low},{high},{rain}"),
        table("date,tmn,tmx,rr", "{day}T00:00:00Z,{low},{high},{rain}", units=",degC,degC,mm"),
        "Station 12\nHeight 210 m\n\n" + table("date,tmin,tmax,rain"),
        table("date tmin tmax rain", "{day},{low},{high},{rain}", between=" "),
        table("date,tmin,tmax,rain", '"{day}","{low}","{high}","{rain}"'),
    ],
    ids=["plain", "Fahrenheit", "German", "tabs", "three columns", "day of year", "compact", "units row", "preamble",
         "blanks", "quoted"],
)  # fmt: skip
def test_the_same_days_are_read_however_they_are_written(text: str) -> None:
    """Known: the table is made so."""
    low, high, rain, first = read(text)
    assert first == date(2024, 1, 28)
    assert low == pytest.approx(np.arange(1.0, 21.0), abs=1e-4)
    assert high == pytest.approx(np.arange(11.0, 31.0), abs=1e-4)
    assert rain == pytest.approx(np.where(np.arange(DAYS) % 4 == 0, 5.0, 0.0), abs=1e-4)


@pytest.mark.parametrize(
    ("heading", "name", "unit"),
    [("TMAX (°F)", "tmax", "°F"), ("rh_min_pct", "rhmin", "pct"), ("wind_m_s", "wind", "m/s"),
     ("Rain [mm]", "rain", "mm"), ("srad_mj_m2", "srad", "mj/m2"), ("TX", "tx", "")],
)  # fmt: skip
def test_a_heading_is_parted_in_name_and_unit(heading: str, name: str, unit: str) -> None:
    assert parted(heading) == (name, unit)


def test_a_unit_is_found_by_values_and_said_to_be_a_guess() -> None:
    found = station_table(table("date,tmin,tmax,rain", "{day},{low_f},{high_f},{rain_in}"), "station.csv")
    columns = {one.column: one for one in understood(found).found}
    assert columns["tmax_c"].unit is not None
    assert (columns["tmax_c"].unit.name, columns["tmax_c"].how) == ("°F", How.NAME)
    assert columns["precip_mm"].unit is not None
    assert (columns["precip_mm"].unit.name, columns["precip_mm"].how) == ("cm", How.NAME) or (
        columns["precip_mm"].unit.name == "in"
    )


def test_what_the_user_tells_beats_every_guess() -> None:
    found = station_table(table("date,a,b,rain,tmax", "{day},{low_f},{high},{rain},99"), "station.csv")
    told = {"tmin_c": (("a",), "°F"), "tmax_c": (("b",), "°C")}
    columns = {one.column: one for one in understood(found, told).found}
    assert columns["tmin_c"].how is How.TOLD
    assert columns["tmax_c"].sources == ("b",)
    with pytest.raises(InputFault, match="no heading 'c'"):
        understood(found, {"tmin_c": (("c",), "")})
    with pytest.raises(InputFault, match="furlong"):
        understood(found, {"tmin_c": (("a",), "furlong")})


def test_a_tall_reference_is_never_taken_for_that_of_grass() -> None:
    found = station_table(table("date,tmin,tmax,rain,etr_mm", "{day},{low},{high},{rain},7.1"), "station.csv")
    columns = understood(found)
    assert "et0" not in {one.column for one in columns.found}
    assert "alfalfa" in next(one.why for one in columns.left_out if one.heading == "etr_mm")


def test_days_without_a_row_stand_empty_and_rows_out_of_order_are_sorted() -> None:
    lines = table("date,tmin,tmax,rain").splitlines()
    mixed = "\n".join([lines[0], *lines[11:], *lines[1:9]])
    found = station_table(mixed, "station.csv")
    days = station_days(found, understood(found), source="ours")
    assert days.absent == (date(2024, 2, 5), date(2024, 2, 6))
    assert np.isnan(days.weather.low[8:10]).all()
    assert days.weather.missing_days == days.absent
    assert days.weather.low[10] == 11.0


def test_marks_for_missing_and_traces_are_counted_not_read_as_numbers() -> None:
    text = table("date,tmin,tmax,rain").replace(",1,11,5", ",-999,11,T").replace(",2,12,0", ",NA,12,-99.9")
    found = station_table(text, "station.csv")
    days = station_days(found, understood(found), source="ours")
    assert np.isnan(days.weather.low[:2]).all()
    assert days.weather.rain[0] == 0.0
    assert np.isnan(days.weather.rain[1])
    assert found.marks(["tmin", "rain"]) == {"-999": 1, "trace": 1, "-99.9": 1}


def test_dates_that_can_be_read_in_two_ways_must_be_told() -> None:
    """Known: 1 May and 5 January both stand in 01/05/2024, and neither order counts the days up one by one."""
    text = "date,tmin,tmax,rain\n01/05/2024,1,11,5\n01/07/2024,1,11,5\n"
    with pytest.raises(InputFault, match="two ways") as refused:
        station_table(text, "station.csv")
    assert "--dates" in str(refused.value)
    assert station_table(text, "station.csv", DateOrder.DAY_FIRST).days[1] == date(2024, 7, 1)
    assert station_table(text, "station.csv", DateOrder.MONTH_FIRST).days[1] == date(2024, 1, 7)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("date,tmin,tmax,rain\n", "no rows"),
        (table("date,tmin,tmax,rain").replace(",3,13,", ",three,13,"), "three"),
        (table("date,tmin,tmax,rain").replace(",3,13,", ",33,13,"), "above highest"),
        (table("date,tmin,tmax,rain").replace(",3,13,", ",-95,13,"), "-95"),
        (table("date,tmin,tmax,rain") + "2024-01-29,1,11,0\n", "twice"),
        (table("date,tmin,tmax"), "precip_mm"),
        (table("a,b,c,d", "x{low},{low},{high},{rain}"), "no dates"),
        (table("date,tmin,tmax,rain", "{day},{low_f},{high_f},{rain}").replace("tmin,tmax", "tmin_c,tmax_c"), "°F"),
        ("\n".join(["date,tmin,tmax,rain"] + ["2024-01-01,1,2,0"] * 24), "one row a day"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_its_line(text: str, said: str) -> None:
    with pytest.raises(InputFault) as refused:
        read(text, latitude=50.0)
    assert said in str(refused.value)


def test_days_that_count_up_one_by_one_tell_their_order() -> None:
    text = "date,tmin,tmax,rain\n" + "\n".join(f"01/{day:02d}/2024,1,11,5" for day in range(1, 9))
    assert station_table(text, "station.csv").order is DateOrder.MONTH_FIRST


def test_swapped_days_are_swapped_back_only_when_allowed() -> None:
    text = table("date,tmin,tmax,rain").replace(",3,13,", ",13,3,")
    found = station_table(text, "station.csv")
    days = station_days(found, understood(found), source="ours", swap=True)
    assert days.swapped == (date(2024, 1, 30),)
    assert (days.weather.low[2], days.weather.high[2]) == (3.0, 13.0)


@pytest.mark.parametrize(
    ("column", "text", "theirs", "ours"),
    [("tmax_c", "degF", 50.0, 10.0), ("tmax_c", "K", 273.15, 0.0), ("precip_mm", "inches", 1.0, 25.4),
     ("srad", "W m-2", 100.0, 8.64), ("srad", "MJ m-2 d-1", 9.0, 9.0), ("srad", "cal/cm2", 100.0, 4.184),
     ("wind", "km/h", 3.6, 1.0), ("humidity", "fraction", 0.5, 50.0), ("et0", "mm/day", 3.0, 3.0)],
)  # fmt: skip
def test_units_become_ours(column: str, text: str, theirs: float, ours: float) -> None:
    """Known: definitions of the units."""
    unit = unit_named(column, text)
    assert unit is not None
    assert unit.ours(theirs) == pytest.approx(ours, abs=1e-9)
    assert unit_named(column, "parsec") is None
