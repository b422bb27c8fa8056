"""Belief as a cloud of particles: from the prior to the posterior in tempered steps, each followed by moves.

Every doubt is a standard normal deviate, so the prior is known exactly. A step raises the power of the likelihood as
far as half of the particles still count, draws them anew by their weight, and moves them. A move proposes a deviate
that keeps the prior (Cotter et al. 2013, preconditioned Crank-Nicolson), or, where the cloud has left the prior, one
that keeps a normal fitted to the cloud; it is taken or left by Metropolis and Hastings' rule, so the steps may be few
without bending the result. Whole seasons are run again at each move; nothing is patched in the middle.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Columns = NDArray[np.int64]
Likelihood = Callable[[Array], tuple[Array, Array]]
"""Deviates (particles, doubts) -> log likelihood of each part (particles, parts), what was predicted (particles, any).

A part rests on the shared doubts and on its own ones alone.
"""

#: Share of the particles that must still count after a step.
LEAST_COUNTING = 0.5
#: Moves each particle should have taken on average after a step and after the last one, and most tries for it.
ENOUGH_MOVES, ENOUGH_LAST, MOST_TRIES = 0.7, 1.4, 4
#: Steps that are taken at most; the last one goes all the way.
MOST_STEPS = 12
#: Standard errors a mean or a spread must be off the prior's before the cloud's own is trusted.
SURE = 3.5
#: Share of moves that should be taken.
TAKEN = 0.3


@dataclass(frozen=True, slots=True, eq=False)
class Cloud:
    """Particles of equal weight, and how they came about."""

    deviates: Array
    """Shape (particles, doubts)."""
    predicted: Array
    """What each particle predicts, shape (particles, any)."""
    before: Array
    """The same before anything was seen."""
    runs: int
    """How often every particle was run."""
    powers: tuple[float, ...]
    """Power of the likelihood after each step; the last is 1."""
    taken: tuple[float, ...]
    """Share of moves taken, by move."""


@dataclass(slots=True)
class _Walk:
    """How far a block moves; it learns from the share of moves that were taken."""

    reach: float = 0.5
    shares: list[float] = field(default_factory=list)

    def note(self, share: float) -> None:
        self.shares.append(share)
        self.reach = float(np.clip(self.reach * np.exp(1.5 * (share - TAKEN)), 0.05, 0.95))


@dataclass(frozen=True, slots=True, eq=False)
class _Reference:
    """The normal that proposals keep: the prior, but for the doubts of which the cloud knows better."""

    known: Columns
    mean: Array
    root: Array
    """Lower Cholesky factor of the covariance of the known doubts."""

    def proposed(self, deviates: Array, reach: float, noise: Array) -> Array:
        """Return proposals for deviates of a block, with standard normal noise of the same shape."""
        kept = np.sqrt(1.0 - reach**2)
        out = kept * deviates + reach * noise
        if self.known.size:
            away = deviates[:, self.known] - self.mean
            out[:, self.known] = self.mean + kept * away + reach * (noise[:, self.known] @ self.root.T)
        moved: Array = out
        return moved

    def prior_less_own(self, deviates: Array) -> Array:
        """Return log density of the prior less that of this normal, up to a constant, shape (particles,)."""
        if not self.known.size:
            return np.zeros(deviates.shape[0])
        here = deviates[:, self.known]
        scaled = np.linalg.solve(self.root, (here - self.mean).T)
        difference: Array = -0.5 * np.sum(here**2, axis=1) + 0.5 * np.sum(scaled**2, axis=0)
        return difference


def counting(weights: Array) -> float:
    """Return how many equal particles weights are worth, between 1 and their number."""
    return float(weights.sum() ** 2 / np.sum(weights**2))


def weights_of(log_weights: Array) -> Array:
    """Return weights that sum to one."""
    weights = np.exp(log_weights - log_weights.max())
    shares: Array = weights / weights.sum()
    return shares


def systematic(weights: Array, start: float) -> Columns:
    """Return which particles are kept: at even distances along the summed weights, from a start of 0 to 1."""
    count = weights.size
    at = (np.arange(count) + start) / count
    rows: Columns = np.minimum(count - 1, np.searchsorted(np.cumsum(weights) / weights.sum(), at, side="right"))
    return rows


def next_power(log_likelihood: Array, left: float, least: float) -> float:
    """Return how far the power may rise, at most by what is left, so that enough particles still count."""
    if counting(weights_of(left * log_likelihood)) >= least:
        return left
    low, high = 0.0, left
    for _ in range(40):
        middle = 0.5 * (low + high)
        if counting(weights_of(middle * log_likelihood)) >= least:
            low = middle
        else:
            high = middle
    return max(low, 1e-9 * left)


def tempered(
    likelihood: Likelihood,
    doubts: int,
    count: int,
    seed: np.random.SeedSequence,
    own: Sequence[Columns] = (),
    part_of: Columns | None = None,
) -> Cloud:
    """Return the posterior cloud of so many particles.

    Parameters
    ----------
    likelihood : callable
        Takes deviates of shape (particles, doubts).
    doubts : int
        Number of standard normal doubts.
    count : int
        Number of particles.
    seed : SeedSequence
        Equal seeds give equal clouds.
    own : sequence of arrays of int
        Columns that only one part of the likelihood rests on, by part; all others are shared. Empty for one part.
    part_of : array of int, optional
        Part that each column of what is predicted belongs to; needed where there are own columns.
    """
    generator = np.random.default_rng(seed)
    deviates = generator.standard_normal((count, doubts))
    parts, predicted = likelihood(deviates)
    before = predicted.copy()
    runs, power = 1, 0.0
    powers: list[float] = []
    shared = np.setdiff1d(np.arange(doubts), np.concatenate(own) if own else np.zeros(0, dtype=np.int64))
    walks = [_Walk() for _ in range(1 + bool(own))]
    part_of = np.zeros(predicted.shape[1], dtype=np.int64) if part_of is None else part_of
    while power < 1.0:
        total = parts.sum(axis=1)
        left = 1.0 - power
        rise = left if len(powers) + 1 >= MOST_STEPS else next_power(total, left, LEAST_COUNTING * count)
        power = 1.0 if rise >= left else power + rise
        weights = weights_of(rise * total)
        references = [_reference(deviates[:, block], weights) for block in (shared, *own)]
        rows = systematic(weights, generator.random())
        deviates, parts, predicted = deviates[rows], parts[rows], predicted[rows]
        powers.append(power)
        enough = ENOUGH_LAST if power >= 1.0 else ENOUGH_MOVES
        for walk, blocks, fitted in zip(walks, ((shared,), tuple(own)), (references[:1], references[1:]), strict=False):
            taken_now = 0.0
            for _ in range(MOST_TRIES):
                state = (deviates, parts, predicted)
                runs += _move(likelihood, state, part_of, blocks, fitted, power, walk, generator)
                taken_now += walk.shares[-1] if walk.shares else enough
                if taken_now >= enough:
                    break
    taken = tuple(share for walk in walks for share in walk.shares)
    return Cloud(deviates, predicted, before, runs, tuple(powers), taken)


def _move(
    likelihood: Likelihood,
    state: tuple[Array, Array, Array],
    part_of: Columns,
    blocks: Sequence[Columns],
    references: Sequence[_Reference],
    power: float,
    walk: _Walk,
    generator: np.random.Generator,
) -> int:
    """Move one shared block, or all own blocks side by side, in place; return how often all particles were run."""
    if not any(block.size for block in blocks):
        return 0
    deviates, parts, predicted = state
    count = deviates.shape[0]
    proposed = deviates.copy()
    gains = np.zeros((count, len(blocks)))
    for number, (block, reference) in enumerate(zip(blocks, references, strict=True)):
        noise = generator.standard_normal((count, block.size))
        proposed[:, block] = reference.proposed(deviates[:, block], walk.reach, noise)
        there, here = (reference.prior_less_own(one[:, block]) for one in (proposed, deviates))
        gains[:, number] = there - here
    new_parts, new_predicted = likelihood(proposed)
    gained = power * (new_parts - parts)
    gains += gained.sum(axis=1, keepdims=True) if len(blocks) == 1 else gained
    take = np.log(generator.random(gains.shape)) < gains
    alone = len(blocks) == 1
    for number, block in enumerate(blocks):
        rows = np.flatnonzero(take[:, number])
        deviates[np.ix_(rows, block)] = proposed[np.ix_(rows, block)]
        touched = np.arange(parts.shape[1]) if alone else np.array([number])
        told = np.flatnonzero(np.isin(part_of, touched))
        parts[np.ix_(rows, touched)] = new_parts[np.ix_(rows, touched)]
        predicted[np.ix_(rows, told)] = new_predicted[np.ix_(rows, told)]
    walk.note(float(take.mean()))
    return 1


def _reference(deviates: Array, weights: Array) -> _Reference:
    """Return the normal of a block: the cloud's own where it surely differs from the prior."""
    nothing = np.zeros(0, dtype=np.int64)
    if not deviates.shape[1]:
        return _Reference(nothing, np.zeros(0), np.zeros((0, 0)))
    worth = counting(weights)
    mean = weights @ deviates
    variance = weights @ (deviates - mean) ** 2
    sure = np.maximum(np.abs(mean) * np.sqrt(worth), np.abs(1.0 - variance) * np.sqrt(worth / 2.0))
    most = int(worth / 8.0)
    known = np.sort(np.argsort(-sure, kind="stable")[: min(most, int(np.sum(sure > SURE)))]).astype(np.int64)
    if not known.size:
        return _Reference(nothing, np.zeros(0), np.zeros((0, 0)))
    away = deviates[:, known] - mean[known]
    covariance = (away * weights[:, None]).T @ away
    trust = worth / (worth + known.size + 2.0)
    covariance = trust * covariance + (1.0 - trust) * np.diag(np.diag(covariance)) + 1e-6 * np.eye(known.size)
    root: Array = np.linalg.cholesky(np.asarray(covariance, dtype=np.float64))
    return _Reference(known, mean[known], root)
