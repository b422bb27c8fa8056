"""What else the model holds possible: factors of place and material by what is known, parameters, noise."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mullbed.reference.place_doubt import doubts
from mullbed.simulate.ensemble import draw_records, standard_draws, stream
from mullbed.simulate.parameters import PARAMETERS

Array = NDArray[np.float64]

#: Members of a predictive ensemble where nothing else is asked for.
MEMBERS = 100


@dataclass(frozen=True, slots=True)
class Ensemble:
    """Members that every set shares: their parameters, and named streams for what differs by place and material."""

    records: Array
    """Shape (members, parameters); the first row is that of middle values."""
    seed: int

    @property
    def count(self) -> int:
        """Number of members besides the middle one."""
        return int(self.records.shape[0]) - 1

    def rates(self, known: str, place: str, material: str) -> Array:
        """Return factors on all rates, shape (members + 1,); the first is 1."""
        doubt = doubts()[known]
        log = doubt.place_log_sd * standard_draws(self.seed, self.count, "place", place)
        log = log + doubt.material_log_sd * standard_draws(self.seed, self.count, "material", place, material)
        return np.concatenate([[1.0], np.exp(log)])

    def factors(self, spread: float, *names: str) -> Array:
        """Return lognormal factors of a named doubt, shape (members + 1,); the first is 1."""
        return np.concatenate([[1.0], np.exp(spread * standard_draws(self.seed, self.count, *names))])

    def noisy(self, members: Array, known: str, *names: str) -> Array:
        """Return members with the noise of a value seen, never below zero; shape unchanged, points first."""
        return self.noisy_by(members, doubts()[known].noise, *names)

    def noisy_rows(self, members: Array, known: Sequence[str], *names: str) -> Array:
        """Return members with the noise of what is known of each point; shape unchanged, points first."""
        noise = np.array([doubts()[one].noise for one in known])
        return self.noisy_by(members, noise[:, None], *names)

    def noisy_by(self, members: Array, noise: float | Array, *names: str, lowest: float = 0.0) -> Array:
        """Return members with noise of a given standard deviation, not below the lowest possible value."""
        added: Array = members + noise * stream(self.seed, "noise", *names).standard_normal(members.shape)
        return np.maximum(lowest, added)


def draw_ensemble(members: int = MEMBERS, seed: int = 1) -> Ensemble:
    """Return members with doubt in the parameters; the doubt of places and materials is drawn by name."""
    middle = draw_records(1, seed, "validation", frozenset())
    drawn = draw_records(members, seed, "validation", frozenset({"rates"}))
    return Ensemble(np.concatenate([middle, drawn]), seed)


def fingerprint() -> str:
    """Return a short hash of every number a prediction rests on: name, middle value and doubt of each, and priors."""
    numbers = [f"{one.name}={one.middle!r},{one.spread!r},{one.kind}" for one in PARAMETERS]
    numbers += [repr(one) for one in doubts().values()]
    return hashlib.sha256(";".join(numbers).encode()).hexdigest()[:12]
