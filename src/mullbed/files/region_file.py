"""The file of a region: TOML with season, weathers, soils and ways of laying; gardens stand in a CSV table beside it.

Amounts of a way are those of one square metre of bed, so a depth and a count of containers a square metre both work.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

from mullbed.domain.bed import Soil
from mullbed.domain.garden import Site, WeatherSource
from mullbed.domain.layer import Lift
from mullbed.domain.region import NOTHING, RegionCrop, RegionGrid, RegionLayer, RegionSpec, RegionWay
from mullbed.errors import InputFault, NotFound
from mullbed.files import amounts
from mullbed.files.garden_containers import candidates, portion, read_containers
from mullbed.files.garden_soil import read_soil
from mullbed.files.plain_text import read_plain_text
from mullbed.files.reading import Table, shown
from mullbed.files.region_gardens import read_region_gardens
from mullbed.files.toml_root import toml_root
from mullbed.reference.crops import find_crop
from mullbed.units import Kind, parse_as

LONGEST_WEEKS = 150
MOST_WAYS = 40
MOST_LAYERS = 200
MOST_LIFTS = 12
MONTHLY = ("monthly_low", "monthly_high", "monthly_rain")
SERIES = ("low", "high", "rain", "radiation", "humidity", "wind", "reference_evaporation")


def read_region(path: Path) -> RegionSpec:
    """Return the region of a file; gardens on every cell of a grid are left for the reader of the grid.

    Raises
    ------
    InputFault
        With every fault of the file and of the table of gardens.
    """
    root = toml_root(read_plain_text(path, "a region file (TOML)"), str(path))
    reading = root.reading
    name = root.text("name", required='Write name = "Lower valley".')
    seed = root.whole("seed", 0, 2**32 - 1, "")
    members = root.whole("members", 4, 4096, "members a season")
    season = _season(root)
    own = read_containers(root)
    stations, grids = _weathers(root, path.parent)
    soils = _soils(root)
    crop = _crop(root, season)
    ways = _ways(root, season, own)
    told_gardens = root.raw("gardens")
    thickest = root.parsed("thickest_cover", amounts.lift_limit, '2 mm to 1 m, such as "120 mm"')
    kept_moist = root.flag("kept_moist")
    root.no_others()
    grid_keys = [key for key, table in _named(root, "weather") if table.has("grid")]
    station_keys = [key for key, table in _named(root, "weather") if not table.has("grid")]
    keys = (station_keys, grid_keys, [key for key, _ in _named(root, "soils")])
    gardens = read_region_gardens(root, told_gardens, path.parent, *keys)
    for kind, many in (("weather", [*stations, *grids]), ("soils", soils), ("ways", ways)):
        if not many and not root.has(kind):
            root.missing(kind, "at least one", f"Add [{'[ways]' if kind == 'ways' else kind + '.NAME'}].")
    reading.raise_faults()
    if name is None or season is None:
        raise InputFault(reading.faults)
    first_day, weeks, years, south_later = season
    return RegionSpec(
        name, gardens, soils, stations, grids, ways, first_day, weeks, years, members or 16,
        1 if seed is None else seed, south_later, crop, kept_moist, thickest or 0.12,
    )  # fmt: skip


def _season(root: Table) -> tuple[date, int, int, bool] | None:
    table = root.table("season", required="Add a header [season] with first_day, weeks and years.")
    if table is None:
        return None
    first_day = table.day("first_day", required="Write first_day = 2027-03-15.")
    weeks = table.whole("weeks", 1, LONGEST_WEEKS, "weeks")
    years = table.whole("years", 1, 200, "years of weather")
    later = table.flag("south_half_a_year_later")
    for key, example in (("weeks", "weeks = 30"), ("years", "years = 10")):
        if not table.has(key):
            table.missing(key, "a whole number", f"Write {example}.")
    table.no_others()
    return None if first_day is None or weeks is None or years is None else (first_day, weeks, years, later)


def _named(root: Table, key: str) -> list[tuple[str, Table]]:
    """Return the tables [key.NAME]."""
    above = root.table(key)
    if above is None:
        return []
    told = root.raw(key)
    found = [(name, above.table(name)) for name in told]
    return [(name, table) for name, table in found if table is not None]


def _weathers(root: Table, folder: Path) -> tuple[dict[str, Site], dict[str, RegionGrid]]:
    stations: dict[str, Site] = {}
    grids: dict[str, RegionGrid] = {}
    for key, table in _named(root, "weather"):
        grid = table.text("grid")
        file = table.text("file")
        months = {one: table.numbers(one, 12) for one in MONTHLY}
        given = [table.has("grid"), table.has("file"), any(table.has(one) for one in MONTHLY)]
        if sum(given) != 1:
            remedy = 'Write file = "station.csv", or grid = "cells.nc", or three lists of monthly means.'
            table.reading.fault(table.path, f"{sum(given)} sources of weather", "one of the three", remedy)
        if table.has("grid"):
            names = tuple((one, told) for one in SERIES if (told := table.text(one)) is not None)
            axes = [table.text(axis) or axis for axis in ("latitude", "longitude")]
            if grid is not None:
                grids[key] = RegionGrid(folder / grid, names, axes[0], axes[1])
        else:
            latitude = table.number(
                "latitude", -72.0, 72.0, "degrees, north positive", required="Write latitude = 51.2, of the station."
            )
            elevation = table.parsed("elevation", amounts.height, '-450 to 6000 m, such as "120 m"')
            if table.has("file"):
                source = WeatherSource(daily_file=folder / file) if file is not None else None
            else:
                low, high, rain = (months[one] for one in MONTHLY)
                source = WeatherSource(None, low, high, rain) if low and high and rain else None
                if source is None and given[2]:
                    table.missing(
                        "three lists of monthly means", "monthly_low, monthly_high, monthly_rain", "Give all."
                    )
            if source is not None and latitude is not None:
                stations[key] = Site(key, latitude, source, elevation)
        table.no_others()
    return stations, grids


def _soils(root: Table) -> dict[str, Soil]:
    found = ((key, read_soil(table)) for key, table in _named(root, "soils"))
    return {key: soil for key, soil in found if soil is not None}


def _day(table: Table, key: str, season: tuple[date, int, int, bool] | None, required: str | None) -> int | None:
    """Return a day of the season, counted from its first one."""
    day = table.day(key, required=required)
    if day is None or season is None:
        return None
    number = (day - season[0]).days
    if not 0 <= number < 7 * season[1]:
        allowed = f"a day of the season, {season[1]} weeks from {season[0]}"
        table.fault(key, str(day), allowed, "Move it into the season, or make the season longer.")
        return None
    return number


def _crop(root: Table, season: tuple[date, int, int, bool] | None) -> RegionCrop | None:
    table = root.table("crop")
    if table is None:
        return None
    name = table.parsed("crop", _crop_key, "a crop of the table", required='Write crop = "white_cabbage_fresh".')
    planted = _day(table, "planted", season, "Write planted = 2027-05-01.")
    harvested = _day(table, "harvested", season, "Write harvested = 2027-09-30.")
    table.no_others()
    if name is None or planted is None or harvested is None:
        return None
    if harvested <= planted:
        table.fault("harvested", "not after planted", "a later day", "Swap the two days.")
        return None
    return RegionCrop(name, planted, harvested)


def _crop_key(value: Any) -> str:
    try:
        return find_crop(amounts.written(value, "white_cabbage_fresh")).key
    except NotFound as error:
        raise ValueError(candidates(error)) from error


def _ways(root: Table, season: tuple[date, int, int, bool] | None, own: Any) -> tuple[RegionWay, ...]:
    tables = root.tables("ways")
    if len(tables) > MOST_WAYS:
        root.fault("ways", f"{len(tables)} ways", f"at most {MOST_WAYS}", "Part the region in two files.")
        return ()
    ways: list[RegionWay] = []
    for table in tables:
        name = table.text("name", required='Write name = "thin, every fortnight".')
        layers: list[RegionLayer] = []
        parts = table.tables("layers")
        for part in parts:
            layers += _layers(part, season, own)
        table.no_others()
        if not parts:
            table.missing("layers", "at least one [[ways.layers]]", 'Add lifts = ["straw: 30 mm"] and first and every.')
        if name is None or not layers:
            continue
        if name.casefold() in {NOTHING, *(way.name.casefold() for way in ways)}:
            table.fault("name", shown(name), f"each name once; '{NOTHING}' is run in any case", "Choose another.")
            continue
        if len(layers) > MOST_LAYERS:
            table.fault("layers", f"{len(layers)} layers", f"at most {MOST_LAYERS}", "Lay less often.")
            continue
        ways.append(RegionWay(name, tuple(sorted(layers, key=lambda layer: layer.day))))
    return tuple(ways)


def _layers(table: Table, season: tuple[date, int, int, bool] | None, own: Any) -> list[RegionLayer]:
    """Return one kind of layer on every day it is laid."""
    lifts = _lifts(table, own)
    water = table.parsed("water", _depth, '0.1 to 100 mm, such as "3 mm"') or 0.0
    days = _days(table, season)
    table.no_others()
    return [RegionLayer(day, lifts, water) for day in days] if lifts else []


def _lifts(table: Table, own: Any) -> tuple[Lift, ...]:
    told = table.raw("lifts")
    remedy = 'Write lifts = ["dry leaves: 20 mm", "grass clippings: 15 mm"], from the soil up, for a square metre.'
    if not isinstance(told, list) or not 1 <= len(told) <= MOST_LIFTS:
        found = shown(told) if told is not None else "missing"
        table.fault("lifts", found, f"a list of 1 to {MOST_LIFTS} lifts", remedy)
        return ()
    lifts = []
    for written in told:
        try:
            lifts.append(portion(written, own).lift(1.0, own))
        except ValueError as error:
            table.fault("lifts", shown(written), 'residue and amount, such as "straw: 30 mm"', str(error))
    return tuple(lifts) if len(lifts) == len(told) else ()


def _days(table: Table, season: tuple[date, int, int, bool] | None) -> list[int]:
    """Return the days of a layer: named one by one, or from a first one every so often."""
    listed = table.raw("days")
    every = table.parsed("every", amounts.days, 'a period, such as "2 weeks"')
    times = table.whole("times", 1, MOST_LAYERS, "times")
    if (listed is not None) == table.has("first"):
        table.missing("first or days", "one of the two", 'Write first = 2027-04-05, every = "2 weeks", times = 8.')
        return []
    if listed is not None:
        holder = {str(index): day for index, day in enumerate(listed)} if isinstance(listed, list) else {"0": listed}
        each = Table(table.reading, holder, (*table.path, "days"))
        days = [_day(each, key, season, None) for key in holder]
        for key in ("every", "times"):
            if table.has(key):
                table.fault(key, "given beside days", "first, every and times together", f"Remove {key}.")
        return sorted({day for day in days if day is not None})
    first = _day(table, "first", season, None)
    if first is None or season is None:
        return []
    if every is None:
        return [first]
    last = 7 * season[1]
    return [day for number in range(times or last) if (day := first + number * every) < last]


def _depth(value: Any) -> float:
    """Return water poured over a layer. [mm]"""
    text = amounts.written(value, "3 mm")
    try:
        depth = 1000.0 * parse_as(text, Kind.LENGTH)
    except (InputFault, OverflowError) as error:
        raise ValueError('Write a depth, such as "3 mm": one litre on a square metre.') from error
    if not 0.1 <= depth <= 100.0:
        raise ValueError("Check number and unit.")
    return depth
