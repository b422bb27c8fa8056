"""Particles against answers known by hand: normal with normal, beta with binomial, two beds that share a doubt."""

from __future__ import annotations

from math import erf, sqrt

import numpy as np
import pytest

from mullbed.learn.particles import counting, next_power, systematic, tempered, weights_of

COUNT = 1024


def seed(number: int = 1) -> np.random.SeedSequence:
    return np.random.SeedSequence([number, 5])


def measured(values: list[float], noise: float):
    """Return the likelihood of values measured of the first doubt."""

    def likelihood(deviates):
        away = (np.array(values) - deviates[:, :1]) / noise
        return -0.5 * np.sum(away**2, axis=1, keepdims=True), deviates[:, :1]

    return likelihood


@pytest.mark.parametrize("noise", [2.0, 0.5, 0.1])
def test_a_normal_measured_with_normal_noise_is_the_known_normal(noise: float) -> None:
    """Known: precision 1 + n / s^2, mean the sum of the values over s^2 by it."""
    values = [1.5, 1.8, 2.0]
    cloud = tempered(measured(values, noise), 20, COUNT, seed())
    variance = 1.0 / (1.0 + len(values) / noise**2)
    assert cloud.deviates[:, 0].mean() == pytest.approx(variance * sum(values) / noise**2, abs=0.13 * sqrt(variance))
    assert cloud.deviates[:, 0].std() == pytest.approx(sqrt(variance), rel=0.1)


def test_doubts_that_nothing_was_seen_of_stay_as_they_were() -> None:
    cloud = tempered(measured([1.5, 1.8, 2.0], 0.2), 20, COUNT, seed())
    assert np.abs(cloud.deviates[:, 1:].mean(axis=0)).max() < 0.13
    assert cloud.deviates[:, 1:].std(axis=0) == pytest.approx(np.ones(19), abs=0.1)


def test_a_share_seen_in_words_is_the_known_beta() -> None:
    """Known: even prior, 7 of 9 words: beta with 8 and 3, mean 8/11, variance 24 / (121 * 12)."""

    def likelihood(deviates):
        share = np.array([0.5 * (1.0 + erf(one / sqrt(2.0))) for one in deviates[:, 0]])
        share = np.clip(share, 1e-12, 1.0 - 1e-12)
        return (7.0 * np.log(share) + 2.0 * np.log(1.0 - share))[:, None], share[:, None]

    found = tempered(likelihood, 3, 2 * COUNT, seed()).predicted[:, 0]
    assert found.mean() == pytest.approx(8.0 / 11.0, abs=0.012)
    assert found.std() == pytest.approx(sqrt(24.0 / (121.0 * 12.0)), rel=0.1)


def test_two_beds_share_what_is_common_and_keep_what_is_their_own() -> None:
    """Known: a linear model with normal noise; shared doubt 0, own doubts 1 and 2."""
    seen, noise = np.array([2.0, 0.5]), 0.3

    def likelihood(deviates):
        told = deviates[:, :1] + deviates[:, 1:3]
        return -0.5 * ((seen - told) / noise) ** 2, told

    own = (np.array([1]), np.array([2]))
    cloud = tempered(likelihood, 8, 4 * COUNT, seed(), own=own, part_of=np.array([0, 1]))
    model = np.array([[1.0, 1.0, 0.0], [1.0, 0.0, 1.0]])
    gain = model.T @ np.linalg.inv(model @ model.T + noise**2 * np.eye(2))
    assert cloud.deviates[:, :3].mean(axis=0) == pytest.approx(gain @ seen, abs=0.07)
    spread = np.sqrt(np.diag(np.eye(3) - gain @ model))
    assert cloud.deviates[:, :3].std(axis=0) == pytest.approx(spread, rel=0.1)
    assert cloud.predicted == pytest.approx(likelihood(cloud.deviates)[1])


def test_what_a_particle_predicted_is_kept_with_it() -> None:
    likelihood = measured([0.3], 0.1)
    cloud = tempered(likelihood, 4, 128, seed())
    assert np.array_equal(cloud.predicted, likelihood(cloud.deviates)[1])


def test_equal_seeds_give_equal_clouds_and_others_do_not() -> None:
    one, two, other = (tempered(measured([1.0], 0.2), 5, 64, seed(number)).deviates for number in (3, 3, 4))
    assert np.array_equal(one, two)
    assert not np.array_equal(one, other)


def test_nothing_seen_costs_one_step_and_few_runs() -> None:
    cloud = tempered(lambda deviates: (np.zeros((deviates.shape[0], 1)), deviates[:, :1]), 5, 64, seed())
    assert cloud.powers == (1.0,)
    assert cloud.runs <= 4


def test_strong_evidence_costs_few_runs() -> None:
    assert tempered(measured([2.5], 0.02), 40, COUNT, seed()).runs <= 16


def test_even_distances_keep_a_particle_as_often_as_its_weight_says() -> None:
    weights = np.array([0.1, 0.4, 0.0, 0.5])
    assert np.bincount(systematic(np.repeat(weights, 10) / 10.0, 0.5) // 10, minlength=4).tolist() == [4, 16, 0, 20]


def test_a_step_leaves_as_many_counting_as_asked() -> None:
    log_likelihood = -0.5 * np.linspace(-8.0, 8.0, 500) ** 2
    rise = next_power(log_likelihood, 1.0, 250.0)
    assert 0.0 < rise < 1.0
    assert counting(weights_of(rise * log_likelihood)) == pytest.approx(250.0, rel=1e-3)
    assert next_power(np.zeros(10), 0.4, 5.0) == 0.4
