"""Ways from a record to possible seasons: each is what it says, a forecast in front opens with its lead."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from mullbed.domain.daily_weather import DailyWeather, WeatherYears
from mullbed.domain.garden import SeasonsFrom, Site, WeatherSource
from mullbed.domain.spread import Evidence
from mullbed.errors import InputFault
from mullbed.weather.held_out import seen_and_unseen
from mullbed.weather.place_weather import place_weather
from mullbed.weather.possible_seasons import LEAD, SEASONS_WEAKNESSES, moved_climate, possible_seasons, with_forecast
from mullbed.weather.station_columns import understood
from mullbed.weather.station_days import station_days
from mullbed.weather.station_file import station_file_text
from mullbed.weather.station_table import station_table

SEASON = (date(2027, 4, 1), date(2027, 9, 30))
LATITUDE = -31.4


@pytest.fixture(scope="module")
def record(shared_data: Path) -> DailyWeather:
    path = shared_data / "weather" / "cordoba_ar.csv"
    table = station_table(path.read_text(encoding="utf-8"), "cordoba")
    return station_days(table, understood(table), source="cordoba").weather


@pytest.fixture(scope="module")
def years(record: DailyWeather) -> WeatherYears:
    return possible_seasons(record, *SEASON, LATITUDE, np.random.default_rng(1))


def forecast(first_day: date, days: int, low: float = 8.0, high: float = 19.0, rain: float = 2.5) -> DailyWeather:
    return DailyWeather(
        first_day, np.full(days, low), np.full(days, high), np.full(days, rain), None, None, None, None, "a forecast",
        Evidence.PUBLISHED,
    )  # fmt: skip


@pytest.mark.parametrize("way", SeasonsFrom)
def test_every_way_gives_whole_seasons_and_tells_its_weakness(way: SeasonsFrom, record: DailyWeather) -> None:
    found = possible_seasons(record, *SEASON, LATITUDE, np.random.default_rng(1), way=way, seasons=12)
    assert found.days == 183
    for series in (found.low, found.high, found.rain, found.reference_evaporation, found.radiation):
        assert np.isfinite(series).all()
    assert (found.rain >= 0.0).all()
    assert found.years == (19 if way is SeasonsFrom.YEARS else 12)
    assert all(len(words) > 40 for words in SEASONS_WEAKNESSES[way])
    assert found.evidence is (Evidence.MEASURED if way is SeasonsFrom.YEARS else Evidence.WORKED_OUT)


def test_blocks_keep_every_year_in_its_turn(record: DailyWeather) -> None:
    """Known: each year serves each block equally often, so the mean of all seasons is that of the years."""
    years = possible_seasons(record, *SEASON, LATITUDE, np.random.default_rng(1))
    blocks = possible_seasons(record, *SEASON, LATITUDE, np.random.default_rng(1), way=SeasonsFrom.BLOCKS, seasons=19)
    assert blocks.rain.sum(axis=1).mean() == pytest.approx(years.rain.sum(axis=1).mean(), rel=1e-12)
    assert blocks.rain.sum(axis=1) != pytest.approx(years.rain.sum(axis=1))


def test_a_forecast_holds_on_its_first_day_and_opens_with_its_lead(years: WeatherYears) -> None:
    found = with_forecast(years, forecast(SEASON[0], 14), LATITUDE)
    assert found.low[:, 0] == pytest.approx(8.0)
    assert found.high[:, 0] == pytest.approx(19.0)
    assert (found.rain[:, :14] == 2.5).all()
    assert found.low[:, 5].mean() == pytest.approx(8.0)
    assert found.low[:, 5].std() == pytest.approx(5.0 / LEAD * years.low[:, 5].std())
    assert found.low[:, 12].std() == pytest.approx(years.low[:, 12].std())
    np.testing.assert_array_equal(found.low[:, 14:], years.low[:, 14:])
    np.testing.assert_array_equal(found.rain[:, 14:], years.rain[:, 14:])
    assert (found.high >= found.low).all()
    assert found.reference_evaporation[:, 0].std() == pytest.approx(0.0)
    assert "14 days of a forecast" in found.source
    assert found.evidence is Evidence.WORKED_OUT


def test_a_forecast_that_began_before_the_season_is_taken_from_the_season_on(years: WeatherYears) -> None:
    found = with_forecast(years, forecast(SEASON[0] - timedelta(days=3), 7), LATITUDE)
    assert (found.rain[:, :4] == 2.5).all()
    np.testing.assert_array_equal(found.rain[:, 4:], years.rain[:, 4:])


def test_a_forecast_stops_at_its_first_gap_and_one_of_another_time_is_refused(years: WeatherYears) -> None:
    broken = forecast(SEASON[0], 8)
    broken.rain[3] = np.nan
    found = with_forecast(years, broken, LATITUDE)
    np.testing.assert_array_equal(found.rain[:, 3:], years.rain[:, 3:])
    with pytest.raises(InputFault, match="no whole day of it in the season"):
        with_forecast(years, forecast(date(2026, 1, 1), 8), LATITUDE)


def test_a_moved_climate_is_warmer_by_month_and_keeps_its_wet_days(years: WeatherYears) -> None:
    """Known: April to September; two degrees in July alone, half the rain in August alone."""
    warmer, times = [0.0] * 12, [1.0] * 12
    warmer[6], times[7] = 2.0, 0.5
    found = moved_climate(years, warmer, times, LATITUDE)
    month = np.array([(SEASON[0] + timedelta(days=day)).month for day in range(years.days)])
    np.testing.assert_allclose((found.high - years.high)[:, month == 7], 2.0)
    np.testing.assert_array_equal(found.high[:, month != 7], years.high[:, month != 7])
    np.testing.assert_allclose(found.rain[:, month == 8], 0.5 * years.rain[:, month == 8])
    assert (found.reference_evaporation[:, month == 7] > years.reference_evaporation[:, month == 7]).all()
    np.testing.assert_allclose(found.reference_evaporation[:, month == 8], years.reference_evaporation[:, month == 8])
    assert ((found.rain > 0.0) == (years.rain > 0.0)).all()
    with pytest.raises(ValueError, match="twelve"):
        moved_climate(years, [1.0], times, LATITUDE)


@pytest.fixture
def site(record: DailyWeather, tmp_path: Path) -> Site:
    path = tmp_path / "weather.csv"
    path.write_text(station_file_text(record), encoding="utf-8")
    return Site("Cordoba", LATITUDE, WeatherSource(daily_file=path))


def test_a_garden_chooses_its_way_and_its_climate(site: Site) -> None:
    plain = place_weather(site, *SEASON, 1)
    generated = place_weather(replace(site, weather=replace(site.weather, seasons=SeasonsFrom.GENERATED)), *SEASON, 1)
    warm = place_weather(replace(site, weather=replace(site.weather, warmer=(1.5,) * 12)), *SEASON, 1)
    assert plain.labels[0] == "1991"
    assert generated.labels[0].startswith("generated from 1991-2009")
    np.testing.assert_allclose(warm.low - plain.low, 1.5)
    np.testing.assert_array_equal(warm.rain, plain.rain)


@pytest.mark.parametrize("way", [SeasonsFrom.GENERATED, SeasonsFrom.BLOCKS])
def test_years_kept_unseen_never_enter_what_is_planned_with(way: SeasonsFrom, site: Site, record: DailyWeather) -> None:
    """Known: with all rain of the odd half set to nothing, the other half must not change."""
    chosen = replace(site, weather=replace(site.weather, seasons=way))
    seen, unseen = seen_and_unseen(chosen, *SEASON, 1)
    assert not np.array_equal(seen.rain, unseen.rain)
    parted = np.array([(record.first_day + timedelta(days=day)) for day in range(record.rain.size)])
    dry = record.rain.copy()
    years = np.array([day.year + ((day.month, day.day) >= (12, 31)) for day in parted])
    dry[(years - years[0]) % 2 == 1] = 0.0
    assert site.weather.daily_file is not None
    site.weather.daily_file.write_text(station_file_text(replace(record, rain=dry)), encoding="utf-8")
    seen_again, unseen_again = seen_and_unseen(chosen, *SEASON, 1)
    same = np.array_equal(seen.rain, seen_again.rain), np.array_equal(unseen.rain, unseen_again.rain)
    assert same in ((True, False), (False, True))
