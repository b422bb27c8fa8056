"""A record of weather as it was read: what its columns are, what is missing, what was filled, what looks odd."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from mullbed.domain.daily_weather import DailyWeather


class How(StrEnum):
    """How a column and its unit were found."""

    TOLD = "you told it"
    HEADER = "name and unit stand in the table"
    NAME = "known by its name, unit guessed from its values"
    UNKNOWN = "its unit cannot be told"


class GapWay(StrEnum):
    """What is done about missing values."""

    LEAVE = "leave"
    REFUSE = "refuse"
    LINE = "line"
    OTHER_YEARS = "other-years"


@dataclass(frozen=True, slots=True)
class ColumnFound:
    """One of our columns in a station's table."""

    column: str
    headings: tuple[str, ...]
    """Two are joined, as lowest and highest humidity."""
    unit: str
    """As the table has it; empty where it cannot be told."""
    our_unit: str
    how: How
    low: float
    """Smallest value, in our unit."""
    middle: float
    high: float
    marks: tuple[tuple[str, int], ...] = ()
    """Numbers taken for "not measured", and traces of rain taken for zero, with how often they stand there."""


@dataclass(frozen=True, slots=True)
class HeadingLeftOut:
    """A heading that is not used, and why."""

    heading: str
    why: str


@dataclass(frozen=True, slots=True)
class Gap:
    """Days in a row on which a column has no value."""

    column: str
    first_day: date
    days: int

    @property
    def last_day(self) -> date:
        """Last day without a value."""
        return self.first_day + timedelta(days=self.days - 1)


@dataclass(frozen=True, slots=True)
class Filled:
    """A gap that was filled, and how."""

    gap: Gap
    how: str


@dataclass(frozen=True, slots=True)
class Suspicion:
    """Something in a record that should be looked at."""

    column: str
    first_day: date
    last_day: date
    found: str
    may_be: str
    remedy: str


@dataclass(frozen=True, slots=True)
class YearSummary:
    """A calendar year of the record; None where more than a tenth of its days are missing."""

    year: int
    days: int
    """Days with lowest, highest and rain."""
    mean_temperature: float | None
    """[°C]"""
    rain: float | None
    """[mm]"""
    demand: float | None
    """Reference evapotranspiration, given or worked out. [mm]"""


@dataclass(frozen=True, slots=True)
class WeatherRead:
    """A record, and all that was found out about it."""

    place: str
    """Name of the file."""
    weather: DailyWeather
    columns: tuple[ColumnFound, ...]
    left_out: tuple[HeadingLeftOut, ...]
    date_order: str
    wind_height: float
    """Where the wind was measured. [m]"""
    absent_days: int
    """Days without a row."""
    swapped: tuple[date, ...]
    """Days on which lowest and highest were swapped back."""
    gaps: tuple[Gap, ...]
    """Gaps that stay."""
    filled: tuple[Filled, ...]
    suspicions: tuple[Suspicion, ...]
    years: tuple[YearSummary, ...]
    text: str
    """The record as a station file a garden can name."""
    mapping: str
    """What the columns are, as a mapping file that may be given again."""

    @property
    def unconfirmed(self) -> tuple[ColumnFound, ...]:
        """Columns whose unit was only guessed."""
        return tuple(one for one in self.columns if one.how in (How.NAME, How.UNKNOWN))


@dataclass(frozen=True, slots=True)
class WeatherFetched:
    """A record as an open service answered it."""

    read: WeatherRead
    service: str
    address: str
    attribution: str
    """Who is to be named wherever the data are shown."""
    terms: str
    grid: str
    """How coarse the service's grid is, in words."""
    from_cache: bool
    fetched_on: str
    """Day it came over the network, ISO 8601."""
    latitude: float | None
    """Middle of the grid cell, as answered. [degrees]"""
    longitude: float | None
    elevation: float | None
    """Of the cell, as answered. [m]"""


@dataclass(frozen=True, slots=True)
class SeasonFigures:
    """What a set of seasons is like: 10th, 50th and 90th percentile over the seasons."""

    name: str
    seasons: int
    rain: tuple[float, float, float]
    """[mm]"""
    wet_days: tuple[float, float, float]
    """Days with a millimetre or more. [d]"""
    longest_dry: tuple[float, float, float]
    """Longest spell without such a day. [d]"""
    mean_temperature: tuple[float, float, float]
    """[°C]"""
    hottest: tuple[float, float, float]
    """Highest temperature of the season. [°C]"""
    demand: tuple[float, float, float]
    """Reference evapotranspiration. [mm]"""


@dataclass(frozen=True, slots=True)
class PossibleSeasons:
    """Possible seasons of a record beside its past years."""

    place: str
    source: str
    evidence: str
    first_day: date
    last_day: date
    past: SeasonFigures | None
    """Past years as they were; None where fewer than three are whole."""
    possible: SeasonFigures
    weaknesses: tuple[str, ...]
