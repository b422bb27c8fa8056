"""From readings to one value a plot and season: sub-samples averaged, lost plots kept as missing."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from mullbed.domain.trial import Measure, Plot, Reading, Scale, TrialPlan
from mullbed.errors import Fault, InputFault

BASELINE = "baseline"
"""Name of the season of readings made before the first treatment."""
ADDS_UP = frozenset({"harvest"})
"""Measures whose days add up within a season: every picking counts. Readings of one day, or without a day, are
averaged. A plot that is lost half-way is lost for the season: what was picked before is no season's harvest."""
LOST = "lost"
"""Note of a reading by which a plot is told to be lost, not only left out that day."""


@dataclass(frozen=True, slots=True)
class PlotValue:
    """The value one plot enters the analysis with."""

    plot: Plot
    season: str
    value: float
    """[unit of the measure], or its natural log on the log scale."""
    samples: int


@dataclass(frozen=True, slots=True)
class PlotValues:
    """All values of one measure."""

    rows: tuple[PlotValue, ...]
    baseline: dict[str, float]
    """By plot code; empty where no baseline was read."""
    lost: tuple[str, ...]
    """Plot and season of every missing value."""
    shift: float
    """What was added before taking logs because some values are zero. [unit]"""

    @property
    def seasons(self) -> tuple[str, ...]:
        """Seasons in the order first read."""
        return tuple(dict.fromkeys(row.season for row in self.rows))


def _over_days(days: Mapping[date | None, list[float]], *, adds_up: bool) -> float:
    """Return the value of a plot's season: pickings of several days added up, all else averaged."""
    if adds_up and len(days) > 1 and None not in days:
        return math.fsum(math.fsum(values) / len(values) for values in days.values())
    every = [value for values in days.values() for value in values]
    return math.fsum(every) / len(every)


def plot_values(plan: TrialPlan, measure: Measure, readings: Iterable[Reading]) -> PlotValues:
    """Average the sub-samples of every plot and season.

    On the log scale zeros get half the smallest positive mean added to all values (common practice, no source).

    Raises
    ------
    InputFault
        When a reading names an unknown plot, is no number, or the log scale meets a value below zero; when nothing
        was read at all.
    """
    plots = {plot.code: plot for plot in plan.plots}
    samples: dict[tuple[str, str], dict[date | None, list[float]]] = defaultdict(lambda: defaultdict(list))
    named: set[tuple[str, str]] = set()
    lost_whole: set[tuple[str, str]] = set()
    faults = []
    for reading in readings:
        if reading.measure != measure.key:
            continue
        place = f"reading of plot {reading.plot}, {reading.season}"
        if reading.plot not in plots:
            faults.append(
                Fault(place, f"plot '{reading.plot}'", ", ".join(sorted(plots)), "Copy the code of its label.")
            )
            continue
        named.add((reading.plot, reading.season))
        if reading.value is None:
            if measure.key in ADDS_UP and reading.note == LOST:
                lost_whole.add((reading.plot, reading.season))
            continue
        if not math.isfinite(reading.value) or (measure.scale is Scale.LOG and reading.value < 0.0):
            allowed = "a number of zero or more" if measure.scale is Scale.LOG else "a number"
            faults.append(Fault(place, f"{reading.value}", allowed, "Leave it empty if the plot was lost."))
            continue
        samples[reading.plot, reading.season][reading.day].append(reading.value)
    for key in lost_whole:
        samples.pop(key, None)
    if not samples and not faults:
        faults.append(Fault(f"readings of {measure.key}", "none", "one a plot", "Add them, or drop the measure."))
    if faults:
        raise InputFault(faults)
    means = {key: _over_days(days, adds_up=measure.key in ADDS_UP) for key, days in samples.items()}
    shift = 0.0
    if measure.scale is Scale.LOG and min(means.values()) <= 0.0:
        positive = [value for value in means.values() if value > 0.0]
        shift = 0.5 * min(positive) if positive else 1.0

    def scaled(value: float) -> float:
        return math.log(value + shift) if measure.scale is Scale.LOG else value

    seasons = tuple(dict.fromkeys(season for _, season in [*means, *sorted(named)] if season != BASELINE))
    rows = tuple(
        PlotValue(plot, season, scaled(means[code, season]), sum(map(len, samples[code, season].values())))
        for season in seasons
        for code, plot in plots.items()
        if (code, season) in means
    )
    lost = tuple(
        f"{code}, {season}" if len(seasons) > 1 else code
        for season in seasons
        for code in plots
        if (code, season) not in means
    )
    baseline = {code: scaled(means[code, BASELINE]) for code in plots if (code, BASELINE) in means}
    return PlotValues(rows, baseline if len(baseline) == len(plots) else {}, lost, shift)
