"""Where the soil of a bed is going over years: bands by year, tests it was held against, what builds up."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from mullbed.domain.bed import PhosphorusStatus
from mullbed.domain.forecast import Band
from mullbed.domain.spread import Spread


class SoilThing(StrEnum):
    """What is looked ahead at."""

    ORGANIC_MATTER = "organic_matter"
    """Of 0-25 cm. [fraction of dry soil]"""
    NITROGEN_SUPPLY = "nitrogen_supply"
    """What soil and cover give in the year before. [g m-2 a-1]"""
    AVAILABLE_WATER = "available_water"
    """Water between field capacity and wilting point in 0-25 cm. [mm]"""
    BULK_DENSITY = "bulk_density"
    """[kg m-3]"""


@dataclass(frozen=True, slots=True)
class SoilTestValue:
    """A measured value of a bed on a day, to hold the outlook against."""

    day: date
    thing: SoilThing
    value: float
    error: float
    """Standard error of one test. [unit of the thing]"""


@dataclass(frozen=True, slots=True)
class TestMet:
    """A test beside what was expected of it."""

    __test__ = False  # no test case, whatever its name

    test: SoilTestValue
    low: float
    mid: float
    high: float
    """What was expected before this test was known: 10th, 50th and 90th percentile, error of the test included."""

    @property
    def inside(self) -> bool:
        """Tell whether the test lies between the 10th and 90th percentile."""
        return self.low <= self.test.value <= self.high


@dataclass(frozen=True, slots=True)
class NutrientBalance:
    """One nutrient of one bed in a year of the plan. [g m-2 a-1]"""

    nutrient: str
    laid: Spread
    removed: Spread
    surplus: Spread
    status: PhosphorusStatus | None = None
    """Of the soil test; None where the nutrient has none."""
    unknown: tuple[str, ...] = ()
    """Residues and crops whose content nobody told; left out."""

    def after(self, years: int) -> Spread:
        """Return what has built up after so many years. [g m-2]"""
        return Spread(
            years * self.surplus.low,
            years * self.surplus.mid,
            years * self.surplus.high,
            "g m-2",
            self.surplus.evidence,
            self.surplus.source,
        )


@dataclass(frozen=True, slots=True)
class OutlookWarning:
    """What to mind, as a code with its numbers; a report makes the sentence."""

    code: str
    amount: float | None = None
    year: int | None = None


@dataclass(frozen=True, slots=True)
class SoilOutlook:
    """One bed over years."""

    bed: str
    days: tuple[date, ...]
    """Start, then the same day of every year; bands have one value for each."""
    now: int
    """Index of the year the plan begins with; those before are what the tests look back on."""
    planned: dict[SoilThing, Band]
    """With the year's layers laid again every year."""
    bare: dict[SoilThing, Band]
    """With nothing laid, for comparison."""
    rule: Band
    """Organic matter by a rule of thumb instead of the daily pools. [fraction]"""
    dry_matter: float
    """Laid in a year. [g m-2]"""
    nitrogen_laid: float
    """In a year. [g m-2]"""
    crop_want: float
    """Nitrogen the crops want in a year. [g m-2]"""
    rise_chance: float
    """Chance that organic matter ends higher than it is now. [fraction]"""
    gain_chance: float
    """Chance that it ends higher than with nothing laid. [fraction]"""
    seen_from: int | None
    """First year in which the middle change is beyond what soil tests tell over time; None for not within the years."""
    tests: tuple[TestMet, ...]
    informed: float
    """Effective number of members after the tests, over their number. [fraction]"""
    balances: tuple[NutrientBalance, ...]
    warnings: tuple[OutlookWarning, ...]
    members: int
    weather: str
    """Where the weather comes from."""

    @property
    def years(self) -> int:
        """Years ahead."""
        return len(self.days) - 1 - self.now
