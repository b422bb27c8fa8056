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


#: Bounds of the weather by series. [°C, mm d-1, MJ m-2 d-1] The wettest day on record had 1825 mm (from memory).
WEATHER_BOUNDS = {
    "low": (-90.0, 60.0),
    "high": (-90.0, 60.0),
    "rain": (0.0, 2000.0),
    "reference_evaporation": (0.0, 50.0),
    "radiation": (0.0, 60.0),
}
#: Less than a milligram is no lift; rates per dry matter would lose their meaning. [g m-2]
LEAST_DRY_MATTER = 0.001
#: Bounds of a residue's chemistry. [fraction of dry matter]
CHEMISTRY_BOUNDS = {"carbon": (0.2, 0.6), "nitrogen": (0.0002, 0.15), "lignin": (0.0, 0.6)}
#: Bounds of how a residue lies: water held, interception, size factor, density [kg m-3], liking by worms.
LYING_BOUNDS = {
    "water_held": (0.1, 10.0),
    "interception": (0.0, 30.0),
    "size_factor": (0.0, 3.0),
    "laid_density": (1.0, 1500.0),
    "palatability": (0.0, 1.0),
}
_OUTSIDE = "a value is missing or outside"


class _Findings:
    """Faults found so far in a case, each with its place."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.found: list[Fault] = []

    def need(self, good: bool, place: str, value: object, allowed: str, remedy: str) -> None:
        """Note a fault unless all is good."""
        if not good:
            self.found.append(Fault(f"{self.name}, {place}", str(value), allowed, remedy))

    def between(self, value: float, bounds: tuple[float, float], place: str, unit: str, remedy: str) -> None:
        """Note a value outside of its bounds or that is no number."""
        low, high = bounds
        self.need(low <= value <= high, place, f"{value:g} {unit}", f"{low:g} to {high:g} {unit}", remedy)


def _faults(case: BedCase) -> list[Fault]:
    """Name everything a run could not stand."""
    findings = _Findings(case.name)
    _weather_faults(case, findings)
    _soil_faults(case, findings)
    _cover_faults(case, findings)
    for event in case.events:
        where = f"event on day {event.day}"
        last = case.weather.days - 1
        findings.need(0 <= event.day <= last, where, event.day, f"0 to {last}", "Move it into the weather's days.")
        if isinstance(event, Lay):
            findings.between(event.water, (0.0, 200.0), f"{where}, water", "mm", "Pour less.")
            findings.need(bool(event.lifts), where, "no lift", "at least one lift", "Name what is laid.")
            for lift in event.lifts:
                _lift_faults(lift, where, findings)
        elif isinstance(event, Pour):
            findings.between(event.water, (0.0, 500.0), f"{where}, water", "mm", "Pour less.")
        elif isinstance(event, RakeOff):
            findings.between(event.share, (0.0, 1.0), f"{where}, share", "", "Give a share.")
        elif isinstance(event, DigIn):
            findings.need(
                0.001 <= event.depth <= 0.6,
                where,
                f"{event.depth} m",
                "0.001 to 0.6 m",
                "Give a depth of 0.6 m at most.",
            )
        else:
            for name in ("ammonium", "nitrate", "organic_carbon", "organic_nitrogen"):
                most = 50_000.0 if name == "organic_carbon" else 5_000.0
                bounds = (0.0, most)
                findings.between(
                    getattr(event, name), bounds, f"{where}, {name}", "g m-2", "Give amounts of zero or more."
                )
    return findings.found


def _weather_faults(case: BedCase, findings: _Findings) -> None:
    weather = case.weather
    shape = weather.rain.shape
    whole = all(getattr(weather, name).shape == shape for name in WEATHER_BOUNDS) and len(shape) == 2
    findings.need(
        whole and min(shape) > 0, "weather", f"series of unequal or no length, {shape}",
        "series of equal length, at least one day", "Give every series for every day.",
    )  # fmt: skip
    if not whole:
        return
    for name, (low, high) in WEATHER_BOUNDS.items():
        values = getattr(weather, name)
        good = bool(((values >= low) & (values <= high)).all())
        findings.need(
            good, f"weather {name.replace('_', ' ')}", _OUTSIDE, f"{low:g} to {high:g}",
            "Fill or correct the weather first.",
        )  # fmt: skip
    findings.need(
        not bool((weather.low > weather.high).any()), "weather low", "a low above its high",
        "a low not above its high", "Swap the two or correct the day.",
    )  # fmt: skip
    findings.need(
        0 <= case.start_day < max(1, weather.days), "start day", case.start_day, f"0 to {weather.days - 1}",
        "Begin within the weather's days.",
    )  # fmt: skip
    findings.between(case.shade, (0.0, 1.0), "shade", "", "Give a share.")


def _soil_faults(case: BedCase, findings: _Findings) -> None:
    soil = case.soil
    findings.need(
        0.0 < soil.wilting_point < soil.field_capacity < 0.8,
        "soil water",
        f"wilting point {soil.wilting_point:.3f}, field capacity {soil.field_capacity:.3f}",
        "0 < wilting point < field capacity < 0.8",
        "Check sand, clay and organic matter.",
    )
    findings.between(soil.clay, (0.0, 1.0), "clay", "", "Give a fraction.")
    held = (*soil.pools, *soil.pool_nitrogen)
    findings.need(
        all(0.0 <= one <= 1e6 for one in held), "soil pools", ", ".join(f"{one:g}" for one in held),
        "0 to 1,000,000 g m-2 each", "Check the organic matter.",
    )  # fmt: skip
    findings.between(soil.start_water, (0.0, 2.0), "water at the start", "of field capacity", "Give a share.")
    for name in ("start_ammonium", "start_nitrate"):
        findings.between(getattr(soil, name), (0.0, 1_000.0), name.replace("_", " "), "g m-2", "Check the soil test.")
    if soil.start_warmth is not None:
        findings.between(soil.start_warmth, (-90.0, 60.0), "warmth at the start", "°C", "Check the thermometer.")


def _cover_faults(case: BedCase, findings: _Findings) -> None:
    if case.cover is None:
        return
    for name, most in (("basal_coefficient", 3.0), ("ground_cover", 1.0), ("nitrogen_demand", 100.0)):
        values = getattr(case.cover, name)
        good = values.shape == (case.weather.days,) and bool(((values >= 0.0) & (values <= most)).all())
        findings.need(
            good, f"crop {name.replace('_', ' ')}", _OUTSIDE, f"0 to {most:g} on each of {case.weather.days} days",
            "Check the crops of the bed.",
        )  # fmt: skip


def _lift_faults(lift: LaidLift, where: str, findings: _Findings) -> None:
    residue = lift.residue
    place = f"{where}, {residue.name}"
    findings.need(
        LEAST_DRY_MATTER <= lift.dry_matter <= 40_000.0,
        place,
        f"{lift.dry_matter:g} g m-2 of {residue.name}",
        f"at least {LEAST_DRY_MATTER:g}, at most 40,000 g m-2",
        "Check amount and area.",
    )
    findings.between(lift.dry_matter_log_sd, (0.0, 2.0), f"{place}, doubt of its mass", "", "Check the doubt.")
    for name, (low, high) in CHEMISTRY_BOUNDS.items():
        spread = getattr(residue, name)
        findings.need(
            low <= spread.mid <= high and 0.0 <= spread.low <= spread.mid <= spread.high < 1.0,
            f"{place}, {name}",
            f"{name} {spread.mid:g} ({spread.low:g} to {spread.high:g})",
            f"{low:g} to {high:g} of dry matter, low not above mid, mid not above high",
            f"Check the residue's {name}.",
        )
    for name, bounds in LYING_BOUNDS.items():
        findings.between(getattr(residue, name), bounds, f"{place}, {name.replace('_', ' ')}", "", "Check the residue.")
    for name in ("free_water", "tissue_water"):
        findings.between(
            getattr(lift, name), (0.0, 500.0), f"{place}, {name.replace('_', ' ')}", "mm", "Check its moisture."
        )
