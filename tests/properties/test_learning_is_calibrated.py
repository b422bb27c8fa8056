"""Simulation-based calibration: where the truth is drawn from the belief and seen as the likelihood says, the truth's
rank among the particles is even (Talts et al. 2018). Ranks that pile up at the ends tell of beliefs that are too sure,
in the middle of ones that are not sure enough."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from mullbed.domain.observation import OBSERVABLES, Observation
from mullbed.learn.beds import Looker, learn_bed
from mullbed.learn.likelihood import SIGHTS, WORM_CLUMPING, companied, number_scale, word_chances
from mullbed.learn.particles import tempered
from mullbed.learn.priors import believed
from mullbed.simulate.case import BedCase, Lay
from season_bed import LEAVES, Evidence, Spread, column, fresh, greens, lift, showers, weather

BINS = 8
#: 99.9 % point of chi-square with 7 degrees of freedom, times a little for several doubts at once.
MOST = 26.0


def chi_square(ranks: np.ndarray) -> float:
    counts = np.bincount(ranks, minlength=BINS)
    even = ranks.size / BINS
    return float(np.sum((counts - even) ** 2) / even)


def rank(truth: float, particles: np.ndarray, chance: np.random.Generator) -> int:
    """Return the rank of a truth among one less than so many particles as there are bins."""
    drawn = chance.choice(particles, BINS - 1, replace=False)
    return int(np.sum(drawn < truth))


def ranks_of_a_measured_normal(power: float, trials: int = 240) -> np.ndarray:
    chance, found = np.random.default_rng(3), []
    for trial in range(trials):
        truth = chance.standard_normal()
        seen = truth + 0.4 * chance.standard_normal(3)

        def likelihood(deviates, seen=seen):
            return -0.5 * power * np.sum(((seen - deviates[:, :1]) / 0.4) ** 2, axis=1, keepdims=True), deviates[:, :1]

        cloud = tempered(likelihood, 6, 128, np.random.SeedSequence([7, trial]))
        found.append(rank(truth, cloud.deviates[:, 0], chance))
    return np.array(found)


def test_particles_of_a_measured_normal_are_calibrated() -> None:
    assert chi_square(ranks_of_a_measured_normal(1.0)) < MOST


@pytest.mark.parametrize("power", [5.0, 0.2])
def test_the_check_finds_beliefs_that_are_too_sure_or_too_unsure(power: float) -> None:
    assert chi_square(ranks_of_a_measured_normal(power)) > MOST


DAYS = 36
SKY = weather(DAYS, 12, 24, 3.5, showers(DAYS, 0.35, 6.0, 1))
ASKED = (
    ("squeeze", 6),
    ("soil temperature", 6),
    ("worms", 15),
    ("smell", 15),
    ("darkening", 24),
    ("squeeze", 30),
    ("darkening", 34),
    ("soil moisture", 34),
)
TRIALS, PARTICLES = 96, 96
WATCHED = ("place", "main_rate", "worm_mass", "shading", "storage_factor", "rain", "rate")


def bed() -> BedCase:
    rich = replace(greens(3.5), nitrogen=Spread(0.02, 0.035, 0.062, "", Evidence.PUBLISHED))
    green = replace(fresh(0.5), residue=rich, dry_matter_log_sd=0.3)
    brown = replace(lift(LEAVES, 0.4, free=0.8), dry_matter_log_sd=0.3)
    return BedCase("Low bed", SKY, column(), (Lay(0, (green, brown)),))


def seen_as(what: str, day: int, state: np.ndarray, company: int, chance: np.random.Generator) -> Observation:
    """Return what is seen of a state: drawn as the likelihood says, now and then a slip."""
    row, sight, when = OBSERVABLES[what], SIGHTS[what], SKY.first_day + timedelta(days=day)
    slip = chance.random() < sight.slip or not np.isfinite(state).all()
    if row.is_class:
        blank = Observation(what, "Low bed", when, word=row.words[0])
        entry = replace(companied([(blank, day)])[0], company=company)
        even = np.full(len(row.words), 1.0 / len(row.words))
        shares = even if slip else word_chances(entry, state[None, :])[0]
        return Observation(
            what, "Low bed", when, word=row.words[chance.choice(len(row.words), p=shares / shares.sum())]
        )
    if sight.counts:
        share = WORM_CLUMPING / (WORM_CLUMPING + state[0])
        count = chance.integers(0, 301) if slip else chance.negative_binomial(WORM_CLUMPING, share)
        return Observation(what, "Low bed", when, value=float(min(300, count)))
    blank = Observation(what, "Low bed", when, value=10.0, error=row.error)
    scale = number_scale(replace(companied([(blank, day)])[0], company=company), state[None, :])[0]
    value = chance.uniform(row.low, row.high) if slip else state[0] + scale * chance.standard_t(4)
    return Observation(what, "Low bed", when, value=float(np.clip(value, row.low, row.high)), error=row.error)


@pytest.fixture(scope="module")
def ranks() -> dict[str, np.ndarray]:
    chance = np.random.default_rng(11)
    case = bed()
    belief = believed([case], [34])
    blank = [
        Observation(what, "Low bed", SKY.first_day + timedelta(days=day), **({"word": OBSERVABLES[what].words[0]}
                    if OBSERVABLES[what].is_class else {"value": 10.0}))
        for what, day in ASKED
    ]  # fmt: skip
    entries = companied([(one, day) for one, (_, day) in zip(blank, ASKED, strict=True)])
    look = Looker(belief, [entries], 1)
    truths = chance.standard_normal((TRIALS, belief.doubts))
    _, states = look(truths)
    columns = {
        name: next(column for stream, column in {**belief.shared, **belief.own[0]}.items()
                   if name in (stream[0].split()[0], *(stream[1:2] if stream[0] == "weather" else ())))
        for name in WATCHED
    }  # fmt: skip
    found: dict[str, list[int]] = {name: [] for name in WATCHED}
    for trial in range(TRIALS):
        told = [
            seen_as(what, day, states[trial, look.columns[0][place]], entries[place].company, chance)
            for place, (what, day) in enumerate(ASKED)
        ]
        learnt = learn_bed(case, told, PARTICLES, seed=trial)
        for name, at in columns.items():
            found[name].append(rank(truths[trial, at], learnt.deviates[:, at], chance))
    return {name: np.array(each) for name, each in found.items()}


@pytest.mark.parametrize("doubt", WATCHED)
def test_a_bed_that_learns_is_calibrated(doubt: str, ranks: dict[str, np.ndarray]) -> None:
    assert ranks[doubt].size == TRIALS
    assert chi_square(ranks[doubt]) < MOST, np.bincount(ranks[doubt], minlength=BINS)


def test_over_all_doubts_the_ranks_are_neither_at_the_ends_nor_in_the_middle(ranks: dict[str, np.ndarray]) -> None:
    every = np.concatenate(list(ranks.values()))
    ends = np.mean((every == 0) | (every == BINS - 1))
    assert ends == pytest.approx(2.0 / BINS, abs=0.05)
    assert chi_square(every) < 1.5 * MOST
