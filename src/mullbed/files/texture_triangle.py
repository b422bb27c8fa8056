"""Texture class from sand and clay, by the twelve classes of the United States soil survey."""

from __future__ import annotations


def texture_of(sand: float, clay: float) -> str:
    """Return the texture class of the mineral soil.

    Boundaries: Soil Science Division Staff 2017, Soil Survey Manual, USDA Handbook 18, chapter 3 [from memory].

    Parameters
    ----------
    sand, clay : float
        Shares of the mineral soil; the rest is silt. [fraction]

    Raises
    ------
    ValueError
        When a share is outside 0 to 1 or both together are above 1.
    """
    if not (0.0 <= sand <= 1.0 and 0.0 <= clay <= 1.0 and sand + clay <= 1.0 + 1e-9):
        raise ValueError(f"sand {sand} and clay {clay} are not shares of one soil")
    sand, clay = round(100.0 * sand, 6), round(100.0 * clay, 6)
    silt = 100.0 - sand - clay
    rules = (
        ("sand", silt + 1.5 * clay < 15.0),
        ("loamy sand", silt + 2.0 * clay < 30.0),
        ("sandy loam", clay < 20.0 and sand > 52.0),
        ("sandy loam", clay < 7.0 and silt < 50.0),
        ("sandy clay loam", 20.0 <= clay < 35.0 and silt < 28.0 and sand > 45.0),
        ("sandy clay", clay >= 35.0 and sand > 45.0),
        ("silt", silt >= 80.0 and clay < 12.0),
        ("silt loam", silt >= 50.0 and clay < 27.0),
        ("loam", 7.0 <= clay < 27.0),
        ("silty clay loam", clay < 40.0 and sand <= 20.0),
        ("clay loam", clay < 40.0),
        ("silty clay", silt >= 40.0),
    )
    return next((name for name, holds in rules if holds), "clay")
