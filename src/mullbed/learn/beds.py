"""Learn a bed, or a garden of beds, from what was seen on them.

The season is run again from its first day for every particle at every move; nothing is patched in the middle.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.learnt import EntryLook, LearntBed
from mullbed.domain.observation import Observation, as_one_set, observable
from mullbed.domain.spread import Evidence, Spread
from mullbed.learn.likelihood import (
    Entry,
    Run,
    chance_beyond,
    companied,
    log_likelihood,
    slip_chance,
    state_of,
    word_chances,
)
from mullbed.learn.particles import Cloud, tempered
from mullbed.learn.priors import Belief, believed, common_streams, named_lifts, with_biases
from mullbed.simulate.case import BedCase
from mullbed.simulate.ensemble import draw_members, parameter_values, place_parameter
from mullbed.simulate.learned import Learned
from mullbed.simulate.run import pack, run_packed

Array = NDArray[np.float64]

#: Particles where nothing else is asked for.
PARTICLES = 1024


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """What is believed of a garden after its entries were seen."""

    belief: Belief
    deviates: Array
    """Particles of equal weight, shape (particles, doubts)."""
    beds: tuple[LearntBed, ...]
    """Those on which something was seen."""
    unused: tuple[Observation, ...]
    """Entries on days that were not run, or on beds that are not there."""
    runs: int
    """How often all particles were run."""
    skies: dict[int, tuple[WeatherYears, WeatherYears]] = field(default_factory=dict)
    """Weather with every bias laid out, by the id of the weather it was made of, which is kept beside it."""

    def told(self, case: BedCase) -> BedCase:
        """Return a case as its members are drawn from what was learnt: lifts of the past named, biases laid out.

        Lifts laid after the last day that was learnt from keep the keys of what is yet to be filled.
        """
        seen = next((one for one in self.belief.cases if one.name == case.name), None)
        before = None if seen is None else seen.weather.days
        key = id(case.weather)
        if key not in self.skies:
            self.skies[key] = (case.weather, with_biases(case.weather))
        return replace(named_lifts(case, before), weather=self.skies[key][1])

    def common(self) -> Learned | None:
        """Return what all beds share, for runs that stand for several beds; None where nothing was seen."""
        return common_streams(self.belief, self.deviates) if self.beds else None

    def learned(self, told: BedCase) -> Learned:
        """Return the streams that members of a told case are drawn from."""
        return self.belief.learned(told, self.deviates)


def learn_bed(
    case: BedCase, observations: Iterable[Observation], count: int = PARTICLES, seed: int = 1, threads: int = 1
) -> Posterior:
    """Return what is believed of one bed after what was seen on it.

    Parameters
    ----------
    case : BedCase
        The bed with what was really laid on it.
    observations : iterable of Observation
        In any order; those of other beds or outside of the case's days are not used, and told.
    count : int
        Particles.
    seed : int
        Equal seeds give equal beliefs.
    threads : int
        Results do not depend on it.

    Raises
    ------
    BalanceError, DirectionError
        When the books of a run do not close.
    """
    return learn_garden([case], observations, count, seed, threads)


def learn_garden(
    cases: Sequence[BedCase],
    observations: Iterable[Observation],
    count: int = PARTICLES,
    seed: int = 1,
    threads: int = 1,
    progress: Callable[[str], None] = lambda _: None,
) -> Posterior:
    """Return what is believed of several beds that share their residues, containers and weather.

    Beds on which nothing was seen are not run; they take part in what is shared.

    Raises
    ------
    BalanceError, DirectionError
        When the books of a run do not close.
    """
    every = as_one_set(observations)
    found: dict[str, list[tuple[Observation, int]]] = {}
    unused: list[Observation] = []
    by_name = {case.name: case for case in cases}
    for one in every:
        case = by_name.get(one.bed)
        day = -1 if case is None else (one.day - case.weather.first_day).days
        if case is None or not case.start_day <= day < case.weather.days:
            unused.append(one)
        else:
            found.setdefault(one.bed, []).append((one, day))
    seen = [case for case in cases if case.name in found]
    entries = [companied(found[case.name]) for case in seen]
    belief = believed(seen, [max(entry.day for entry in each) for each in entries])
    if not seen:
        return Posterior(belief, _prior(belief, count, seed), (), tuple(unused), 0)
    look = Looker(belief, entries, threads)
    several = len(seen) > 1
    beds_words = "one bed" if len(seen) == 1 else f"{len(seen)} beds"
    progress(f"Learning from {len(every) - len(unused)} of {len(every)} entries, {beds_words}, {count} possibilities.")
    cloud = tempered(
        look,
        belief.doubts,
        count,
        _sequence(seed),
        own=belief.own_columns if several else (),
        part_of=look.bed_of_column,
    )
    beds = tuple(
        LearntBed(
            case.name,
            tuple(_looked(entry, cloud, look.columns[number][place]) for place, entry in enumerate(entries[number])),
            _place_rate(belief, number, cloud.deviates),
            runs=cloud.runs,
        )
        for number, case in enumerate(seen)
    )
    return Posterior(belief, cloud.deviates, beds, tuple(unused), cloud.runs)


class Looker:
    """Runs every bed for all particles and holds its entries against them."""

    def __init__(self, belief: Belief, entries: Sequence[Sequence[Entry]], threads: int) -> None:
        self.belief, self.entries, self.threads = belief, entries, threads
        self.packed = [pack(case) for case in belief.cases]
        self.columns: list[list[slice]] = []
        first, bed_of = 0, []
        for number, each in enumerate(entries):
            own = []
            for entry in each:
                own.append(slice(first, first + entry.sight.features))
                first += entry.sight.features
                bed_of += [number] * entry.sight.features
            self.columns.append(own)
        self.bed_of_column = np.array(bed_of, dtype=np.int64)

    def __call__(self, deviates: Array) -> tuple[Array, Array]:
        count = deviates.shape[0]
        parts = np.zeros((count, len(self.entries)))
        states = np.empty((count, self.bed_of_column.size))
        for number, each in enumerate(self.entries):
            run = self._run(number, deviates)
            for entry, columns in zip(each, self.columns[number], strict=True):
                states[:, columns] = state_of(entry, run)
                parts[:, number] += log_likelihood(entry, states[:, columns])
        return parts, states

    def _run(self, number: int, deviates: Array) -> Run:
        case = self.belief.cases[number]
        members = draw_members(case, deviates.shape[0], 0, learned=self.belief.learned(case, deviates))
        wanted = sorted({output for entry in self.entries[number] for output in entry.sight.outputs})
        outcome = run_packed(self.packed[number], members, threads=self.threads, name=case.name, keep=wanted)
        return Run(case, members, outcome.daily)


def _looked(entry: Entry, cloud: Cloud, columns: slice) -> EntryLook:
    before, after = cloud.before[:, columns], cloud.predicted[:, columns]
    row = observable(entry.observation.what)
    known = before[np.isfinite(before).all(axis=1)]
    expected, likely = None, None
    if known.size and row.is_class and not entry.silent():
        likely = row.words[int(np.argmax(word_chances(entry, known).mean(axis=0)))]
    elif known.size and not row.is_class:
        low, middle, high = (float(one) for one in np.percentile(known[:, 0], (10.0, 50.0, 90.0)))
        expected = Spread(low, middle, high, row.unit, Evidence.WORKED_OUT)
    return EntryLook(entry.observation, expected, likely, chance_beyond(entry, before), slip_chance(entry, after))


def _place_rate(belief: Belief, number: int, deviates: Array) -> Spread:
    parameter = place_parameter(belief.cases[number].weather.known)
    column = belief.own[number][(f"place {belief.cases[number].name}",)]
    values = parameter_values(parameter, deviates[:, column])
    low, middle, high = (float(one) for one in np.percentile(values, (10.0, 50.0, 90.0)))
    return Spread(low, middle, high, "1", Evidence.WORKED_OUT)


def _sequence(seed: int) -> np.random.SeedSequence:
    return np.random.SeedSequence([seed, crc32(b"learn")])


def _prior(belief: Belief, count: int, seed: int) -> Array:
    return np.random.default_rng(_sequence(seed)).standard_normal((count, belief.doubts))
