"""A comparison on the grower's own ground: what is compared, where each way lies, and what was fixed beforehand."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Way(StrEnum):
    """How a plot is treated; a trial compares two or more of them."""

    LAYERS = "layers as planned"
    PILE = "pile compost of the same residues"
    CHIPS = "wood chips"
    BARE_FED = "bare with the same nitrogen"
    BARE = "bare, nothing added"
    OWN = "the grower's own way"


class Fairness(StrEnum):
    """What the ways have in common, so that a difference tells what it is meant to tell."""

    SAME_ORIGIN = "same residues at the start"
    SAME_NITROGEN = "same nitrogen laid"
    SAME_WORK = "same hours of work"


class Arrangement(StrEnum):
    """How plots are laid out."""

    PAIRS = "paired strips"
    BLOCKS = "randomised blocks"
    SQUARE = "Latin square"


class Scale(StrEnum):
    """On what scale a measure is compared."""

    PLAIN = "differences"
    LOG = "ratios"


@dataclass(frozen=True, slots=True)
class Treatment:
    """One way of treating a plot, by a short code."""

    code: str
    way: Way
    words: str = ""

    @property
    def name(self) -> str:
        """Words of the grower's own where given, else those of the way."""
        return self.words or self.way.value


@dataclass(frozen=True, slots=True)
class Plot:
    """One piece of ground that gets one treatment."""

    code: str
    """What stands on its label; tells nothing of the treatment."""
    block: int
    """Pair, block or row of the square, from 1."""
    position: int
    """Place within it in walking order, from 1; column of the square."""
    treatment: str
    bed: str = ""


@dataclass(frozen=True, slots=True)
class Measure:
    """One thing that is measured on every plot."""

    key: str
    unit: str
    scale: Scale
    variation: float
    """Coefficient of variation between plots treated alike. [fraction of the mean]"""
    variation_known: str
    """How the variation is known: "own repeats", "published", or "from memory"."""
    ground_stays: bool = True
    """True for soil measures, which carry last year's treatment with them."""


@dataclass(frozen=True, slots=True)
class TrialPlan:
    """All that is fixed before the first reading."""

    name: str
    question: str
    treatments: tuple[Treatment, ...]
    control: str
    """Code of the treatment the others are compared with."""
    arrangement: Arrangement
    fairness: Fairness
    blocks: int
    measures: tuple[Measure, ...]
    """The first is the primary measure; the verdict rests on it."""
    alpha: float
    """Chance of a false alarm that is accepted, two-sided. [fraction]"""
    correlation: float
    """Likeness of plots within a pair or block. [fraction]"""
    worthwhile: float
    """Smallest difference worth having. [fraction of the control]"""
    seed: int
    plots: tuple[Plot, ...]
    beds: tuple[str, ...] = ()
    seasons: int = 1
    locked_on: date | None = None
    seal: str = ""
    """Digest of all the above, made when the plan was locked."""

    @property
    def primary(self) -> Measure:
        """The measure the verdict rests on."""
        return self.measures[0]

    def treatment_of(self, code: str) -> str:
        """Return the treatment of a plot by its code; raises KeyError for an unknown plot."""
        return {plot.code: plot.treatment for plot in self.plots}[code]


@dataclass(frozen=True, slots=True)
class Reading:
    """One value read on one plot; several of one plot and season are sub-samples and are averaged."""

    plot: str
    measure: str
    season: str
    value: float | None
    """None where the plot was lost; missing is a state, never zero."""
    note: str = ""
    operator: str = ""
    day: date | None = None


@dataclass(frozen=True, slots=True)
class Deviation:
    """Something done otherwise than locked."""

    day: date | None
    what: str
    why: str


@dataclass(frozen=True, slots=True)
class Contrast:
    """One treatment against the control on one measure."""

    treatment: str
    control: str
    measure: str
    scale: Scale
    difference: float
    """Mean difference [unit], or natural log of the ratio on the log scale."""
    error: float
    """Standard error of the difference."""
    degrees: float
    """Degrees of freedom of the error."""
    low: float
    high: float
    """Ends of the interval at 1 - alpha."""
    statistic: float
    chance: float
    """p value of the planned test."""
    control_mean: float
    treatment_mean: float
    """Plain means [unit]; geometric ones on the log scale."""
    pairs_used: int
    permutation_chance: float | None = None
    permutation_floor: float | None = None
    """Smallest p value so few plots can give."""
    corrected_chance: float | None = None
    """p value after correction for several comparisons; None where there is one."""
    probability_positive: float | None = None
    """Bayesian summary: probability that the difference is above zero."""
    probability_worthwhile: float | None = None
    """... and that it is at least the difference worth having."""


class Verdict(StrEnum):
    """What may be said."""

    REAL = "a real difference"
    NONE_SEEN = "no difference we can see"
    TOO_FEW = "too few to say"


@dataclass(frozen=True, slots=True)
class MeasureResult:
    """What came out for one measure."""

    measure: Measure
    primary: bool
    contrasts: tuple[Contrast, ...]
    verdict: Verdict
    spread: float
    """Coefficient of variation found between plots treated alike. [fraction]"""
    detectable: float
    """Difference that would have been seen 8 times in 10 with this spread. [fraction of the control]"""
    blocks_needed: int | None
    """Pairs or blocks that would show the difference worth having; None when over 400."""
    overall_chance: float | None
    """p value of the test over all treatments at once; None for two treatments."""
    least_significant: float | None
    """Least significant difference between two treatment means. [unit, or log]"""
    lost: tuple[str, ...]
    """Plots without a value, by code and season."""
    season_chance: float | None
    """p value of "the difference changes from season to season"; None for one season."""
    method: str
    """What was computed, for a statistician."""
    notes: tuple[str, ...] = ()
    plot_values: tuple[tuple[str, str, float], ...] = ()
    """Plot, season and the value it entered the analysis with, turned back from logs. [unit]"""
    baseline: tuple[tuple[str, float], ...] = ()
    """Plot and its reading before the first treatment, where every plot has one. [unit]"""


@dataclass(frozen=True, slots=True)
class TrialResult:
    """The whole outcome of a trial."""

    plan: TrialPlan
    results: tuple[MeasureResult, ...]
    deviations: tuple[Deviation, ...]

    @property
    def primary(self) -> MeasureResult:
        """The outcome of the primary measure."""
        return self.results[0]
