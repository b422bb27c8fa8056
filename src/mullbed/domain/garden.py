"""A garden: its place, its beds, what can be laid and what must be kept within limits."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from pathlib import Path

from mullbed.domain.bed import Bed
from mullbed.domain.refusal import Override
from mullbed.domain.supply import Container, Supply


class Profile(StrEnum):
    """Who gardens here; rules of safety differ."""

    HOME = "home"
    SHARED = "shared"
    SCHOOL = "school"
    LIVESTOCK = "livestock"


class Danger(StrEnum):
    """What threatens a place; rules of safety hold only where it does."""

    FIRE = "fire"
    TERMITES = "termites"
    JUMPING_WORMS = "jumping worms"


class UnitSystem(StrEnum):
    """Units on screen and paper."""

    METRIC = "metric"
    US = "us"


class SeasonsFrom(StrEnum):
    """How possible seasons are made from a station's record."""

    YEARS = "years"
    BLOCKS = "blocks"
    GENERATED = "generated"


@dataclass(frozen=True, slots=True)
class WeatherSource:
    """Where the weather comes from: a daily file, or twelve monthly means as a guess."""

    daily_file: Path | None = None
    monthly_low: tuple[float, ...] | None = None
    """Twelve means of the daily low. [°C]"""
    monthly_high: tuple[float, ...] | None = None
    """Twelve means of the daily high. [°C]"""
    monthly_rain: tuple[float, ...] | None = None
    """Twelve monthly sums. [mm per month]"""
    seasons: SeasonsFrom = SeasonsFrom.YEARS
    """From a daily file: its years, blocks of them, or a generator fitted to them."""
    warmer: tuple[float, ...] | None = None
    """Twelve months' change of temperature, to try another climate. [°C]"""
    rain_times: tuple[float, ...] | None = None
    """Twelve months' rain over that of the record. [1]"""


@dataclass(frozen=True, slots=True)
class Site:
    """The place."""

    name: str
    latitude: float
    """North positive. [degrees]"""
    weather: WeatherSource
    elevation: float | None = None
    """[m]"""
    time_zone: str = "UTC"
    units: UnitSystem = UnitSystem.METRIC
    profile: Profile = Profile.HOME
    weeks_away: tuple[tuple[date, date], ...] = ()
    """First and last day of each absence."""
    longitude: float | None = None
    """East positive; None where the place is not told closer. [degrees]"""
    dangers: tuple[Danger, ...] = ()


@dataclass(frozen=True, slots=True)
class Limits:
    """What must not be passed. Defaults are judgement and may be edited; a legal limit binds."""

    nitrogen_fed_share: float = 1.2
    """Nitrogen fed in the season, at its 90th percentile, per crop want. [1]"""
    nitrogen_laid_per_year: float = 60.0
    """Total nitrogen laid in a year. [g m-2]"""
    phosphorus_share_of_removal: float = 2.0
    """Phosphorus laid in a year per removal; 1 when the soil test is high. [1]"""
    legal_nitrogen_per_year: float | None = None
    """Entered by the grower; None when none is known. [g m-2]"""
    legal_phosphorus_per_year: float | None = None
    """[g m-2]"""
    minutes_per_day: float | None = None
    """Work on a laying day; None for no limit. [min]"""
    litres_per_day: float | None = None
    """Water that can be carried on a laying day; None for no limit. [L]"""
    days_between_layers: int = 21
    """[d]"""
    thickest_soft_fresh: float = 0.03
    """Thickest lift of soft fresh residue. [m]"""
    thickest_cover: float = 0.12
    """Thickest cover, settled. [m]"""
    days_before_direct_sowing: int | None = None
    """No soft fresh layer so many days before robust seed; None for the days of the safety rule. [d]"""
    days_before_fine_seed: int | None = None
    """[d]"""


@dataclass(frozen=True, slots=True)
class Garden:
    """Everything a grower wrote in the garden file."""

    site: Site
    first_day: date
    last_day: date
    """First and last day of the season to plan."""
    beds: tuple[Bed, ...]
    supplies: tuple[Supply, ...]
    containers: tuple[Container, ...] = ()
    """Own containers; they override the table."""
    limits: Limits = field(default_factory=Limits)
    overrides: tuple[Override, ...] = ()
    """Rules of safety that somebody set aside, with the reason."""

    def bed(self, name: str) -> Bed | None:
        """Return the bed called so, or None."""
        wanted = name.casefold()
        return next((bed for bed in self.beds if bed.name.casefold() == wanted), None)
