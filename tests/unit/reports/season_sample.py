"""An invented garden and an invented season plan to draw from; no number in it is a result of the model."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from mullbed.domain.bed import Bed, BedCrop, Soil
from mullbed.domain.forecast import Band, BedForecast, LiftThrough, RelativeBalance
from mullbed.domain.garden import Garden, Site, UnitSystem, WeatherSource
from mullbed.domain.layer import Layer, Lift
from mullbed.domain.mix import Finding, MixCheck
from mullbed.domain.season_plan import Budget, Fed, Gathering, OutcomesCount, PlannedLayer, Reason, SeasonPlan, Shortage
from mullbed.domain.spread import Evidence, Spread
from mullbed.domain.supply import Supply

FIRST = date(2027, 3, 1)
LAST = date(2027, 10, 25)
DAYS = (LAST - FIRST).days + 1
BALANCE = RelativeBalance(3.1e-13, 4.4e-13, 1.2e-13)


def spread(low: float, mid: float, high: float, unit: str = "g m-2") -> Spread:
    return Spread(low, mid, high, unit, Evidence.WORKED_OUT, "mullbed_model")


def lift(residue: str, container: str, count: float, thickness: float, dry_matter: float, fresh: bool = False) -> Lift:
    return Lift(
        residue,
        container,
        count,
        dry_matter,
        0.3,
        Evidence.PUBLISHED,
        thickness,
        fresh,
        tissue_water=4.0 * dry_matter / 1000 if fresh else 0.0,
        free_water=0.0 if fresh else 0.2,
    )


def bed(name: str, area: float, crop: str, planted: date, harvested: date, layers: tuple[Layer, ...] = ()) -> Bed:
    return Bed(
        name,
        area,
        Soil(0.4, 0.2, Spread(0.025, 0.035, 0.045, "fraction", Evidence.GUESS), "loam"),
        crops=(BedCrop(crop, 1.0, planted, harvested, crop == "carrot_bunched"),),
        layers=layers,
    )


def layer(bed_name: str, day: date, *lifts: Lift, water: float = 2.0) -> Layer:
    return Layer(bed_name, day, lifts, water)


OLD = layer("Wall", date(2026, 11, 8), lift("leaf_municipal", "bag", 3, 0.06, 900))

GARDEN = Garden(
    Site("Kestrel Yard", 47.6, WeatherSource()),
    FIRST,
    LAST,
    (
        bed("Wall", 3.6, "tomato", date(2027, 5, 14), date(2027, 9, 30), (OLD,)),
        bed("Low", 4.8, "bush_snap_bean", date(2027, 5, 20), date(2027, 8, 20)),
        bed("Gate & <Arch>", 2.4, "pumpkin_winter_squash", date(2027, 5, 25), date(2027, 9, 10)),
        bed("Well", 3.0, "carrot_bunched", date(2027, 4, 20), date(2027, 8, 30)),
    ),
    (
        Supply("grass_clip", "bucket", 6, date(2027, 4, 10), 14),
        Supply("leaf_shredded", "bag", 12, FIRST),
        Supply("straw_wheat", "barrow", 4, FIRST),
        Supply("hay_grass", "bale", 3, FIRST, held_because="suspected herbicide", held_until=date(2027, 5, 18)),
    ),
)


def _planned(what: Layer, *, cans: float, reasons: tuple[Reason, ...], lying: float, settled: float) -> PlannedLayer:
    late = what.day + timedelta(days=24)
    return PlannedLayer(
        what,
        cans,
        cans * 9.0,
        25.0,
        settled,
        lying,
        spread(4.1, 5.6, 7.4),
        spread(0.4, 0.6, 0.9),
        spread(-0.6, 0.9, 2.3),
        (what.day + timedelta(days=6), what.day + timedelta(days=12), late),
        reasons,
        ("persistent_herbicide", "slime"),
    )


WALL_FIRST = layer(
    "Wall",
    date(2027, 4, 24),
    lift("grass_clip", "bucket", 3, 0.0214, 260, True),
    lift("leaf_shredded", "bag", 2, 0.0497, 420),
)
PLANNED = (
    _planned(
        WALL_FIRST,
        cans=2,
        lying=0.031,
        settled=0.071,
        reasons=(
            Reason("feeds when the crop wants", 2.1, date(2027, 6, 24), "tomato"),
            Reason("uses what would spoil", 3, date(2027, 4, 25), "grass_clip"),
        ),
    ),
    _planned(
        layer(
            "Wall",
            date(2027, 6, 6),
            lift("grass_clip", "bucket", 2, 0.0151, 180, True),
            lift("straw_wheat", "barrow", 0.5, 0.043, 310),
        ),
        cans=1.5,
        lying=0.052,
        settled=0.08,
        reasons=(Reason("feeds when the crop wants", 1.2, date(2027, 7, 10), "tomato"),),
    ),
    _planned(
        layer("Low", date(2027, 4, 24), lift("straw_wheat", "barrow", 2, 0.061, 520)),
        cans=3,
        lying=0.0,
        settled=0.043,
        reasons=(Reason("covers bare soil"),),
    ),
    _planned(
        layer(
            "Gate & <Arch>",
            date(2027, 7, 13),
            lift("cardboard", "sheet", 6, 0.005, 400),
            lift("food_scraps", "bucket", 4, 0.03, 350, True),
            lift("woodchip", "barrow", 1, 0.05, 900),
        ),
        cans=2,
        lying=0.0,
        settled=0.05,
        reasons=(Reason("a new reason", 2.0),),
    ),
)


def _lift_through(what: Layer, index: int, rate: float) -> LiftThrough:
    days = np.arange(DAYS) + (FIRST - what.day).days
    gone = np.where(days >= 0, 1 - np.exp(-rate * days), np.nan)
    thick = np.where(days >= 0, what.lifts[index].thickness * (1 - 0.85 * gone) * np.where(days > 0, 0.8, 1), np.nan)
    return LiftThrough(what, index, thick, gone, np.where(days >= 0, 0.6, np.nan))


def forecast(name: str) -> BedForecast:
    layers = [*(OLD,) * (name == "Wall"), *(one.layer for one in PLANNED if one.layer.bed == name)]
    lifts = tuple(
        _lift_through(one, index, 0.012 if one.lifts[index].fresh else 0.004)
        for one in layers
        for index in range(len(one.lifts))
    )
    total = np.nansum(np.array([through.thickness for through in lifts]), axis=0) if lifts else np.zeros(DAYS)
    day = np.arange(DAYS, dtype=float)
    given = 7.0 / (1 + np.exp(-(day - 120) / 18)) - 0.8 * np.exp(-(((day - 62) / 9) ** 2))
    soil = 5.0 * day / DAYS

    def band(middle: np.ndarray, share: float) -> Band:
        return Band(middle - share * np.abs(middle), middle, middle + share * np.abs(middle))

    want = np.where((day > 80) & (day < 200), 0.09, 0.0)
    return BedForecast(
        name,
        FIRST,
        {
            "thickness": band(total, 0.2),
            "moisture": band(np.full(DAYS, 0.55), 0.15),
            "layer_temperature": band(12 + 8 * np.sin(day / 75), 0.1),
            "soil_temperature": band(11 + 6 * np.sin(day / 75), 0.1),
            "mineral_nitrogen": band(np.full(DAYS, 4.0), 0.3),
            "net_nitrogen": band(given, 0.3),
            "ammonia_lost": band(0.4 * day / DAYS, 0.6),
            "leached": band(0.8 * day / DAYS, 0.5),
            "cover": band(np.clip(total / 0.03, 0, 0.97), 0.02),
            "soil_nitrogen": band(soil, 0.2),
        },
        lifts,
        want,
        BALANCE,
        {"weather": 0.35, "chemistry": 0.2, "amount": 0.15, "place": 0.1, "rates": 0.2},
    )


def _fed(layers: float) -> Fed:
    return Fed(
        10.8,
        spread(3.5, 5.0, 6.6),
        spread(layers * 0.6, layers, layers * 1.4),
        spread(0.1, 0.4, 1.2),
        spread(0.3, 0.8, 1.9),
        spread(150, 180, 201, "d"),
    )


_BEDS = tuple(one.name for one in GARDEN.beds)

PLAN = SeasonPlan(
    garden="Kestrel Yard",
    first_day=FIRST,
    last_day=LAST,
    seed=7,
    layers=PLANNED,
    gather=(
        Gathering(date(2027, 4, 19), "grass_clip", "bucket", 3, "lawn clippings", date(2027, 4, 25)),
        Gathering(date(2027, 4, 19), "leaf_shredded", "bag", 2, "leaf heap", None),
    ),
    gap=0.018,
    outcomes=OutcomesCount(3, 48, 32, 41472),
    budget={name: Budget(11.2, 60.0, 7.9, 13.0, 1.2, 3.6, 1.8) for name in _BEDS},
    promise={name: _fed(6.8) for name in _BEDS},
    rehearsal={name: _fed(6.1) for name in _BEDS},
    corrections=1,
    unmet={"Wall": {"2027-06": 1.4, "2027-07": 0.6}, "Low": {}, "Gate & <Arch>": {"2027-07": 2.2}, "Well": {}},
    supply_left={"leaf heap": 0.0, "lawn clippings": 1.0},
    shortages=(Shortage("leaf_shredded", "Gate & <Arch>", "2027-07", 2.0, "bag"),),
    held=(("hay_grass", "suspected herbicide", date(2027, 5, 18)),),
    forecasts={name: forecast(name) for name in _BEDS},
    balance=BALANCE,
    weather="invented weather of four years",
)

US_GARDEN = replace(GARDEN, site=replace(GARDEN.site, units=UnitSystem.US))

CHECK = MixCheck(
    layer=layer(
        "",
        date(2027, 5, 1),
        lift("leaf_municipal", "depth", 25, 0.025, 1100),
        lift("grass_clip", "depth", 50, 0.05, 2400, True),
        lift("leaf_municipal", "depth", 12, 0.012, 500),
    ),
    area=1.0,
    carbon_to_nitrogen=spread(17, 22, 29, "1"),
    nitrogen=spread(60, 92, 130),
    phosphorus=spread(6, 9, 14),
    moisture=Spread(0.45, 0.55, 0.63, "fraction", Evidence.WORKED_OUT),
    dry_matter=spread(2800, 4000, 5400),
    fresh_thickness=0.087,
    wilted_thickness=0.055,
    water_needed_litres=2.1,
    visits=8,
    season_nitrogen=spread(480, 736, 1040),
    season_phosphorus=spread(48, 72, 112),
    net_nitrogen_days=(0, 14, 28, 56, 112, 182),
    net_nitrogen=(
        spread(0, 0, 0),
        spread(-2, 1, 4),
        spread(-1, 6, 13),
        spread(4, 17, 30),
        spread(12, 30, 48),
        spread(18, 38, 60),
    ),
    ammonia_lost=spread(1, 6, 18),
    leached=spread(3, 9, 20),
    weather="a stated mild year",
    findings=(
        Finding("season nitrogen far above any crop", {"nitrogen": 736.0, "crop_want": 20.0}, Evidence.WORKED_OUT),
        Finding("soft fresh too thick", {"thickness": 0.05, "limit": 0.03}, Evidence.GUESS),
    ),
)
