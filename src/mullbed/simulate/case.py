"""What is run: one bed through one period, with its soil, weather, crop cover and dated events."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.residue import Residue
from mullbed.errors import Fault, InputFault

Series = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SoilColumn:
    """Soil as the engine needs it."""

    clay: float
    """[fraction]"""
    field_capacity: float
    """[m3 m-3]"""
    wilting_point: float
    """[m3 m-3]"""
    pools: tuple[float, float, float, float, float]
    """DPM, RPM, BIO, HUM and IOM of 0-25 cm. [g C m-2]"""
    pool_nitrogen: tuple[float, float]
    """Nitrogen of DPM and RPM. [g m-2]"""
    start_water: float = 0.9
    """Share of field capacity at the start. [1]"""
    start_ammonium: float = 0.6
    """0-60 cm. [g m-2]"""
    start_nitrate: float = 3.4
    """0-60 cm. [g m-2]"""
    start_warmth: float | None = None
    """Soil temperature at the start; None for the first week's mean air. [°C]"""


@dataclass(frozen=True, slots=True)
class LaidLift:
    """One lift as the engine needs it."""

    residue: Residue
    dry_matter: float
    """Middle estimate. [g m-2]"""
    dry_matter_log_sd: float
    """[1]"""
    free_water: float
    """[mm]"""
    tissue_water: float
    """[mm]"""
    fresh: bool
    draw_key: str
    """Names the stream of common random numbers: equal keys draw equal doubt in compared runs."""


@dataclass(frozen=True, slots=True)
class Lay:
    """Lay lifts, named from the soil up, and pour water over them."""

    day: int
    lifts: tuple[LaidLift, ...]
    water: float = 0.0
    """[mm]"""


@dataclass(frozen=True, slots=True)
class Pour:
    """Pour or irrigate water. [mm]"""

    day: int
    water: float


@dataclass(frozen=True, slots=True)
class RakeOff:
    """Take a share of what lies on the bed away. [1]"""

    day: int
    share: float


@dataclass(frozen=True, slots=True)
class DigIn:
    """Dig what lies on the bed in to a depth. [m]"""

    day: int
    depth: float


@dataclass(frozen=True, slots=True)
class Feed:
    """Give mineral nitrogen and compost. [g m-2]"""

    day: int
    ammonium: float
    nitrate: float
    organic_carbon: float = 0.0
    organic_nitrogen: float = 0.0


Event = Lay | Pour | RakeOff | DigIn | Feed


@dataclass(frozen=True, slots=True)
class CropCover:
    """Crops on the bed by day, shared by area; arrays of shape (days,)."""

    basal_coefficient: Series
    """[1]"""
    ground_cover: Series
    """[1]"""
    nitrogen_demand: Series
    """[g m-2 d-1]"""

    @classmethod
    def bare(cls, days: int) -> CropCover:
        """Return bare ground."""
        return cls(np.full(days, 0.15), np.zeros(days), np.zeros(days))


@dataclass(frozen=True, slots=True)
class BedCase:
    """One bed through one period."""

    name: str
    weather: WeatherYears
    soil: SoilColumn
    events: tuple[Event, ...] = ()
    cover: CropCover | None = None
    kept_moist: bool = False
    under_cover: bool = False
    """A tunnel or glasshouse."""
    shade: float = 0.0
    """[1]"""
    start_day: int = 0
    """First day that is run; earlier days of the weather are skipped."""
    lifts: tuple[LaidLift, ...] = field(default=(), init=False)

    def __post_init__(self) -> None:
        object.__setattr__(
            self,
            "lifts",
            # In order of laying, as the engine packs them: draws are matched to lifts by this order.
            tuple(
                lift
                for event in sorted(self.events, key=lambda one: one.day)
                if isinstance(event, Lay)
                for lift in event.lifts
            ),
        )
        faults = list(_faults(self))
        if faults:
            raise InputFault(faults)


def _faults(case: BedCase) -> list[Fault]:
    """Name everything a run could not stand."""
    found: list[Fault] = []

    def need(good: bool, place: str, value: object, allowed: str, remedy: str) -> None:
        if not good:
            found.append(Fault(f"{case.name}, {place}", str(value), allowed, remedy))

    weather, soil = case.weather, case.soil
    series = {
        "low": weather.low,
        "high": weather.high,
        "rain": weather.rain,
        "reference evaporation": weather.reference_evaporation,
        "radiation": weather.radiation,
    }
    for name, values in series.items():
        bounds = (-60.0, 60.0) if name in ("low", "high") else (0.0, 2000.0)
        good = bool(np.isfinite(values).all()) and bool((values >= bounds[0]).all() and (values <= bounds[1]).all())
        need(
            good,
            f"weather {name}",
            "missing or impossible values",
            f"{bounds[0]:g} to {bounds[1]:g}",
            "Fill or correct the weather first.",
        )
    need(
        0.0 < soil.wilting_point < soil.field_capacity < 0.8,
        "soil water",
        f"wilting point {soil.wilting_point:.3f}, field capacity {soil.field_capacity:.3f}",
        "0 < wilting point < field capacity < 0.8",
        "Check sand, clay and organic matter.",
    )
    need(0.0 <= soil.clay <= 1.0, "clay", soil.clay, "0 to 1", "Give a fraction.")
    need(min(soil.pools) >= 0.0, "soil pools", min(soil.pools), "0 or more", "Check the organic matter.")
    for event in case.events:
        where = f"event on day {event.day}"
        need(
            0 <= event.day < weather.days,
            where,
            event.day,
            f"0 to {weather.days - 1}",
            "Move it into the weather's days.",
        )
        if isinstance(event, Lay):
            need(0.0 <= event.water <= 200.0, where, f"{event.water} mm of water", "0 to 200 mm", "Pour less.")
            for lift in event.lifts:
                need(
                    0.0 < lift.dry_matter <= 40_000.0,
                    where,
                    f"{lift.dry_matter:g} g m-2 of {lift.residue.name}",
                    "above 0, at most 40,000 g m-2",
                    "Check amount and area.",
                )
                need(
                    0.15 <= lift.residue.carbon.mid <= 0.65,
                    where,
                    f"carbon {lift.residue.carbon.mid:g}",
                    "0.15 to 0.65 of dry matter",
                    "Check the residue's carbon.",
                )
                need(
                    0.0 < lift.residue.nitrogen.mid <= 0.15,
                    where,
                    f"nitrogen {lift.residue.nitrogen.mid:g}",
                    "above 0, at most 0.15 of dry matter",
                    "Check the residue's nitrogen.",
                )
                need(
                    0.0 <= lift.free_water <= 500.0 and 0.0 <= lift.tissue_water <= 500.0,
                    where,
                    "water of the lift",
                    "0 to 500 mm",
                    "Check its moisture.",
                )
        elif isinstance(event, Pour):
            need(0.0 <= event.water <= 500.0, where, f"{event.water} mm", "0 to 500 mm", "Pour less.")
        elif isinstance(event, RakeOff):
            need(0.0 <= event.share <= 1.0, where, event.share, "0 to 1", "Give a share.")
        elif isinstance(event, DigIn):
            need(0.0 < event.depth <= 0.6, where, f"{event.depth} m", "above 0, at most 0.6 m", "Dig less deep.")
        else:
            least = min(event.ammonium, event.nitrate, event.organic_carbon, event.organic_nitrogen)
            need(least >= 0.0, where, least, "0 or more", "Give amounts of zero or more.")
    return found
