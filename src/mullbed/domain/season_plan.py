"""A season plan: layers by bed and day, what they promise, what the whole season showed, what stays short."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from mullbed.domain.forecast import BedForecast, RelativeBalance
from mullbed.domain.layer import Layer
from mullbed.domain.refusal import Override, Refusal
from mullbed.domain.spread import Spread


@dataclass(frozen=True, slots=True)
class Reason:
    """Why one layer is where it is, as facts; a report makes the sentence."""

    code: str
    """Such as "feeds when the crop wants", "covers bare soil", "uses what would spoil"."""
    amount: float | None = None
    day: date | None = None
    word: str | None = None
    """Name of a crop, a residue or a bed the reason speaks of."""


@dataclass(frozen=True, slots=True)
class Alternative:
    """The next best thing to do instead of a layer."""

    layer: Layer | None
    """None for no layer at all."""
    cost: float
    """What it costs more for the bed, in grams of nitrogen missed by crops. [g]"""


@dataclass(frozen=True, slots=True)
class Worth:
    """What a little more of a limit that beds share is worth."""

    limit: str
    """Such as "supply", "work in a day"."""
    what: str | None
    """Name of the supply."""
    month: str | None
    """ISO month in which it would be used or done."""
    unit: str
    """What one more is: a container, an hour, ten litres."""
    worth: float
    """In grams of nitrogen missed by crops. [g]"""


@dataclass(frozen=True, slots=True)
class SupplyWeeks:
    """One supply by week of the season, in containers."""

    supply: str
    residue: str
    container: str
    came: tuple[float, ...]
    used: tuple[float, ...]
    left: tuple[float, ...]
    """There after the week's use; what spoilt is gone."""


@dataclass(frozen=True, slots=True)
class PlannedLayer:
    """One layer to lay, with its reasons and cautions."""

    layer: Layer
    cans: float
    """Cans of water for the whole bed."""
    litres: float
    """Water for the whole bed. [L]"""
    minutes: float
    """Work. [min]"""
    settled_thickness: float
    """Thickness of the whole cover 14 days later, middle estimate. [m]"""
    lying_before: float
    """Thickness of the cover already there on that day, middle estimate. [m]"""
    nitrogen_laid: Spread
    """[g m-2]"""
    phosphorus_laid: Spread
    """[g m-2]"""
    net_nitrogen_28d: Spread
    """Given to the soil within 28 days; negative is taken. [g m-2]"""
    gives_from: tuple[date | None, date | None, date | None]
    """Day from which the sum given is positive: early, middle, late; None for not within the season."""
    reasons: tuple[Reason, ...]
    cautions: tuple[str, ...]
    """Keys of the hazards table."""
    instead: Alternative | None = None
    """The next best; None where that was not worked out."""


@dataclass(frozen=True, slots=True)
class Fed:
    """Nitrogen of one bed over the season. [g m-2]"""

    crop_want: float
    soil_alone: Spread
    """Given by the soil without any layer."""
    layers: Spread
    """Given by the layers, net."""
    ammonia_lost: Spread
    leached: Spread
    covered_days: Spread
    """Days with at least four fifths of the soil covered. [d]"""


@dataclass(frozen=True, slots=True)
class Budget:
    """What one bed receives in the year against its ceilings. [g m-2]"""

    nitrogen_laid: float
    nitrogen_ceiling: float
    nitrogen_fed_high: float
    """90th percentile of nitrogen fed."""
    nitrogen_fed_ceiling: float
    phosphorus_laid: float
    phosphorus_ceiling: float
    phosphorus_removed: float


@dataclass(frozen=True, slots=True)
class Gathering:
    """What to collect for one week."""

    week: date
    """Monday of the week."""
    residue: str
    container: str
    count: float
    supply: str
    """Name of the supply it comes from."""
    use_by: date | None


@dataclass(frozen=True, slots=True)
class OutcomesCount:
    """How much was simulated to price the candidates."""

    classes: int
    candidates: int
    members: int
    simulated_seasons: int


@dataclass(frozen=True, slots=True)
class Shortage:
    """A limit that bites: what, where, when and by how much."""

    limit: str
    bed: str | None
    month: str | None
    """ISO month, such as 2027-06."""
    amount: float
    unit: str


@dataclass(frozen=True, slots=True)
class OverScenarios:
    """What the plan as first chosen costs over what may come, beside the one for the mean season.

    In grams of nitrogen missed by crops. Both before the rehearsal corrects anything, from the same outcomes.
    """

    scenarios: int
    """Joint draws of weather year, chemistry, parameters and supply."""
    share: float
    """How much the bad tenth counted in choosing; the mean had the rest. [fraction]"""
    mean: float
    """Mean cost. [g]"""
    bad_tenth: float
    """Mean cost of the dearest tenth. [g]"""
    mean_season_mean: float
    """Mean cost of the plan for the mean season. [g]"""
    mean_season_bad_tenth: float
    """[g]"""
    differs: bool
    """Whether the two plans differ."""


@dataclass(frozen=True, slots=True)
class SeasonPlan:
    """The whole plan."""

    garden: str
    first_day: date
    last_day: date
    seed: int
    layers: tuple[PlannedLayer, ...]
    gather: tuple[Gathering, ...]
    gap: float
    """Proven relative gap of the optimiser. [fraction]"""
    outcomes: OutcomesCount
    budget: dict[str, Budget]
    promise: dict[str, Fed]
    """By bed: what the priced candidates promise, added up."""
    rehearsal: dict[str, Fed]
    """By bed: what the whole simulated season shows."""
    corrections: int
    """How often outcomes were corrected and solved again."""
    unmet: dict[str, dict[str, float]]
    """Nitrogen want not met, by bed and ISO month, middle estimate. [g m-2]"""
    supply_left: dict[str, float]
    """Containers left or spoilt by supply name."""
    shortages: tuple[Shortage, ...]
    held: tuple[tuple[str, str, date | None], ...]
    """Supplies held: name, why, until when."""
    forecasts: dict[str, BedForecast]
    balance: RelativeBalance
    weather: str
    """Where the weather comes from."""
    refusals: tuple[Refusal, ...] = ()
    """What rules of safety kept out of the plan."""
    set_aside: tuple[tuple[Refusal, Override], ...] = ()
    """What they would have kept out, had nobody set them aside with a reason."""
    worth: tuple[Worth, ...] = ()
    """What a little more of what beds share would be worth, the most first."""
    supply: tuple[SupplyWeeks, ...] = ()
    """What comes, is used and stays, by supply."""
    scenarios: OverScenarios | None = None
    """None where the plan was made for the mean season only."""
