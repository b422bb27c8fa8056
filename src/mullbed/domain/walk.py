"""The walk of a day: bed by bed what to do, what to look at, what to beware of."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from mullbed.domain.season_plan import PlannedLayer


class Job(StrEnum):
    """What there is to do at a stop of the walk; the order is that of haste where nothing else decides."""

    READ_TEST = "read the bean test"
    AIR = "open it up"
    CAP = "cap it"
    LAY = "lay it"
    WAIT = "wait with the layer"
    WATER = "water it"
    USE_UP = "use it up"
    DRAW_BACK = "draw the cover back"
    SOW = "sow or plant"
    HARVEST = "harvest"
    LOOK = "look it over"


class Because(StrEnum):
    """Why a job is due; a report makes the sentence."""

    PLANNED = "planned for this day"
    LATE = "planned, and late"
    RAIN_COMES = "rain will do the watering"
    HARD_RAIN_COMES = "hard rain would make it slimy"
    SMELLS_OF_AMMONIA = "it smelt of ammonia"
    SMELLS_SOUR = "it smelt sour or foul"
    SLIMY = "it was seen slimy"
    NO_CAP = "soft fresh matter lies open"
    DRY_TO_THE_HAND = "it crackled in the hand"
    DRY_BY_FORECAST = "the cover has dried out"
    SOIL_MUST_WARM = "the soil must warm before sowing"
    ITS_TIME = "the garden file says so"
    WOULD_SPOIL = "it will not keep"
    TEST_IS_DUE = "the test is due"
    NOT_SEEN_LATELY = "nobody has looked for a while"
    FRESH_LAYER_TO_SMELL = "the fourth day decides what is lost to the air"
    AWAY_SOON = "nobody is there for a while"


class LookFor(StrEnum):
    """One thing to look at, feel or smell."""

    SMELL = "smell under the cover"
    SLUGS = "turn a board for slugs"
    MOISTURE = "squeeze a handful from the middle"
    SPROUTS = "weeds coming through"
    STEMS = "a hand of bare ground round the stems"
    RUNS = "runs and holes"
    LEAVES = "the oldest leaves"
    THICKNESS = "put a finger in: how thick is it"
    WORMS = "lift a corner: threads, worms"


@dataclass(frozen=True, slots=True)
class Stop:
    """One thing to do at one bed, or at the heap where no bed is named."""

    job: Job
    bed: str | None
    because: Because
    day: date
    """Day it is due; earlier than today where it is late."""
    urgency: float
    """The larger, the sooner; only the order means something. [1]"""
    amount: float
    """The one number."""
    unit: str
    """Its household unit: a container, "can", "day", "hand"."""
    thing: str | None = None
    """Key of a residue or crop, or the name of a batch, that the job is about."""
    layer: PlannedLayer | None = None
    """The whole layer, where one is to be laid."""
    minutes: float = 5.0
    """Work. [min]"""
    other_day: date | None = None
    """A second day the reason speaks of, such as that of sowing."""


@dataclass(frozen=True, slots=True)
class BedVisit:
    """One bed on the walk."""

    bed: str
    stops: tuple[Stop, ...]
    """Most urgent first; none where it can be left alone."""
    look: tuple[LookFor, ...]
    beware: tuple[str, ...]
    """Keys of the hazards table."""
    next_day: date | None
    """Next day something is due here; None where nothing is known to be."""
    thickness: tuple[float, float, float] | None = None
    """Cover today by the stored forecast: low, middle, high. [m]"""
    laid_last: date | None = None
    looked_last: date | None = None
    top: str | None = None
    """Key of the residue that lies on top; None where the bed is bare."""
    laid_thickness: float = 0.0
    """Thickness of the newest layer as laid. [m]"""
    grows: bool = False
    """Whether a crop stands on it today."""
    place: int = 0
    """In walking order: that of the garden file."""

    @property
    def urgency(self) -> float:
        """Urgency of the first stop; nothing to do has none. [1]"""
        return self.stops[0].urgency if self.stops else 0.0


@dataclass(frozen=True, slots=True)
class Round:
    """The whole walk of a day, most urgent bed first."""

    garden: str
    day: date
    visits: tuple[BedVisit, ...]
    heap: tuple[Stop, ...]
    """What is due at no bed: tests to read, things that will not keep."""
    minutes: float
    """Work of everything due. [min]"""
    forecast_made: date | None
    """Day the forecast behind it was made; None without one."""
    plan_made: date | None
    fresh: bool
    """Whether forecast and plan still hold: made within the last days, nothing written since that changes them."""
    written_since: int
    """Entries since the forecast was made that change it."""
    rain_expected: str | None = None
    """None, some or much, as the grower wrote; None where nothing was written."""
    away_from: date | None = None
    """First day of an absence that begins within two weeks."""
