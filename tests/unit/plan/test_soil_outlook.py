"""The soil over years: books, directions, tests that teach, what builds up."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import lru_cache

import numpy as np
import pytest

from mullbed.domain.bed import Bed, BedCrop, PhosphorusStatus, Soil
from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.garden import Site, WeatherSource
from mullbed.domain.layer import Layer, Lift
from mullbed.domain.soil_outlook import SoilOutlook, SoilTestValue, SoilThing
from mullbed.domain.spread import Evidence, Spread
from mullbed.plan.soil_outlook import density_of, organic_matter_of, soil_outlook
from mullbed.plan.yearly_round import repeated, root_feeds, year_of_layers, years_later
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues
from mullbed.weather.long_weather import long_weather

FIRST, LAST = date(2027, 3, 15), date(2027, 10, 31)
LOW, HIGH = (0, 0, 0, 5, 5, 5, 12, 12, 12, 3, 3, 3), (8, 8, 8, 16, 16, 16, 24, 24, 24, 12, 12, 12)
SITE = Site("made up", 50.0, WeatherSource(None, LOW, HIGH, (60,) * 12))
SOIL = Soil(0.4, 0.2, Spread(0.03, 0.035, 0.04, "1", Evidence.GUESS), "loam")


def laid(day: date, kilograms: float, residue: str = "straw_wheat") -> Layer:
    lift = Lift(residue, "kg", 1.0, 1000 * kilograms, 0.25, Evidence.GUESS, 0.03, False, 0.0, 1.0)
    return Layer("a bed", day, (lift,), 0.0)


def bed(*layers: Layer, soil: Soil = SOIL) -> Bed:
    crop = BedCrop("bush_snap_bean", 1.0, date(2027, 5, 15), date(2027, 9, 20), False)
    return Bed("a bed", 4.0, soil, crops=(crop,), layers=layers)


@lru_cache(maxsize=4)
def weather(back: int, years: int) -> WeatherYears:
    return long_weather(SITE, years_later(FIRST, -back), years_later(FIRST, years), 1)


def outlook(
    one: Bed, *, years: int = 6, back: int = 0, tests: tuple[SoilTestValue, ...] = (), members: int = 32
) -> SoilOutlook:
    span, tables = weather(back, years), (all_crops(), all_residues())
    return soil_outlook(one, (), span, *tables, last_day=LAST, years=years, back=back, members=members, tests=tests)


def test_more_residue_never_leaves_less_organic_matter_and_bare_ground_loses_it():
    ends = []
    for kilograms in (0.0, 1.0, 4.0):
        found = outlook(bed(laid(date(2027, 4, 10), kilograms)) if kilograms else bed())
        ends.append(float(found.planned[SoilThing.ORGANIC_MATTER].p50[-1]))
        bare = found.bare[SoilThing.ORGANIC_MATTER].p50
        assert bare[-1] < bare[0]
        assert found.dry_matter == pytest.approx(1000 * kilograms)
    assert ends[0] < ends[1] < ends[2]
    assert found.gain_chance == 1.0


def test_with_nothing_laid_the_plan_and_the_bare_ground_are_one():
    found = outlook(bed(), years=3)
    for thing in SoilThing:
        assert found.planned[thing].p50 == pytest.approx(found.bare[thing].p50, nan_ok=True)


def test_less_organic_matter_means_less_water_and_denser_soil():
    found = outlook(bed(), years=6)
    matter, water = found.planned[SoilThing.ORGANIC_MATTER].p50, found.planned[SoilThing.AVAILABLE_WATER].p50
    density = found.planned[SoilThing.BULK_DENSITY].p50
    assert matter[-1] < matter[0]
    assert water[-1] < water[0]
    assert density[-1] > density[0]


def test_start_is_what_the_garden_says_with_its_range():
    matter = outlook(bed(), years=1, members=128).planned[SoilThing.ORGANIC_MATTER]
    assert (matter.p10[0], matter.p50[0], matter.p90[0]) == pytest.approx((0.03, 0.035, 0.04), abs=0.002)


def test_a_soil_test_moves_and_narrows_the_outlook():
    wide = replace(SOIL, organic_matter=Spread(0.02, 0.035, 0.06, "1", Evidence.GUESS))
    before = outlook(bed(soil=wide), years=3, back=2, members=128)
    test = SoilTestValue(date(2026, 4, 1), SoilThing.ORGANIC_MATTER, 0.05, 0.003)
    after = outlook(bed(soil=wide), years=3, back=2, tests=(test,), members=128)
    old, new = before.planned[SoilThing.ORGANIC_MATTER], after.planned[SoilThing.ORGANIC_MATTER]
    assert new.p50[-1] > old.p50[-1]
    assert new.p90[-1] - new.p10[-1] < 0.6 * (old.p90[-1] - old.p10[-1])
    met = after.tests[0]
    assert met.low < met.mid < met.high
    assert met.inside
    assert after.informed < 1.0 == before.informed
    at_test = 2 - 1  # a year after the start
    assert new.p50[at_test] == pytest.approx(0.05, abs=0.006)


def test_a_test_far_outside_is_told():
    test = SoilTestValue(date(2027, 6, 1), SoilThing.ORGANIC_MATTER, 0.12, 0.002)
    found = outlook(bed(), years=1, tests=(test,))
    assert not found.tests[0].inside
    assert "tests against model" in [one.code for one in found.warnings]


def test_nitrogen_supply_of_a_year_is_what_soil_and_cover_freed_in_it():
    lean, rich = outlook(bed()), outlook(bed(laid(date(2027, 4, 10), 2.0, "grass_clip")))
    supply = SoilThing.NITROGEN_SUPPLY
    assert np.isnan(rich.planned[supply].p50[0])
    assert rich.planned[supply].p50[-1] > lean.planned[supply].p50[-1] + 10.0
    assert rich.nitrogen_laid == pytest.approx(2000 * all_residues()["grass_clip"].nitrogen.mid)


def test_phosphorus_beyond_removal_is_warned_of_and_told_by_the_soil_test():
    rich = replace(SOIL, phosphorus_status=PhosphorusStatus.HIGH)
    layer = laid(date(2027, 4, 10), 4.0, "grass_clip")
    found = outlook(bed(layer, soil=rich), years=1)
    phosphorus, potassium = found.balances
    content = all_residues()["grass_clip"].phosphorus
    assert phosphorus.laid.mid == pytest.approx(4000 * content.mid)
    assert phosphorus.surplus.low <= phosphorus.surplus.mid <= phosphorus.surplus.high
    assert "phosphorus rich" in [one.code for one in found.warnings]
    assert phosphorus.after(10).mid == pytest.approx(10 * phosphorus.surplus.mid)
    assert potassium.nutrient == "potassium"


def test_organic_matter_follows_carbon_on_the_same_mineral_soil():
    # known: 3 % of 100 kg is 3 kg organic, 97 kg mineral; half the organic is 1.5 in 98.5
    found = organic_matter_of(np.array([0.5 * 3000 / 1.72]), np.array([3000 / 1.72]), np.array([0.03]))
    assert found[0] == pytest.approx(1.5 / 98.5)


def test_a_measured_density_is_kept_at_the_start():
    measured = replace(SOIL, bulk_density=1234.0)
    assert density_of(measured, 0.035, 0.035) == pytest.approx(1234.0)
    assert density_of(measured, 0.035, 0.05) < 1234.0


def test_a_year_comes_round_on_the_same_days():
    one = bed(laid(date(2026, 12, 1), 1.0), laid(date(2026, 5, 1), 1.0), laid(date(2027, 4, 10), 1.0))
    round_of = year_of_layers(one, (), LAST)
    assert [layer.day for layer in round_of] == [date(2026, 12, 1), date(2027, 4, 10)]
    grown = repeated(one, round_of, LAST, 2)
    assert [layer.day.year for layer in grown.layers] == [2026, 2026, 2027, 2027, 2028, 2028, 2029]
    assert len(grown.crops) == 3
    assert years_later(date(2028, 2, 29), 1) == date(2029, 2, 28)
    feeds = root_feeds(grown, all_crops(), FIRST, 800)
    assert [feed.day for feed in feeds] == [(date(2027, 9, 20) - FIRST).days, (date(2028, 9, 20) - FIRST).days]
    assert feeds[0].organic_carbon == pytest.approx(25.0 * feeds[0].organic_nitrogen)


def test_long_weather_joins_whole_years_of_the_place():
    years = weather(0, 3)
    assert years.days == (years_later(FIRST, 3) - FIRST).days + 1
    assert not np.array_equal(years.rain[0, :300], years.rain[0, 365:665])
    leap = (date(2028, 2, 29) - FIRST).days
    assert np.isfinite(years.low[:, leap]).all()
