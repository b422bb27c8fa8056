"""How likely an entry is if a particle is right, for everything that can be observed.

A number is held against a Student distribution of four degrees of freedom, wide enough for the stated error and for
what the model leaves out. A word out of an ordered list is held against steps of a logistic curve, other words
against chances made from the state. Every entry may be a slip: then it says nothing, whatever it says. So one
entry can move the belief by a bounded amount only. docs/topics/learning.md tells the evidence for each figure.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import lgamma
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.observation import Observation, observable
from mullbed.simulate import parameters as par
from mullbed.simulate.case import BedCase, Feed
from mullbed.simulate.ensemble import Members

Array = NDArray[np.float64]

#: Entries of one kind on one bed within so many days share what the model leaves out. [d] Judgement.
COMPANY_DAYS = 10
#: Mineral nitrogen of the top soil that is nitrate. [1] Judgement.
NITRATE_SHARE = 0.85
#: Bulk density a strip test is turned with. [kg m-3] 25 mg/kg in 30 cm are then 9.8 g m-2.
STRIP_DENSITY = 1300.0
#: Live mass of one worm in a spadeful. [g] Judgement.
WORM_GRAMS = 0.3
#: Area of a spadeful. [m2]
SPADEFUL = 0.04
#: How much worm counts differ beyond chance: the number of a negative binomial. Counts of one place have a CV of
#: 40-80 %; from memory.
WORM_CLUMPING = 3.0
#: Standard deviations per unit of a logistic curve.
LOGISTIC = 1.8137993642342178


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """Particles of a bed that were run, as an entry is held against them."""

    case: BedCase
    members: Members
    daily: Mapping[str, Array]
    """Outputs, each of shape (particles, days)."""


State = Callable[[Run, int], Array]
"""What each particle says of a day: (particles,), or (particles, features)."""


@dataclass(frozen=True, slots=True)
class Sight:
    """How one thing that can be observed follows from the state."""

    outputs: tuple[str, ...]
    """Daily outputs of the run it needs."""
    state: State
    spread: float = 0.0
    """What the model leaves out, as standard deviation. [unit of the state]"""
    spread_share: float = 0.0
    """The same per value of the state. [1]"""
    slip: float = 0.05
    """Chance that an entry says nothing. Judgement."""
    steps: tuple[float, ...] = ()
    """Values of the state between the words of an ordered list."""
    feel: float = 0.0
    """Standard deviation of one judgement of an ordered list. [unit of the state]"""
    chances: Callable[[Array], Array] | None = None
    """Chances of unordered words for a state, shape (particles, words)."""
    features: int = 1
    """Numbers of the state."""
    counts: bool = False
    """True for numbers of things."""
    silent: frozenset[str] = frozenset()
    """Words that say nothing about the state."""


def _output(name: str) -> State:
    return lambda run, day: run.daily[name][:, day]


def _mass_left(run: Run, day: int) -> Array:
    """Return the carbon left in the layer per carbon laid, which dry mass follows. NaN before anything is laid."""
    fed = sum(
        one.organic_carbon for one in run.case.events if isinstance(one, Feed) and run.case.start_day <= one.day <= day
    )
    laid = run.daily["laid_carbon"][:, day] - fed
    with np.errstate(invalid="ignore", divide="ignore"):
        left: Array = np.where(laid > 1e-6, run.daily["carbon_left"][:, day] / laid, np.nan)
    return left


def _gone(run: Run, day: int) -> Array:
    return 1.0 - _mass_left(run, day)


def _nitrate(run: Run, day: int) -> Array:
    """Return nitrate nitrogen of 0-30 cm, taken as dense in nitrogen as 0-25 cm. [mg kg-1]"""
    turned: Array = run.daily["mineral_nitrogen"][:, day] * NITRATE_SHARE / (0.25 * STRIP_DENSITY) * 1000.0
    return turned


def _soil_wetness(run: Run, day: int) -> Array:
    """Return water of the root zone above wilting point per what it can hold. [1]"""
    full = 600.0 * (run.case.soil.field_capacity - run.case.soil.wilting_point)
    wetness: Array = run.daily["root_zone_water"][:, day] / full
    return wetness


def _short(run: Run, day: int) -> Array:
    """Return the share of the crop's want of the last three weeks that it had to go without. NaN without a want."""
    first = max(run.case.start_day, day - 21)

    def of(name: str) -> Array:
        gained: Array = run.daily[name][:, day] - run.daily[name][:, first]
        return gained

    taken, unmet = of("crop_nitrogen"), of("unmet_nitrogen")
    with np.errstate(invalid="ignore", divide="ignore"):
        share: Array = np.where(taken + unmet > 0.05, unmet / (taken + unmet), np.nan)
    return share


