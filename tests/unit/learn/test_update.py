"""Belief about a place's factor after a few values were seen."""

from __future__ import annotations

import numpy as np
import pytest

from mullbed.learn.update import drawn, expected, factor_weights

LOGS = np.linspace(-2.0, 2.0, 81)
LEFT = np.exp(-np.exp(LOGS)[:, None] * np.array([[0.5, 1.0]]))


def test_values_of_a_fast_place_raise_its_factor() -> None:
    weights = factor_weights(LOGS, 0.7, LEFT, np.exp(-2.0 * np.array([0.5, 1.0])), 0.03)
    assert np.exp(LOGS @ weights) == pytest.approx(2.0, rel=0.05)


def test_noise_without_end_leaves_the_prior() -> None:
    weights = factor_weights(LOGS, 0.7, LEFT, np.array([0.0, 0.0]), 1e6)
    prior = np.exp(-0.5 * (LOGS / 0.7) ** 2)
    assert weights == pytest.approx(prior / prior.sum(), abs=1e-9)


def test_the_mean_lies_between_prior_and_what_was_seen() -> None:
    seen = np.exp(-3.0 * np.array([0.5, 1.0]))
    middle = expected(factor_weights(LOGS, 0.3, LEFT, seen, 0.1), LEFT)
    assert np.all((middle > seen) & (middle < np.exp(-np.array([0.5, 1.0]))))


def test_members_follow_the_weights() -> None:
    weights = np.array([0.25, 0.0, 0.5, 0.25])
    assert np.bincount(drawn(weights, 100), minlength=4).tolist() == [25, 0, 50, 25]


def test_values_that_no_factor_explains_still_give_weights() -> None:
    weights = factor_weights(LOGS, 0.7, LEFT, np.array([50.0, 60.0]), 0.01)
    assert np.isfinite(weights).all()
    assert weights.sum() == pytest.approx(1.0)
