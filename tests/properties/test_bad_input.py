"""Bad or extreme input is refused with a reason, or computed with balances intact; nothing is ever missing.

Bounds are those of ``simulate/case.py`` and ``weather/daily_columns.py``; extremes are common sense, no source.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import inf, nan

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as make

from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.spread import Evidence, Spread
from mullbed.errors import InputFault
from mullbed.simulate import layout as at
from mullbed.simulate.case import BedCase, CropCover, DigIn, Event, Feed, LaidLift, Lay, Pour, RakeOff, SoilColumn
from mullbed.simulate.ensemble import draw_members
from mullbed.simulate.run import Outcome, pack, run_packed
from mullbed.weather.evaporative_demand import demand_from_temperature
from mullbed.weather.generator import generated_seasons
from season_bed import LEAVES, STRAW, column, fresh, lift, showers, weather

#: Outputs that are missing on a bare bed, where there is no layer to have them.
OF_A_LAYER = {"moisture", "layer_temperature", "decay_modifier"}
SKY = weather(20, 10.0, 22.0, 3.0, 4.0)
LAID = Lay(0, (fresh(0.4), lift(LEAVES, 0.3)))


def computed(case: BedCase, members: int = 2, every: int = 1) -> Outcome:
    """Run a case and hold that books close and nothing is missing or below zero."""
    outcome = run_packed(pack(case), draw_members(case, members, 1), tolerance=1e-11, name=case.name, every=every)
    assert np.isfinite(outcome.ledgers).all()
    for name, values in outcome.daily.items():
        if name not in OF_A_LAYER:
            assert np.isfinite(values).all(), name
    for name in ("thickness", "mineral_nitrogen", "carbon_left", "ammonia_lost", "leached", "drained"):
        assert (outcome.daily[name] >= -1e-9).all(), name
    return outcome


def sky_with(**series: float) -> WeatherYears:
    """Return the sound weather with one day of these values in it."""
    changed = {}
    for name, value in series.items():
        values = getattr(SKY, name).copy()
        values[0, 7] = value
        changed[name] = values
    return replace(SKY, **changed)


def case_with(
    *events: Event, sky: WeatherYears = SKY, soil: SoilColumn | None = None, cover: CropCover | None = None, **more
) -> BedCase:
    return BedCase("a bed", sky, soil or column(), events or (LAID,), cover, **more)


IMPOSSIBLE_WEATHER = [
    ({"rain": -1.0}, "rain"),
    ({"rain": nan}, "rain"),
    ({"rain": inf}, "rain"),
    ({"rain": 5000.0}, "rain"),
    ({"low": nan}, "low"),
    ({"high": 200.0}, "high"),
    ({"low": -200.0}, "low"),
    ({"low": 30.0}, "low above its high"),
    ({"reference_evaporation": -0.1}, "reference evaporation"),
    ({"reference_evaporation": nan}, "reference evaporation"),
    ({"radiation": nan}, "radiation"),
    ({"radiation": 300.0}, "radiation"),
]


@pytest.mark.parametrize(("series", "told"), IMPOSSIBLE_WEATHER, ids=lambda one: str(one))
def test_impossible_weather_is_refused_by_name(series: dict[str, float], told: str) -> None:
    with pytest.raises(InputFault) as refused:
        case_with(sky=sky_with(**series))
    assert told in str(refused.value)
    assert all(fault.allowed and fault.remedy for fault in refused.value.faults)


def test_series_of_unequal_length_and_no_days_at_all_are_refused() -> None:
    with pytest.raises(InputFault, match="unequal"):
        case_with(sky=replace(SKY, rain=SKY.rain[:, :-1]))
    none = {name: getattr(SKY, name)[:, :0] for name in ("low", "high", "rain", "reference_evaporation", "radiation")}
    with pytest.raises(InputFault, match="at least one day"):
        BedCase("a bed", replace(SKY, **none), column())


def lift_with(**changes: object) -> LaidLift:
    """Return a sound lift with something wrong in it; chemistry as low, mid and high."""
    sound = lift(STRAW, 0.5)
    own = {name: value for name, value in changes.items() if hasattr(sound, name)}
    of_residue = {}
    for name, value in changes.items():
        if name not in own:
            of_residue[name] = Spread(*value, "", Evidence.GUESS) if isinstance(value, tuple) else value
    return replace(sound, residue=replace(sound.residue, **of_residue), **own)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"carbon": (0.1, 0.1, 0.1)}, "carbon"),
        ({"carbon": (0.4, 0.9, 0.9)}, "carbon"),
        ({"nitrogen": (0.0, 0.0, 0.0)}, "nitrogen"),
        ({"nitrogen": (0.01, 0.3, 0.4)}, "nitrogen"),
        ({"lignin": (-0.1, -0.1, 0.1)}, "lignin"),
        ({"lignin": (0.1, 0.8, 0.9)}, "lignin"),
        ({"water_held": nan}, "water held"),
        ({"interception": -1.0}, "interception"),
        ({"size_factor": inf}, "size factor"),
        ({"laid_density": 0.0}, "laid density"),
        ({"palatability": 2.0}, "palatability"),
        ({"dry_matter": 0.0}, "at least 0.001"),
        ({"dry_matter": -5.0}, "at least 0.001"),
        ({"dry_matter": nan}, "at least 0.001"),
        ({"dry_matter": 100_000.0}, "at most 40,000"),
        ({"dry_matter_log_sd": nan}, "doubt"),
        ({"free_water": -1.0}, "free water"),
        ({"tissue_water": nan}, "tissue water"),
        ({"tissue_water": 900.0}, "tissue water"),
    ],
    ids=str,
)
def test_a_lift_that_cannot_be_is_refused_by_name(changes: dict[str, object], told: str) -> None:
    with pytest.raises(InputFault) as refused:
        case_with(Lay(0, (lift_with(**changes),)))
    assert told in str(refused.value)


@pytest.mark.parametrize("numbers", [(nan, nan, nan), (0.02, 0.01, 0.03), (0.005, 0.01, nan), (nan, 0.01, 0.02)])
def test_a_range_out_of_order_or_without_a_number_cannot_be_made(numbers: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="not in order"):
        Spread(*numbers, "", Evidence.GUESS)


@pytest.mark.parametrize(
    "event",
    [
        Lay(0, ()), Lay(-1, LAID.lifts), Lay(20, LAID.lifts), Lay(0, LAID.lifts, nan), Lay(0, LAID.lifts, -1.0),
        Pour(3, nan), Pour(3, 1e6), RakeOff(3, 1.1), RakeOff(3, nan), DigIn(3, 0.0), DigIn(3, 1e-300),
        DigIn(3, nan), DigIn(3, 2.0),
        Feed(3, nan, 0.0), Feed(3, 1.0, nan), Feed(3, -1.0, 0.0), Feed(3, 0.0, 0.0, nan), Feed(3, 0.0, 0.0, 1.0, inf),
    ],
    ids=str,
)  # fmt: skip
def test_an_event_that_cannot_be_is_refused_with_its_day(event: Event) -> None:
    with pytest.raises(InputFault, match=f"event on day {event.day}"):
        case_with(event)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"clay": nan}, "clay"),
        ({"field_capacity": 0.1}, "soil water"),
        ({"wilting_point": nan}, "soil water"),
        ({"pools": (15.0, 450.0, nan, 2800.0, 300.0)}, "soil pools"),
        ({"pools": (15.0, -450.0, 75.0, 2800.0, 300.0)}, "soil pools"),
        ({"pool_nitrogen": (nan, 15.0)}, "soil pools"),
        ({"start_water": nan}, "water at the start"),
        ({"start_ammonium": -1.0}, "start ammonium"),
        ({"start_nitrate": nan}, "start nitrate"),
        ({"start_warmth": nan}, "warmth at the start"),
    ],
    ids=str,
)
def test_a_soil_that_cannot_be_is_refused_by_name(changes: dict[str, object], told: str) -> None:
    with pytest.raises(InputFault) as refused:
        case_with(soil=replace(column(), **changes))
    assert told in str(refused.value)


def test_crops_and_shade_that_cannot_be_are_refused() -> None:
    bare = CropCover.bare(20)
    broken = np.where(np.arange(20) == 5, nan, 0.2)
    for cover in (
        CropCover.bare(19), replace(bare, ground_cover=broken), replace(bare, nitrogen_demand=-broken),
        replace(bare, basal_coefficient=np.full(20, 9.0)),
    ):  # fmt: skip
        with pytest.raises(InputFault, match="crop"):
            case_with(cover=cover)
    for shade in (-0.1, 1.5, nan):
        with pytest.raises(InputFault, match="shade"):
            case_with(shade=shade)
    with pytest.raises(InputFault, match="start day"):
        case_with(start_day=20)


def test_all_faults_of_a_case_are_told_at_once() -> None:
    with pytest.raises(InputFault) as refused:
        case_with(
            Lay(99, (lift_with(carbon=(0.1, 0.1, 0.1), dry_matter=0.0),)), Pour(2, -1.0), sky=sky_with(rain=-1.0),
            soil=replace(column(), clay=3.0),
        )  # fmt: skip
    told = str(refused.value)
    assert len(refused.value.faults) >= 6
    assert all(word in told for word in ("carbon", "at least 0.001", "rain", "clay", "day 99", "day 2"))


odd = make.one_of(make.floats(), make.floats(-1e3, 1e3), make.floats(0.0, 1.0))


@settings(max_examples=60, deadline=None)
@given(
    make.sampled_from((
        "rain", "low", "high", "reference_evaporation", "radiation", "carbon", "nitrogen", "lignin", "dry_matter",
        "water_held", "interception", "size_factor", "laid_density", "palatability", "free_water", "tissue_water",
        "start_water", "start_nitrate", "start_warmth", "clay", "field_capacity", "wilting_point", "poured", "shade",
    )),
    odd,
)  # fmt: skip
@example("rain", 1900.0)
@example("dry_matter", 40_000.0)
@example("dry_matter", 0.001)
@example("dry_matter", 1.1e-308)
@example("nitrogen", 0.15)
@example("lignin", 0.6)
@example("carbon", 0.2)
@example("laid_density", 1.0)
@example("water_held", 0.1)
@example("size_factor", 0.0)
@example("start_water", 0.0)
@example("field_capacity", 0.79)
@example("clay", 1.0)
def test_any_one_number_is_refused_or_computed_with_closed_books(name: str, value: float) -> None:
    try:
        if name in ("carbon", "nitrogen", "lignin") and value != value:
            return  # a range without a number cannot even be made, see above
        if hasattr(SKY, name):
            case = case_with(sky=sky_with(**{name: value}))
        elif name in ("carbon", "nitrogen", "lignin"):
            case = case_with(Lay(0, (lift_with(**{name: (value, value, value)}), fresh(0.3))))
        elif name == "poured":
            case = case_with(LAID, Pour(2, value))
        elif name == "shade":
            case = case_with(shade=value)
        elif hasattr(column(), name):
            case = case_with(soil=replace(column(), **{name: value}))
        else:
            case = case_with(Lay(0, (lift_with(**{name: value}), fresh(0.3))))
    except InputFault as refused:
        assert all(fault.place and fault.allowed and fault.remedy for fault in refused.faults)
        return
    computed(case)


@pytest.mark.parametrize(("low", "high"), [(-40.0, -40.0), (-40.0, 55.0), (55.0, 55.0), (-1.0, 1.0), (-90.0, -80.0)])
def test_cold_and_heat_to_the_bounds_are_computed(low: float, high: float) -> None:
    sky = weather(200, low, high, 8.0, showers(200, 0.4, 8.0, 1))
    soil = column(start=0.5 * (low + high))
    outcome = computed(case_with(Lay(0, (fresh(0.6), lift(LEAVES, 0.5))), DigIn(120, 0.2), sky=sky, soil=soil))
    warmest = outcome.daily["layer_temperature"]
    assert np.nanmax(warmest) < 80.0
    if high <= -40.0:
        assert (outcome.daily["carbon_dioxide"] == 0.0).all()


def test_a_swing_from_frost_to_heat_every_day_is_computed() -> None:
    sky = weather(120, 0.0, 0.0, 5.0, showers(120, 0.5, 20.0, 2))
    warmth = np.where(np.arange(120) % 2 == 0, -40.0, 55.0)[None]
    computed(case_with(Lay(0, (fresh(1.0), lift(STRAW, 1.0))), sky=replace(sky, low=warmth, high=warmth)))


def test_forty_kilograms_are_computed_and_a_hundred_are_refused() -> None:
    sky = weather(60, 15.0, 28.0, 4.0, showers(60, 0.4, 10.0, 3))
    outcome = computed(case_with(Lay(0, (replace(fresh(40.0, per_kg=2.0)),)), sky=sky))
    assert (outcome.daily["thickness"][:, 0] > 0.3).all()
    with pytest.raises(InputFault, match="at most 40,000 g m-2"):
        case_with(Lay(0, (fresh(100.0, per_kg=2.0),)), sky=sky)


def test_a_lift_of_nearly_nothing_is_computed_and_leaves_nothing_missing() -> None:
    computed(case_with(Lay(0, (lift(STRAW, 1e-6), fresh(2e-6)))))


def test_a_run_of_one_day_is_computed() -> None:
    outcome = computed(case_with(sky=weather(1, 10.0, 20.0, 3.0, 12.0)))
    assert outcome.daily["thickness"].shape == (2, 1)


def test_twenty_years_with_twenty_layers_and_leap_days_are_computed() -> None:
    days = (date(2041, 1, 1) - date(2021, 1, 1)).days
    assert days == 7305  # known: five leap days
    year = 10.0 + 12.0 * np.cos(2 * np.pi * (np.arange(days) - 200) / 365.25)
    sky = weather(days, 0.0, 0.0, 0.0, showers(days, 0.35, 6.0, 4))
    sky = replace(
        sky, low=(year - 5.0)[None], high=(year + 5.0)[None],
        reference_evaporation=np.maximum(0.1, 0.2 * year)[None],
    )  # fmt: skip
    layers = [Lay(120 + 365 * one, (fresh(0.5), lift(LEAVES, 0.5))) for one in range(19)]
    outcome = computed(case_with(*layers, DigIn(3000, 0.2), RakeOff(5000, 0.5), sky=sky), every=30)
    assert outcome.final(at.LAID_C).min() > 5_000.0


@pytest.mark.parametrize("latitude", [-90.0, -78.0, -66.6, -34.0, 0.0, 34.0, 66.6, 70.0, 78.0, 90.0])
def test_polar_night_midnight_sun_and_the_south_are_computed(latitude: float) -> None:
    day = np.arange(1, 367)
    warmest = 200 if latitude >= 0 else 17
    air = 12.0 - abs(latitude) / 4.0 + 12.0 * np.cos(2 * np.pi * (day - warmest) / 365.25)
    low, high = (air - 4.0)[None], (air + 4.0)[None]
    demand, radiation = demand_from_temperature(low, high, day[None], latitude)
    for series in (demand, radiation):
        assert np.isfinite(series).all()
        assert (series >= 0.0).all()
    if abs(latitude) >= 78.0:
        dark = 355 if latitude > 0 else 172
        assert radiation[0, dark - 1] == pytest.approx(0.0, abs=1e-9)
    sky = weather(366, 0.0, 0.0, 0.0, showers(366, 0.3, 5.0, 5))
    sky = replace(sky, low=low, high=high, reference_evaporation=demand, radiation=radiation)
    computed(case_with(sky=sky))


def test_a_season_over_a_leap_day_has_it_and_is_computed() -> None:
    season = generated_seasons(
        [-60.0] * 12, [50.0] * 12, [3000.0] * 12, date(2028, 2, 27), date(2028, 3, 2), 70.0, np.random.default_rng(1)
    )
    assert season.days == 5  # known: 27, 28, 29 February, 1, 2 March
    computed(case_with(sky=season))


def test_the_widest_monthly_means_give_weather_the_engine_takes() -> None:
    for low, high in ((-60.0, -50.0), (40.0, 50.0)):
        season = generated_seasons(
            [low] * 12, [high] * 12, [0.0] * 12, date(2027, 1, 1), date(2027, 12, 31), -72.0, np.random.default_rng(2)
        )
        computed(case_with(sky=season))
