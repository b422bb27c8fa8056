"""How many plots a question needs, and what so few can show, before the season begins.

The planned test is Student's t on differences within pairs or blocks. Its power is the chance that
``|(Z + d) / S|`` exceeds the table's t, with Z standard normal, d the shift in standard errors and S the root of
chi-square over its degrees of freedom. It is integrated over S directly, because library tails of the noncentral t
lose their digits at few degrees of freedom and a large shift. Imports only the special functions of scipy.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

from mullbed.domain.trial import Scale

ALPHA = 0.05
POWER = 0.80
CORRELATION = 0.3
MOST_BLOCKS = 400


@lru_cache(maxsize=64)
def _root_chi(degrees: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return nodes and weights of the density of S = sqrt(chi-square / degrees)."""
    import numpy as np
    from scipy.special import gammaln

    points, weights = np.polynomial.legendre.leggauss(160)
    reach = 9.0 / math.sqrt(2.0 * degrees)  # S has a standard deviation near 1 / sqrt(2 df)
    low, high = max(0.0, 1.0 - reach), 1.0 + reach
    nodes = 0.5 * (high - low) * points + 0.5 * (high + low)
    log_density = (
        math.log(2.0)
        + 0.5 * degrees * math.log(0.5 * degrees)
        - gammaln(0.5 * degrees)
        + (degrees - 1.0) * np.log(nodes)
        - 0.5 * degrees * nodes**2
    )
    mass = 0.5 * (high - low) * weights * np.exp(log_density)
    return tuple(map(float, nodes)), tuple(map(float, mass / mass.sum()))


def power_of_t(shift: float, degrees: float, alpha: float = ALPHA, *, two_sided: bool = True) -> float:
    """Return the chance that a t test finds a shift.

    Parameters
    ----------
    shift : float
        True difference over its true standard error, any sign. [1]
    degrees : float
        Degrees of freedom of the error, 1 or more. [1]
    alpha : float
        Accepted chance of a false alarm, above 0 and below 0.5. [fraction]
    two_sided : bool
        Whether a difference either way counts.

    Returns
    -------
    power : float
        [fraction]

    Source
    ------
    Definition of the noncentral t. Check: ten pairs, shift of one standard deviation: 0.803.
    """
    import numpy as np
    from scipy.special import ndtr, stdtrit

    table = float(stdtrit(degrees, 1.0 - (alpha / 2.0 if two_sided else alpha)))
    nodes, mass = _root_chi(float(degrees))
    at, weight = np.asarray(nodes), np.asarray(mass)
    found = ndtr(shift - table * at)
    if two_sided:
        found = found + ndtr(-shift - table * at)
    return float(weight @ found)


def spread_of_difference(variation: float, correlation: float, scale: Scale = Scale.PLAIN) -> float:
    """Return the standard deviation of a difference within one pair.

    On the plain scale as a fraction of the mean, ``cv * sqrt(2 (1 - r))``; on the log scale as a log, where a
    coefficient of variation stands for a log standard deviation of ``sqrt(ln(1 + cv^2))``.
    """
    one = math.sqrt(math.log1p(variation**2)) if scale is Scale.LOG else variation
    return one * math.sqrt(2.0 * (1.0 - correlation))


def error_degrees(blocks: int, treatments: int = 2, square: bool = False) -> int:
    """Return the degrees of freedom of the error of pairs, blocks or a Latin square."""
    if square:
        return (treatments - 1) * (treatments - 2)
    return (blocks - 1) * (treatments - 1)


def power(
    blocks: int,
    effect: float,
    variation: float,
    *,
    correlation: float = CORRELATION,
    alpha: float = ALPHA,
    treatments: int = 2,
    scale: Scale = Scale.PLAIN,
    two_sided: bool = True,
    square: bool = False,
) -> float:
    """Return the chance of seeing an effect of a given size.

    Parameters
    ----------
    blocks : int
        Pairs or blocks, 2 or more; rows of a square.
    effect : float
        True difference as a fraction of the control's mean; on the log scale 0.5 means half as much again.
    variation : float
        Coefficient of variation between plots treated alike. [fraction]
    """
    size = math.log1p(effect) if scale is Scale.LOG else effect
    error = spread_of_difference(variation, correlation, scale) / math.sqrt(blocks)
    return power_of_t(size / error, error_degrees(blocks, treatments, square), alpha, two_sided=two_sided)


def detectable(
    blocks: int,
    variation: float,
    *,
    wanted: float = POWER,
    correlation: float = CORRELATION,
    alpha: float = ALPHA,
    treatments: int = 2,
    scale: Scale = Scale.PLAIN,
    two_sided: bool = True,
    square: bool = False,
) -> float:
    """Return the smallest difference that is seen with the wanted chance, as a fraction of the control's mean."""
    degrees = error_degrees(blocks, treatments, square)
    shift = _first_above(lambda size: power_of_t(size, degrees, alpha, two_sided=two_sided), wanted)
    size = shift * spread_of_difference(variation, correlation, scale) / math.sqrt(blocks)
    return math.expm1(size) if scale is Scale.LOG else size


def blocks_needed(
    effect: float,
    variation: float,
    *,
    wanted: float = POWER,
    correlation: float = CORRELATION,
    alpha: float = ALPHA,
    treatments: int = 2,
    scale: Scale = Scale.PLAIN,
    two_sided: bool = True,
) -> int | None:
    """Return the fewest pairs or blocks that show an effect with the wanted chance; None when over 400."""

    def seen(blocks: int) -> bool:
        chance = power(
            blocks,
            effect,
            variation,
            correlation=correlation,
            alpha=alpha,
            treatments=treatments,
            scale=scale,
            two_sided=two_sided,
        )
        return chance >= wanted

    low, high = 2, 2
    while not seen(high):
        if high >= MOST_BLOCKS:
            return None
        low, high = high, min(2 * high, MOST_BLOCKS)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if seen(middle) else (middle, high)
    return low if seen(low) else high


def _first_above(rising: Callable[[float], float], wanted: float) -> float:
    """Return where a rising function first reaches a value, by halving."""
    low, high = 0.0, 1.0
    while rising(high) < wanted:
        low, high = high, 2.0 * high
    for _ in range(60):
        middle = 0.5 * (low + high)
        if rising(middle) < wanted:
            low = middle
        else:
            high = middle
    return high
