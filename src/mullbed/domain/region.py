"""A region: many gardens, ways of laying, years of weather; and what they came to."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.bed import Soil
from mullbed.domain.garden import Site
from mullbed.domain.layer import Lift

Array = NDArray[np.float64]

NOTHING = "nothing laid"
"""Name of the way every other way is held against; it is always run."""
LEVELS = tuple(round(0.05 * step, 2) for step in range(1, 20))
"""Shares of the runs that lie below each of the kept values: nineteen equal steps."""
HALF_A_YEAR = 182
"""[d]"""
NITRATE_LIMIT = 50.0
"""Nitrate that ground water may hold: Council Directive 91/676/EEC (1991), annex I A 2 [from memory]. [mg L-1]"""
NITRATE_PER_NITROGEN = 62.005 / 14.007
"""Mass of nitrate per mass of its nitrogen. [1]"""
LEAST_DRAINAGE = 10.0
"""With less water drained in the season there is no concentration to tell. Judgement. [mm]"""


class RegionThing(StrEnum):
    """What is told of each garden and way, of one season."""

    NITROGEN_FED = "nitrogen_fed"
    NITRATE_LEACHED = "nitrate_leached"
    NITRATE_ADDED = "nitrate_added"
    NITROGEN_LEFT = "nitrogen_left"
    AMMONIA_LOST = "ammonia_lost"
    LAYERS_FIT = "layers_fit"
    LAYERS_USED = "layers_used"
    WATER_SAVED = "water_saved"
    WATER_DRAINED = "water_drained"
    WATER_GIVEN = "water_given"
    CARBON_KEPT = "carbon_kept"


THINGS: tuple[RegionThing, ...] = tuple(RegionThing)


@dataclass(frozen=True, slots=True)
class ThingMeaning:
    """What a thing means: unit and words, for files that explain themselves."""

    unit: str
    """As the CF conventions write it."""
    meaning: str


MEANINGS: dict[RegionThing, ThingMeaning] = {
    RegionThing.NITROGEN_FED: ThingMeaning(
        "g m-2", "nitrogen given to soil and crop by the layers; negative where they tie it up"
    ),
    RegionThing.NITRATE_LEACHED: ThingMeaning("g m-2", "nitrate nitrogen washed below the roots"),
    RegionThing.NITRATE_ADDED: ThingMeaning(
        "g m-2", "nitrate nitrogen washed below the roots more than from bare soil"
    ),
    RegionThing.NITROGEN_LEFT: ThingMeaning("g m-2", "mineral nitrogen in the upper 25 cm of soil on the last day"),
    RegionThing.AMMONIA_LOST: ThingMeaning("g m-2", "nitrogen lost to the air as ammonia"),
    RegionThing.LAYERS_FIT: ThingMeaning("1", "layers that found room under the thickest cover on their day"),
    RegionThing.LAYERS_USED: ThingMeaning("1", "layers that were used up: carbon gone, in layers"),
    RegionThing.WATER_SAVED: ThingMeaning("mm", "evaporation from soil, layers and leaves less than from bare soil"),
    RegionThing.WATER_DRAINED: ThingMeaning("mm", "water drained below the roots"),
    RegionThing.WATER_GIVEN: ThingMeaning("mm", "water given to keep the bed moist and to wet layers"),
    RegionThing.CARBON_KEPT: ThingMeaning(
        "g m-2", "carbon in layers and soil on the last day more than in soil without layers"
    ),
}


@dataclass(frozen=True, slots=True)
class RegionGarden:
    """One garden or grid cell."""

    name: str
    latitude: float
    """North positive. [degrees]"""
    longitude: float
    """East positive. [degrees]"""
    weather: str
    """Key of the weather."""
    soil: str
    """Key of the soil."""
    district: str
    """What it is counted with; the weather's key where nothing is told."""
    area: float
    """Of its beds. [m2]"""
    cell: tuple[int, int] | None = None
    """Place in its weather grid; None where the weather is that of a station."""


@dataclass(frozen=True, slots=True)
class RegionLayer:
    """One layer of a way: what is laid on a square metre on a day of the season."""

    day: int
    """Counted from the season's first day. [d]"""
    lifts: tuple[Lift, ...]
    water: float
    """[mm]"""


@dataclass(frozen=True, slots=True)
class RegionWay:
    """One way of laying through the season."""

    name: str
    layers: tuple[RegionLayer, ...]


@dataclass(frozen=True, slots=True)
class RegionCrop:
    """A crop on every garden; days counted from the season's first day."""

    crop: str
    planted: int
    """[d]"""
    harvested: int
    """[d]"""


