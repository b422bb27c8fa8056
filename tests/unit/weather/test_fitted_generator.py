"""The fitted generator against the years it was fitted to, on open records of very different climates.

Allowed differences are wider than the doubt of a mean over so many generated seasons, and narrow enough that a month
shifted, a unit slipped or a chain without memory would fail; where the generator is known to be weak, the weakness is
held to what `WEAKNESSES` says.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from mullbed.domain.daily_weather import DailyWeather, WeatherYears
from mullbed.domain.spread import Evidence
from mullbed.errors import InputFault
from mullbed.weather.evaporative_demand import evaporative_demand
from mullbed.weather.fitted_generator import WET, fitted_climate, fitted_seasons
from mullbed.weather.season_figures import longest_dry
from mullbed.weather.station_columns import understood
from mullbed.weather.station_days import station_days
from mullbed.weather.station_table import station_table

PLACES = {"brussels_be": 50.8, "champion_nebraska_us": 40.4, "cordoba_ar": -31.4, "maricopa_arizona_us": 33.069}
YEAR = (date(2027, 1, 1), date(2027, 12, 31))
SEASONS = 120


@dataclass(frozen=True, slots=True)
class Both:
    """A record and what was generated from it."""

    latitude: float
    record: DailyWeather
    seasons: WeatherYears
    months: np.ndarray
    """Of the record's days."""
    years: np.ndarray

    def by_month(self, of_record: np.ndarray, generated: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return means by month."""
        of_season = np.array([(YEAR[0] + timedelta(days=day)).month for day in range(365)])
        return (
            np.array([np.nanmean(of_record[self.months == month]) for month in range(1, 13)]),
            np.array([generated[:, of_season == month].mean() for month in range(1, 13)]),
        )


def opened(shared_data: Path, name: str) -> DailyWeather:
    path = shared_data / "weather" / f"{name}.csv"
    table = station_table(path.read_text(encoding="utf-8"), name)
    return station_days(table, understood(table), source=name, latitude=PLACES[name]).weather


@pytest.fixture(scope="module", params=PLACES)
def both(request: pytest.FixtureRequest, shared_data: Path) -> Both:
    record = opened(shared_data, request.param)
    latitude = PLACES[request.param]
    seasons = fitted_seasons(
        fitted_climate(record, latitude), *YEAR, latitude, np.random.default_rng(7), seasons=SEASONS
    )
    days = [record.first_day + timedelta(days=day) for day in range(record.rain.size)]
    return Both(latitude, record, seasons, np.array([d.month for d in days]), np.array([d.year for d in days]))


def test_rain_comes_in_the_right_months_and_in_the_right_amount(both: Both) -> None:
    observed, generated = both.by_month(both.record.rain, both.seasons.rain)
    assert generated.sum() == pytest.approx(observed.sum(), rel=0.06)
    assert np.abs(generated - observed).max() < 0.2 * observed.max()
    assert np.corrcoef(observed, generated)[0, 1] > 0.9


def test_wet_days_are_as_many_and_remember_each_other(both: Both) -> None:
    observed, generated = both.record.rain >= WET, both.seasons.rain >= WET
    assert generated.mean() == pytest.approx(observed.mean(), abs=0.015)
    after_wet = observed[1:][observed[:-1]].mean()
    after_wet_generated = generated[:, 1:][generated[:, :-1]].mean()
    assert after_wet_generated == pytest.approx(after_wet, abs=0.03)
    assert after_wet_generated > generated.mean() + 0.1  # a coin would not remember


def test_temperatures_have_the_months_means_and_spreads(both: Both) -> None:
    for of_record, of_seasons in ((both.record.low, both.seasons.low), (both.record.high, both.seasons.high)):
        observed, generated = both.by_month(of_record, of_seasons)
        assert np.abs(generated - observed).max() < 1.0
        spread, spread_generated = both.by_month(
            (of_record - observed[both.months - 1]) ** 2,
            (of_seasons - generated[np.array([(YEAR[0] + timedelta(days=d)).month - 1 for d in range(365)])]) ** 2,
        )
        assert np.sqrt(spread_generated) == pytest.approx(np.sqrt(spread), abs=1.2, rel=0.2)
    assert (both.seasons.low <= both.seasons.high).all()


def test_warm_and_cold_spells_last_as_long_and_go_together(both: Both) -> None:
    mean = (both.record.low + both.record.high) / 2.0
    made = (both.seasons.low + both.seasons.high) / 2.0
    usual, usual_made = both.by_month(mean, made)
    of_season = np.array([(YEAR[0] + timedelta(days=d)).month - 1 for d in range(365)])
    anomaly, anomaly_made = mean - usual[both.months - 1], made - usual_made[of_season]
    lag = np.corrcoef(anomaly[1:], anomaly[:-1])[0, 1]
    lag_made = np.corrcoef(anomaly_made[:, 1:].ravel(), anomaly_made[:, :-1].ravel())[0, 1]
    assert lag_made == pytest.approx(lag, abs=0.12)
    assert lag_made > 0.4


def test_rain_cools_the_days_it_falls_on_as_it_does_in_the_record(both: Both) -> None:
    """Known from the record: on wet days of its warmest half the highest temperature is lower."""
    warm = both.by_month(both.record.high, both.seasons.high)[0]
    months = np.argsort(warm)[6:] + 1
    here = np.isin(both.months, months)
    of_season = np.isin([(YEAR[0] + timedelta(days=d)).month for d in range(365)], months)
    wet = both.record.rain >= WET
    observed = both.record.high[here & wet].mean() - both.record.high[here & ~wet].mean()
    rain, high = both.seasons.rain[:, of_season], both.seasons.high[:, of_season]
    generated = high[rain >= WET].mean() - high[rain < WET].mean()
    assert generated == pytest.approx(observed, abs=1.2)


def test_evaporation_keeps_the_level_of_the_record(both: Both) -> None:
    demand, _ = evaporative_demand(both.record, both.latitude)
    observed, generated = both.by_month(demand, both.seasons.reference_evaporation)
    assert generated == pytest.approx(observed, rel=0.08, abs=0.1)


def test_the_known_weaknesses_are_as_large_as_told(both: Both) -> None:
    """Years differ too little, dry spells are too short: held to the figures the words give, with room for chance."""
    whole = [year for year in np.unique(both.years) if (both.years == year).sum() >= 365]
    sums = np.array([both.record.rain[both.years == year].sum() for year in whole])
    ratio = both.seasons.rain.sum(axis=1).std() / sums.std(ddof=1)
    assert 0.45 < ratio < 1.15
    dry = np.mean([longest_dry(both.record.rain[both.years == year][None, :365])[0] for year in whole])
    assert 0.75 < longest_dry(both.seasons.rain).mean() / dry < 1.1


def test_seasons_are_marked_and_repeat_with_their_seed(shared_data: Path) -> None:
    climate = fitted_climate(opened(shared_data, "cordoba_ar"), -31.4)
    first, again, other = (
        fitted_seasons(climate, *YEAR, -31.4, np.random.default_rng(seed), seasons=4) for seed in (1, 1, 2)
    )
    np.testing.assert_array_equal(first.rain, again.rain)
    assert not np.array_equal(first.rain, other.rain)
    assert first.evidence is Evidence.WORKED_OUT
    assert first.labels[0] == "generated from 1991-2009, no. 1"


def test_a_record_too_short_is_refused() -> None:
    days = 400
    series = np.full(days, 10.0)
    short = DailyWeather(date(2020, 1, 1), series, series + 5, series * 0, None, None, None, None, "x", Evidence.GUESS)
    with pytest.raises(InputFault, match="400 whole days"):
        fitted_climate(short, 50.0)
