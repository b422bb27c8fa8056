"""Scores of points whose answer is known by hand."""

from __future__ import annotations

import numpy as np
import pytest

from mullbed.domain.validation import Comparison
from mullbed.evidence.scores import group_scores, ranked_probability, score, squared_correlation


def comparison(seen: list[float], predicted: list[float], groups: tuple[str, ...], **more: object) -> Comparison:
    days = np.arange(len(seen), dtype=float)
    return Comparison("key", "A set", "1", "site", groups, days, np.array(seen), np.array(predicted), **more)


def test_error_bias_and_group_means_are_those_worked_out_by_hand() -> None:
    """Known: errors 1, 1, -3; sites a (1, 1) and b (-3)."""
    found = score(comparison([0.0, 1.0, 5.0], [1.0, 2.0, 2.0], ("a", "a", "b")))
    assert found.rmse == pytest.approx(np.sqrt(11 / 3))
    assert found.bias == pytest.approx(-1 / 3)
    assert found.further["rmse_mean_site"] == pytest.approx(2.0)
    assert found.further["rmse_median_site"] == pytest.approx(2.0)
    assert found.further["bias_mean_site"] == pytest.approx(-1.0)


def test_groups_are_scored_alone() -> None:
    found = group_scores(comparison([0.0, 1.0, 5.0], [1.0, 2.0, 2.0], ("b", "b", "a")))
    assert [(one.group, one.score.n, one.score.bias) for one in found] == [("a", 1, -3.0), ("b", 2, 1.0)]


def test_coverage_counts_values_within_the_middle_of_the_members() -> None:
    members = np.tile(np.arange(101.0), (4, 1))
    found = score(comparison([50.0, 8.0, 92.0, 99.0], [50.0] * 4, ("a",) * 4, members=members))
    assert found.coverage80 == pytest.approx(0.25)
    assert found.coverage90 == pytest.approx(0.75)


def test_a_kept_bound_is_neither_an_error_nor_missed() -> None:
    members = np.tile(np.linspace(0.0, 0.1, 101), (3, 1))
    seen, predicted = [0.5, 0.4, 0.3], [0.05, 0.05, 0.05]
    errors = np.array([0.0, -0.35, -0.25])
    found = score(comparison(seen, predicted, ("a",) * 3, members=members, counts_bounds=True, errors=errors))
    assert found.coverage90 == pytest.approx(1 / 3)
    assert found.rmse == pytest.approx(np.sqrt((0.35**2 + 0.25**2) / 3))


def test_the_ranked_score_of_many_equal_members_is_the_distance() -> None:
    assert ranked_probability(np.array([2.0]), np.full((1, 50), 5.0)) == pytest.approx([3.0])


def test_the_ranked_score_of_a_normal_ensemble_is_the_published_one() -> None:
    """Published (Gneiting and Raftery 2007, eq. 20): 0.2337 standard deviations at the mean of a normal."""
    drawn = np.random.default_rng(1).standard_normal((1, 20000))
    assert ranked_probability(np.zeros(1), drawn)[0] == pytest.approx(0.2337, abs=0.006)


def test_the_ranked_score_favours_the_right_spread() -> None:
    rng = np.random.default_rng(2)
    seen = rng.standard_normal(400)
    scores = [ranked_probability(seen, s * rng.standard_normal((400, 200))).mean() for s in (0.2, 1.0, 4.0)]
    assert scores[1] < scores[0]
    assert scores[1] < scores[2]


def test_a_correlation_of_values_that_do_not_vary_is_not_told() -> None:
    assert squared_correlation(np.ones(5), np.arange(5.0)) is None
    assert squared_correlation(np.arange(5.0), -2.0 * np.arange(5.0)) == pytest.approx(1.0)


def test_kept_points_make_a_set_of_their_own() -> None:
    whole = comparison([0.0, 1.0, 5.0], [1.0, 2.0, 2.0], ("a", "a", "b"), drivers={"rain": np.arange(3.0)})
    part = whole.where(whole.seen > 0.5, "part", "Part")
    assert part.groups == ("a", "b")
    assert part.drivers["rain"].tolist() == [1.0, 2.0]
    assert score(part).n == 2