def _harvest(run: Run, day: int) -> Array:
    """Return the share of the nitrogen a crop wanted till then that it got, which yield follows. NaN without one."""
    want = 0.0 if run.case.cover is None else float(run.case.cover.nitrogen_demand[run.case.start_day : day + 1].sum())
    taken = run.daily["crop_nitrogen"][:, day]
    share: Array = taken / want if want > 0.5 else np.full(taken.shape, np.nan)
    return share


def _worm_count(run: Run, day: int) -> Array:
    """Return worms expected in a spadeful; few are near the surface where it is dry, frozen or hot."""
    mass = run.members.records[:, par.WORM_MASS]
    wet = np.clip(_soil_wetness(run, day) / 0.5, 0.1, 1.0)
    mild = np.clip(1.0 - ((run.daily["soil_temperature"][:, day] - 14.0) / 16.0) ** 2, 0.1, 1.0)
    found: Array = np.maximum(0.05, mass / WORM_GRAMS * SPADEFUL * wet * mild)
    return found


def _smell(run: Run, day: int) -> Array:
    """Return wetness of the cover [fraction] and ammonia lost in a day [g m-2], side by side."""
    before = run.daily["ammonia_lost"][:, max(run.case.start_day, day - 1)]
    lost = np.maximum(0.0, run.daily["ammonia_lost"][:, day] - before)
    return np.stack([run.daily["moisture"][:, day], lost], axis=1)


def _smells(state: Array) -> Array:
    """Return chances of: nothing, earthy, sour, ammonia, rotten egg, putrid. Judgement throughout."""
    wet, lost = state[:, 0], state[:, 1]
    sharp = 0.8 * _rising(np.log10(np.maximum(lost, 1e-6)), np.log10(0.05), 0.25)
    foul = (1.0 - sharp) * 0.7 * _rising(wet, 0.76, 0.03)
    rest = 1.0 - sharp - foul
    damp = 0.3 + 0.5 * _rising(wet, 0.45, 0.05)
    return np.stack(
        [rest * (0.97 - damp), rest * damp, 0.6 * foul + 0.01 * rest, sharp + 0.01 * rest, 0.25 * foul + 0.005 * rest,
         0.15 * foul + 0.005 * rest], axis=1)  # fmt: skip


def _threads(state: Array) -> Array:
    """Return chances of: none, white threads, dusty mould, slimy sheet. Judgement throughout."""
    wet = state[:, 0]
    slime = 0.5 * _rising(wet, 0.76, 0.03)
    dust = (1.0 - slime) * 0.25 * (1.0 - _rising(wet, 0.35, 0.05))
    rest = 1.0 - slime - dust
    white = 0.1 + 0.5 * _rising(wet, 0.45, 0.05)
    return np.stack([rest * (1.0 - white), rest * white, dust, slime], axis=1)


def _rising(values: Array, middle: float, scale: float) -> Array:
    share: Array = 1.0 / (1.0 + np.exp(-np.clip((values - middle) / scale, -40.0, 40.0)))
    return share


