"""Belief about a place's factor after a few values were seen."""

from __future__ import annotations

import numpy as np
import pytest

from mullbed.learn.update import carried_on, drawn, factor_weights, lasting_share, learnt_course

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
    middle = factor_weights(LOGS, 0.3, LEFT, seen, 0.1) @ LEFT
    assert np.all((middle > seen) & (middle < np.exp(-np.array([0.5, 1.0]))))


def test_members_follow_the_weights() -> None:
    weights = np.array([0.25, 0.0, 0.5, 0.25])
    assert np.bincount(drawn(weights, 100), minlength=4).tolist() == [25, 0, 50, 25]


def test_values_that_no_factor_explains_still_give_weights() -> None:
    weights = factor_weights(LOGS, 0.7, LEFT, np.array([50.0, 60.0]), 0.01)
    assert np.isfinite(weights).all()
    assert weights.sum() == pytest.approx(1.0)


def test_nothing_lasts_where_values_differ_by_their_own_noise_alone() -> None:
    assert lasting_share(0.05) == 0.0
    assert lasting_share(0.10) == pytest.approx(0.75)  # known: 1 - 0.05^2 / 0.10^2
    rest = np.array([[0.5, 0.4]])
    assert np.array_equal(carried_on(np.array([[0.8, 0.7]]), np.array([0.5, 0.4]), rest, 0.05), rest)


def test_what_lasts_is_that_of_values_that_share_it() -> None:
    """Known: with correlation r between two values, the shared part is r (a + b) / (1 + r)."""
    predicted, seen = np.array([[0.8, 0.7]]), np.array([0.7, 0.62])
    later = carried_on(predicted, seen, predicted[:, 1:], 0.1)
    assert later[0, 0] == pytest.approx(0.7 + 0.75 * (-0.1 - 0.08) / 1.75)


def test_what_lasts_fades_with_the_litter_and_never_takes_it_below_zero() -> None:
    later = carried_on(np.array([[0.8, 0.7]]), np.array([0.4, 0.3]), np.array([[0.7, 0.35, 0.0]]), 0.15)
    assert later[0, 0] - 0.7 == pytest.approx(2.0 * (later[0, 1] - 0.35))
    assert later[0, 2] == 0.0
    assert (later >= 0.0).all()


def test_one_absurd_value_moves_the_factor_less_than_a_right_one() -> None:
    right, _ = learnt_course(LOGS, 0.7, LEFT, np.array([0.5, 0.27]), LEFT, 0.05)
    absurd, _ = learnt_course(LOGS, 0.7, LEFT, np.array([0.5, 1.4]), LEFT, 0.05)
    gauss = -0.5 * (LOGS / 0.7) ** 2 - 0.5 * np.sum(((LEFT - np.array([0.5, 1.4])) / 0.05) ** 2, axis=1)
    light = np.exp(gauss - gauss.max())
    assert abs(LOGS @ absurd - LOGS @ right) < 0.6 * abs(LOGS @ light / light.sum() - LOGS @ right)
