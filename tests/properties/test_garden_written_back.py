"""A garden written as a garden file reads back the same, to the last digit."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mullbed.domain.bed import Bed, BedCrop, CropResidues, DatedInput, Irrigation, PhosphorusStatus, Soil, Watering
from mullbed.domain.filling import fill, lift_from_volume
from mullbed.domain.garden import Garden, Limits, Profile, Site, UnitSystem, WeatherSource
from mullbed.domain.layer import Layer
from mullbed.domain.spread import Evidence, Spread
from mullbed.domain.supply import Container, Supply
from mullbed.files.bundled_garden import bundled_garden
from mullbed.files.garden_file import parse_garden, read_garden
from mullbed.files.garden_soil import TEST_DOUBT, UNTESTED_ORGANIC_MATTER
from mullbed.files.garden_writer import garden_toml
from mullbed.reference.containers import all_containers
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues
from mullbed.reference.soils import find_texture

FIRST, LAST = date(2027, 3, 15), date(2027, 10, 31)
NAMES = st.text(st.characters(categories=("L", "Nd"), max_codepoint=0x24F), min_size=1, max_size=12)
RESIDUES = sorted(all_residues())
CROPS = sorted(all_crops())
DAYS = st.integers(0, (LAST - FIRST).days).map(lambda day: FIRST + timedelta(days=day))


def measured(mid: float, doubt: float, unit: str) -> Spread:
    return Spread(mid * (1.0 - doubt), mid, mid * (1.0 + doubt), unit, Evidence.MEASURED)


@st.composite
def soils(draw: st.DrawFn) -> Soil:
    name, sand, clay = find_texture(draw(st.sampled_from(["loam", "sandy loam", "clay", "silt loam"])))
    matter = draw(st.none() | st.floats(0.01, 0.3))
    return Soil(
        sand,
        clay,
        UNTESTED_ORGANIC_MATTER if matter is None else measured(matter, TEST_DOUBT, "fraction of dry soil"),
        name,
        draw(st.none() | st.floats(0.0, 150.0)),
        draw(st.sampled_from(PhosphorusStatus)),
        draw(st.none() | st.floats(300.0, 1900.0)),
    )


@st.composite
def beds(draw: st.DrawFn, name: str, container: Container, own: Container) -> Bed:
    area = draw(st.floats(0.5, 200.0))
    way = draw(st.sampled_from(Irrigation))
    moist = way is not Irrigation.NONE and draw(st.booleans())
    depth = draw(st.none() | st.floats(0.5, 200.0)) if way is not Irrigation.NONE and not moist else None
    crops = ()
    if draw(st.booleans()):
        planted = draw(DAYS)
        crops = (
            BedCrop(
                draw(st.sampled_from(CROPS)),
                draw(st.floats(0.05, 1.0)),
                planted,
                planted + timedelta(days=draw(st.integers(1, 200))),
                draw(st.booleans()),
                draw(st.sampled_from(CropResidues)),
                draw(st.none() | st.floats(0.01, 20.0)),
            ),
        )
    residue = all_residues()[draw(st.sampled_from(RESIDUES))]
    litres = draw(st.floats(0.1, 20.0)) * area
    lifts = (
        lift_from_volume(residue, litres, area),
        fill(residue, container, draw(st.integers(1, 3)) * area / 40.0, area, others=(own,)),
    )
    layers = ()
    if sum(lift.thickness for lift in lifts) < 0.9 and draw(st.booleans()):
        layers = (Layer(name, draw(DAYS), lifts, draw(st.sampled_from([0.0, 10.0 / area, 37.5 / area]))),)
        if 0.0 < layers[0].water * area < 1.0 or layers[0].water > 100.0:
            layers = ()
    inputs = (DatedInput(draw(DAYS), "compost", draw(st.floats(0.0, 50.0)), draw(st.floats(0.0, 1.0)), 1.7),)
    return Bed(
        name,
        area,
        draw(soils()),
        Watering(way, depth, moist),
        crops,
        layers,
        inputs if draw(st.booleans()) else (),
        draw(st.booleans()),
        draw(st.floats(0.0, 0.9)),
    )


@st.composite
def gardens(draw: st.DrawFn) -> Garden:
    table = all_containers()["barrow"]
    litres = draw(st.floats(1.0, 300.0))
    residue = all_residues()[draw(st.sampled_from(RESIDUES))]
    weighing = round(litres / 1000.0 * residue.loose_density.mid, 2)
    weighed = ((residue.key, weighing),) if weighing >= 0.01 and 2.0 <= weighing / litres * 1000.0 <= 2000.0 else ()
    own = Container(
        "my tub", Spread(litres - 0.1 * litres, litres, litres + 0.1 * litres, "L", Evidence.MEASURED), weighed
    )
    every = draw(st.none() | st.integers(1, 400))
    held = draw(st.none() | NAMES)
    supply = Supply(
        residue=draw(st.sampled_from(RESIDUES)),
        container=draw(st.sampled_from(["barrow", "my tub"])),
        count=draw(st.floats(0.01, 500.0)),
        first_day=draw(DAYS),
        every_days=every,
        last_day=LAST if every is not None and draw(st.booleans()) else None,
        dried=draw(st.booleans()),
        shelf_life_days=draw(st.none() | st.integers(1, 400).map(float)),
        held_because=held,
        held_until=draw(DAYS) if held is not None else None,
        bought_in=draw(st.booleans()),
        minutes_to_fetch=draw(st.none() | st.floats(0.0, 100.0)),
        name=draw(st.none() | NAMES),
    )
    months = tuple(draw(st.floats(-10.0, 20.0)) for _ in range(12))
    site = Site(
        draw(NAMES),
        draw(st.floats(-70.0, 70.0)),
        WeatherSource(
            monthly_low=months,
            monthly_high=tuple(month + 8.0 for month in months),
            monthly_rain=tuple(draw(st.floats(0.0, 300.0)) for _ in range(12)),
        ),
        draw(st.none() | st.floats(0.0, 3000.0)),
        draw(st.sampled_from(["UTC", "Europe/Vienna"])),
        draw(st.sampled_from(UnitSystem)),
        draw(st.sampled_from(Profile)),
        ((FIRST, FIRST + timedelta(days=7)),) if draw(st.booleans()) else (),
        draw(st.none() | st.floats(-180.0, 180.0)),
    )
    limits = Limits(
        nitrogen_laid_per_year=draw(st.floats(1.0, 150.0)),
        legal_nitrogen_per_year=draw(st.none() | st.floats(1.0, 150.0)),
        litres_per_day=draw(st.none() | st.floats(1.0, 1000.0)),
        thickest_cover=draw(st.floats(0.01, 0.9)),
        days_between_layers=draw(st.integers(0, 100)),
    )
    names = draw(st.lists(NAMES, min_size=1, max_size=2, unique_by=str.casefold))
    container = own if draw(st.booleans()) else table
    return Garden(
        site, FIRST, LAST, tuple(draw(beds(name, container, own)) for name in names), (supply,), (own,), limits
    )


@settings(max_examples=40, deadline=None)
@given(gardens())
def test_every_garden_reads_back_as_it_was_written(garden: Garden) -> None:
    assert parse_garden(garden_toml(garden, Path()), "written", Path()) == garden


def test_the_bundled_garden_reads_back_as_it_was_written() -> None:
    path = bundled_garden()
    garden = read_garden(path)
    assert parse_garden(garden_toml(garden, path.parent), "written", path.parent) == garden


def test_paths_are_told_from_the_folder_the_file_will_lie_in(tmp_path: Path) -> None:
    garden = read_garden(bundled_garden())
    again = parse_garden(garden_toml(garden, tmp_path), "written", tmp_path)
    assert again.site.weather.daily_file is not None
    assert again.site.weather.daily_file.resolve() == bundled_garden().parent.resolve() / "weather.csv"


def test_an_amount_no_unit_can_hold_is_refused_rather_than_rounded() -> None:
    garden = read_garden(bundled_garden())
    odd = Garden(garden.site, FIRST, LAST, garden.beds, (), garden.containers, Limits(litres_per_day=0.25))
    with pytest.raises(ValueError, match="reads back the same"):
        garden_toml(odd, Path())