_THICK = Sight(("thickness",), _output("thickness"), spread=0.004, spread_share=0.12)
SIGHTS: Mapping[str, Sight] = MappingProxyType(
    {
        "thickness by finger": _THICK,
        "thickness by ruler": _THICK,
        "squeeze": Sight(("moisture",), _output("moisture"), 0.05, steps=(0.40, 0.50, 0.625), feel=0.05),
        "layer temperature": Sight(("layer_temperature",), _output("layer_temperature"), 3.0),
        "soil temperature": Sight(("soil_temperature",), _output("soil_temperature"), 2.4),
        "smell": Sight(("moisture", "ammonia_lost"), _smell, slip=0.15, chances=_smells, features=2),
        "threads": Sight(("moisture",), _output("moisture"), slip=0.2, chances=_threads),
        "worms": Sight(("root_zone_water", "soil_temperature"), _worm_count, counts=True),
        "darkening": Sight(("carbon_left", "laid_carbon"), _gone, 0.08, slip=0.1, steps=(0.1, 0.3, 0.6), feel=0.1),
        "nitrate-N": Sight(("mineral_nitrogen",), _nitrate, 1.0, 0.3),
        "crop colour": Sight(
            ("crop_nitrogen", "unmet_nitrogen"),
            _short,
            0.1,
            slip=0.3,
            steps=(0.1, 0.3, 0.5),
            feel=0.15,
            silent=frozenset({"young leaves yellow, veins green"}),
        ),
        "soil moisture": Sight(
            ("root_zone_water",), _soil_wetness, 0.1, steps=(0.25, 0.5, 0.8, 1.05), feel=0.12
        ),
        "mass left": Sight(("carbon_left", "laid_carbon"), _mass_left, 0.08),
        "cover": Sight(("cover",), _output("cover"), 0.08),
        "harvest": Sight(("crop_nitrogen",), _harvest, 0.2, slip=0.3),
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Entry:
    """One observation, ready to be held against a state."""

    observation: Observation
    day: int
    """Index of its day in the case."""
    company: int = 1
    """Entries of its kind on its bed about its day, itself counted."""

    @property
    def sight(self) -> Sight:
        """How it follows from the state."""
        return SIGHTS[self.observation.what]

    def silent(self) -> bool:
        """Return whether its word says nothing about the state."""
        return self.observation.word in self.sight.silent


def companied(observations: list[tuple[Observation, int]]) -> list[Entry]:
    """Return entries, each told how many of its kind stand about its day, so that they do not count as strangers."""
    return [
        Entry(one, day, sum(other.what == one.what and abs(its - day) <= COMPANY_DAYS for other, its in observations))
        for one, day in observations
    ]


def state_of(entry: Entry, run: Run) -> Array:
    """Return what each particle says of an entry, shape (particles, features); NaN where it says nothing."""
    found = entry.sight.state(run, entry.day)
    return found.reshape(found.shape[0], -1)


def log_likelihood(entry: Entry, state: Array) -> Array:
    """Return the log chance or density of an entry for each particle's state; a slip always stays possible."""
    if entry.silent():
        return np.zeros(state.shape[0])
    slip = entry.sight.slip
    right = np.zeros(state.shape[0])
    there = np.isfinite(state).all(axis=1)
    right[there] = fitting(entry, state[there])
    mixed: Array = np.log((1.0 - slip) * right + slip * slip_density(entry))
    return mixed


def slip_density(entry: Entry) -> float:
    """Return the chance or density of an entry that is a slip: all that is possible is equally likely."""
    row = observable(entry.observation.what)
    if row.is_class:
        return 1.0 / len(row.words)
    if entry.sight.counts:
        return 1.0 / (1.0 + (row.high - row.low) * entry.observation.repeats)
    return 1.0 / (row.high - row.low)


def fitting(entry: Entry, state: Array) -> Array:
    """Return the chance or density of an entry that is no slip."""
    observation = entry.observation
    if observation.word is not None:
        return word_chances(entry, state)[:, observable(observation.what).words.index(observation.word)]
    if entry.sight.counts:
        return _count_chance(_total(observation), observation.repeats, state[:, 0])
    scale = number_scale(entry, state)
    return _student((float(observation.value or 0.0) - state[:, 0]) / scale) / scale


def number_scale(entry: Entry, state: Array) -> Array:
    """Return how far a number may lie from the state: stated error, and what the model leaves out."""
    stated = entry.observation.standard_error or 0.0
    left_out = entry.sight.spread**2 + (entry.sight.spread_share * state[:, 0]) ** 2
    scale: Array = np.sqrt(stated**2 + entry.company * left_out)
    return scale


def word_chances(entry: Entry, state: Array) -> Array:
    """Return chances of every word that is no slip, shape (particles, words); silent words have none."""
    sight, words = entry.sight, observable(entry.observation.what).words
    if sight.chances is not None:
        weighed: Array = np.maximum(sight.chances(state), 1e-12) ** (1.0 / entry.company)
        shares: Array = weighed / weighed.sum(axis=1, keepdims=True)
        return shares
    scale = float(np.sqrt(sight.feel**2 + entry.company * sight.spread**2)) / LOGISTIC
    reached = [_rising(state[:, 0], step, scale) for step in sight.steps]
    bounds = [np.ones(state.shape[0]), *reached, np.zeros(state.shape[0])]
    chances = [np.maximum(1e-12, under - above) for under, above in pairwise(bounds)]
    chances += [np.zeros(state.shape[0])] * (len(words) - len(chances))
    return np.stack(chances, axis=1)


def chance_beyond(entry: Entry, state: Array) -> float:
    """Return how likely an entry at least so far out was; of a word: its chance against that of the likeliest."""
    known = state[np.isfinite(state).all(axis=1)]
    if entry.silent():
        return 1.0
    if not known.size:
        return 0.0
    observation = entry.observation
    if observation.word is not None:
        mean = word_chances(entry, known).mean(axis=0)
        return float(mean[observable(observation.what).words.index(observation.word)] / mean.max())
    if entry.sight.counts:
        chances = [_count_chance(count, observation.repeats, known[:, 0]).mean()
                   for count in range(_total(observation) + 1)]  # fmt: skip
        below, above = float(sum(chances)), 1.0 - float(sum(chances[:-1]))
    else:
        deviation = (float(observation.value or 0.0) - known[:, 0]) / number_scale(entry, known)
        below = float(_student_below(deviation).mean())
        above = 1.0 - below
    return float(np.clip(2.0 * min(below, above), 0.0, 1.0))


def slip_chance(entry: Entry, state: Array) -> float:
    """Return how likely an entry is a slip if the particles hold the truth."""
    if entry.silent():
        return 0.0
    slip = entry.sight.slip * slip_density(entry)
    return float(np.mean(slip / np.exp(log_likelihood(entry, state))))


def _total(observation: Observation) -> int:
    return round((observation.value or 0.0) * observation.repeats)


def _student(deviation: Array) -> Array:
    """Return the density of Student's distribution with four degrees of freedom."""
    density: Array = 0.375 * (1.0 + deviation**2 / 4.0) ** -2.5
    return density


def _student_below(deviation: Array) -> Array:
    """Return the chance of a smaller value under it."""
    scaled = deviation**2 / (4.0 + deviation**2)
    below: Array = 0.5 + 0.5 * np.sign(deviation) * np.sqrt(scaled) * (1.5 - 0.5 * scaled)
    return below


def _count_chance(total: int, repeats: int, mean: Array) -> Array:
    """Return the chance of a total over so many spadefuls, negative binomial."""
    size, expected = WORM_CLUMPING * repeats, mean * repeats
    constant = lgamma(total + size) - lgamma(size) - lgamma(total + 1.0)
    spread = size * np.log(size / (size + expected)) + total * np.log(expected / (size + expected))
    chance: Array = np.exp(constant + spread)
    return chance