@dataclass(frozen=True, slots=True)
class RegionGrid:
    """A grid of daily weather in a file, and names of its variables that are not the usual ones."""

    file: Path
    names: tuple[tuple[str, str], ...] = ()
    latitude: str = "latitude"
    longitude: str = "longitude"


@dataclass(frozen=True, slots=True)
class RegionSpec:
    """What is run."""

    name: str
    gardens: tuple[RegionGarden, ...]
    soils: dict[str, Soil]
    stations: dict[str, Site]
    """Weather of a station or of monthly means, by key."""
    grids: dict[str, RegionGrid]
    """Weather of a grid, by key."""
    ways: tuple[RegionWay, ...]
    """Without "nothing laid"."""
    first_day: date
    weeks: int
    years: int
    """Seasons of weather run for each garden."""
    members: int
    """Possible numbers run for each season."""
    seed: int
    south_later: bool = False
    """True: gardens south of the equator begin half a year later."""
    crop: RegionCrop | None = None
    kept_moist: bool = False
    thickest_cover: float = 0.12
    """[m]"""

    @property
    def days(self) -> int:
        """Days of the season."""
        return 7 * self.weeks

    @property
    def way_names(self) -> tuple[str, ...]:
        """Names of the ways, "nothing laid" first."""
        return (NOTHING, *(way.name for way in self.ways))

    @property
    def runs_per_garden(self) -> int:
        """Seasons run for one garden: ways, years and members."""
        return len(self.way_names) * self.years * self.members

    def begins(self, garden: RegionGarden) -> date:
        """Return the first day of a garden's season."""
        later = self.south_later and garden.latitude < 0.0
        return self.first_day + timedelta(days=HALF_A_YEAR if later else 0)


@dataclass(frozen=True, slots=True)
class WeatherUsed:
    """What the seasons of one weather were made of."""

    key: str
    source: str
    evidence: str
    seasons: tuple[str, ...]
    """What each season is; the same more than once where there are fewer than asked for."""


@dataclass(frozen=True, slots=True)
class RegionGroup:
    """Gardens counted together."""

    kind: str
    """"region", "district" or "soil"."""
    name: str
    gardens: int
    area: float
    """[m2]"""
    figures: Array
    """Mean, 10th, 50th and 90th percentile over gardens, years and members; shape (ways, things, 4)."""


@dataclass(frozen=True, slots=True)
class RegionNeed:
    """How much of a residue a way asks for in a season."""

    way: str
    residue: str
    """Key of the residue table."""
    litres: float
    """Loose, as gathered. [L m-2]"""
    dry_matter: float
    """[g m-2]"""
    nitrogen: float
    """[g m-2]"""


@dataclass(frozen=True, slots=True)
class RegionResult:
    """What a region came to, so far."""

    spec: RegionSpec
    done: NDArray[np.bool_]
    """Gardens that were run, in the order of the specification. (gardens,)"""
    figures: Array
    """Mean, 10th, 50th and 90th percentile over years and members; NaN where not run. (gardens, ways, things, 4)"""
    groups: tuple[RegionGroup, ...]
    seasons: Array
    """Mean over gardens and members by season. (ways, things, years)"""
    needs: tuple[RegionNeed, ...]
    weathers: tuple[WeatherUsed, ...]
    folder: Path
    fingerprint: str
    """Of all values; equal for equal values."""
    seconds: float
    """This time, without chunks that were there already. [s]"""
    chunks: int
    chunks_done: int
    chunks_found: int
    """Chunks that were there already."""

    @property
    def drainage_nitrate(self) -> Array:
        """Nitrate in the water that drains, mean of all runs; NaN where hardly any drains. (gardens, ways) [mg L-1]"""
        return drainage_nitrate(self.figures[..., 0])

    @property
    def complete(self) -> bool:
        """Whether every garden was run."""
        return bool(self.done.all())


def drainage_nitrate(means: Array) -> Array:
    """Return nitrate in the water that drains from mean leaching and drainage; NaN where hardly any drains. [mg L-1]

    Parameters
    ----------
    means : array
        Means of all things on the last axis.
    """
    leached, drained = (
        means[..., THINGS.index(one)] for one in (RegionThing.NITRATE_LEACHED, RegionThing.WATER_DRAINED)
    )
    told = np.where(np.isfinite(drained) & (drained >= LEAST_DRAINAGE), drained, np.nan)
    found: Array = 1000.0 * NITRATE_PER_NITROGEN * leached / told
    return found
