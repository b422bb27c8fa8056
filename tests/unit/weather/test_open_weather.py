"""Open station records of very different climates, read by our own reader."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from mullbed.domain.spread import Evidence
from mullbed.errors import InputFault
from mullbed.weather.climate_years import climate_years
from mullbed.weather.daily_file import parse_daily_weather
from mullbed.weather.evaporative_demand import evaporative_demand

COLUMNS = {"srad_mj_m2": "srad", "wind_m_s": "wind"}


def renamed(path: Path, *, fahrenheit: bool = False) -> str:
    """Return an open record with our column names, without its evapotranspiration; mean humidity of low and high."""
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    header, rows = lines[0].split(","), [line.split(",") for line in lines[1:]]
    kept = [name for name in ("date", "tmin_c", "tmax_c", "precip_mm", *COLUMNS) if name in header]
    out = [",".join([*(COLUMNS.get(name, name) for name in kept), *(["humidity"] if "rh_min_pct" in header else [])])]
    for row in rows:
        cell = dict(zip(header, row, strict=True))
        if fahrenheit:
            for name in ("tmin_c", "tmax_c"):
                cell[name] = f"{float(cell[name]) * 1.8 + 32:.1f}" if cell[name] else ""
        values = [cell[name] for name in kept]
        if "rh_min_pct" in header:
            pair = (cell["rh_min_pct"], cell["rh_max_pct"])
            values.append(f"{(float(pair[0]) + float(pair[1])) / 2:.1f}" if all(pair) else "")
        out.append(",".join(values))
    return "\n".join(out)


def given_demand(path: Path) -> np.ndarray:
    """Return the evapotranspiration the record gives."""
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    place = lines[0].split(",").index("et0_mm")
    return np.array([float(line.split(",")[place] or "nan") for line in lines[1:]])


PLACES = {
    "brussels_be": 50.8,
    "cordoba_ar": -31.4,
    "tunis_tn": 36.8,
    "hyderabad_in": 17.4,
    "maricopa_arizona_us": 33.07,
}


@pytest.mark.parametrize("place", PLACES)
def test_records_of_many_climates_are_read_without_a_fault(shared_data: Path, place: str) -> None:
    path = shared_data / "weather" / f"{place}.csv"
    weather = parse_daily_weather(renamed(path), place, PLACES[place])
    demand, radiation = evaporative_demand(weather, PLACES[place])
    given = given_demand(path)
    both = ~np.isnan(given) & ~np.isnan(demand)
    # judgement: a year's sum within 30 % of the record's own, which was worked out in several ways
    assert demand[both].mean() == pytest.approx(given[both].mean(), rel=0.30)
    assert np.corrcoef(demand[both], given[both])[0, 1] > 0.75
    assert 2.0 < np.nanmean(radiation) < 30.0


@pytest.mark.parametrize("place", PLACES)
def test_the_same_records_in_fahrenheit_are_caught(shared_data: Path, place: str) -> None:
    text = renamed(shared_data / "weather" / f"{place}.csv", fahrenheit=True)
    with pytest.raises(InputFault, match="only plausible in °F"):
        parse_daily_weather(text, place, PLACES[place])


def test_penman_monteith_of_a_desert_station_is_close_to_the_station_s_own(shared_data: Path) -> None:
    path = shared_data / "weather" / "maricopa_arizona_us.csv"
    weather = parse_daily_weather(renamed(path), "maricopa", 33.069)
    demand, _ = evaporative_demand(weather, 33.069, 361.0)
    given = given_demand(path)
    both = ~np.isnan(given) & ~np.isnan(demand)
    error = demand[both] - given[both]
    assert float(np.sqrt(np.mean(error**2))) < 0.8  # judgement: mean humidity and wind at 3 m in place of the station's
    assert abs(float(error.mean())) < 0.5


def test_twenty_past_years_are_twenty_futures_in_the_southern_summer_too(shared_data: Path) -> None:
    text = renamed(shared_data / "weather" / "cordoba_ar.csv")
    weather = parse_daily_weather(text, "cordoba", -31.4)
    years = climate_years(weather, date(2027, 9, 1), date(2028, 4, 30), -31.4, np.random.default_rng(1))
    assert years.evidence is Evidence.MEASURED
    assert years.years >= 15
    assert years.days == 243
    assert len(set(years.labels)) == years.years
    for series in (years.low, years.high, years.rain, years.reference_evaporation, years.radiation):
        assert not np.isnan(series).any()
