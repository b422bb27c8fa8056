"""p values and probabilities that a difference is judged by: Student's t, signs turned over, Holm, and Bayes."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

MOST_EXACT = 16
"""So many pairs are turned over in every way; above, ways are drawn."""
DRAWS = 20_000
PRIOR_SPREAD = 0.5
"""Prior belief about a difference: centred on none, standard deviation half the control's mean. Judgement."""


def t_chance(statistic: float, degrees: float) -> float:
    """Return the two-sided p value of Student's t."""
    from scipy.special import stdtr

    return float(2.0 * stdtr(degrees, -abs(statistic)))


def t_reach(degrees: float, alpha: float) -> float:
    """Return the table's two-sided t."""
    from scipy.special import stdtrit

    return float(stdtrit(degrees, 1.0 - alpha / 2.0))


def turned_signs(differences: Sequence[float], seed: int) -> tuple[float, float]:
    """Return p value and floor of the permutation test on differences within pairs.

    Under no effect each difference could as well have had the other sign. All ways up to 16 pairs, 20,000 drawn
    ones above (the observed way is counted in, so that p is never zero).

    Parameters
    ----------
    differences : sequence of float
        One per pair, at least one. [any unit]
    seed : int
        For the drawn ways.

    Returns
    -------
    chance : float
        Two-sided p value. [fraction]
    floor : float
        The smallest p value so few pairs can give, ``2 / 2^n``. [fraction]

    Source
    ------
    Fisher 1935, The Design of Experiments, chapter 3 (from memory).
    """
    values = np.asarray(differences, dtype=np.float64)
    count = len(values)
    observed = abs(values.sum())
    margin = 1e-12 * float(np.abs(values).sum())
    floor = 2.0 / 2.0**count
    if count <= MOST_EXACT:
        signs = 1.0 - 2.0 * ((np.arange(2**count)[:, None] >> np.arange(count)) & 1)
        return float(np.mean(np.abs(signs @ values) >= observed - margin)), floor
    generator = np.random.default_rng(seed)
    signs = generator.choice((-1.0, 1.0), size=(DRAWS, count))
    reached = int(np.sum(np.abs(signs @ values) >= observed - margin))
    return (reached + 1) / (DRAWS + 1), max(floor, 1.0 / (DRAWS + 1))


def shuffled_blocks(table: NDArray[np.float64], seed: int) -> float:
    """Return the p value of the permutation test over all treatments: labels shuffled within each block.

    ``table`` is (blocks, treatments) without gaps. The statistic is the spread of the treatment sums; 20,000 draws
    and the observed one.
    """
    generator = np.random.default_rng(seed)

    def statistic(tables: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(tables.sum(axis=-2).var(axis=-1))

    observed = float(statistic(table))
    reached, left = 0, DRAWS
    while left > 0:
        many = min(left, 2000)
        drawn = generator.permuted(np.broadcast_to(table, (many, *table.shape)), axis=2)
        reached += int(np.sum(statistic(drawn) >= observed * (1.0 - 1e-12)))
        left -= many
    return (reached + 1) / (DRAWS + 1)


def holm(chances: Sequence[float]) -> tuple[float, ...]:
    """Return p values corrected for several comparisons (Holm 1979, from memory), in the order given."""
    order = sorted(range(len(chances)), key=lambda index: chances[index])
    corrected = [0.0] * len(chances)
    highest = 0.0
    for rank, index in enumerate(order):
        highest = max(highest, min(1.0, chances[index] * (len(chances) - rank)))
        corrected[index] = highest
    return tuple(corrected)


def belief(difference: float, error: float, degrees: float, scale: float, worthwhile: float) -> tuple[float, float]:
    """Return the probabilities that a true difference is above zero and above the one worth having.

    Student likelihood of the difference times a normal prior centred on no difference with a standard deviation of
    half the ``scale`` (the control's mean; 1 on the log scale), summed on a grid.

    Parameters
    ----------
    difference, error, degrees : float
        Estimate, its standard error and degrees of freedom.
    scale : float
        What the prior is a fraction of, above zero. [unit of the difference]
    worthwhile : float
        Difference worth having, zero or more. [unit of the difference]
    """
    prior = PRIOR_SPREAD * abs(scale)
    if not (prior > 0.0 and error > 0.0):
        return math.nan, math.nan
    reach = max(6.0 * prior, abs(difference) + 12.0 * error)
    grid = np.union1d(
        np.linspace(-reach, reach, 6001), np.linspace(difference - 8 * error, difference + 8 * error, 2001)
    )
    logs = -0.5 * (degrees + 1.0) * np.log1p(((grid - difference) / error) ** 2 / degrees) - 0.5 * (grid / prior) ** 2
    density = np.exp(logs - logs.max())
    area = 0.5 * (density[1:] + density[:-1]) * np.diff(grid)
    middle = 0.5 * (grid[1:] + grid[:-1])
    whole = area.sum()
    above = (float(area[middle > least].sum() / whole) for least in (0.0, worthwhile))
    positive, worth = (min(1.0, max(0.0, one)) for one in above)  # sums may pass one by a rounding
    return positive, worth
