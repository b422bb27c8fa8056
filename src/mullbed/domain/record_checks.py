"""Numbers of the record that must be finite and not below zero."""

from __future__ import annotations

import math


def checked(**numbers: float | None) -> None:
    """Raise ValueError for the first number that is below zero or not finite; None, a missing one, is sound.

    Raises
    ------
    ValueError
        With the name of the number.
    """
    for name, number in numbers.items():
        if number is not None and not (math.isfinite(number) and number >= 0.0):
            raise ValueError(f"{name.replace('_', ' ')} is {number:g}; it must be zero or more")


def checked_share(**shares: float | None) -> None:
    """Raise ValueError for the first share that is not between zero and one.

    Raises
    ------
    ValueError
        With the name of the share.
    """
    for name, share in shares.items():
        if share is not None and not 0.0 <= share <= 1.0:
            raise ValueError(f"{name.replace('_', ' ')} is {share:g}; it must lie between 0 and 1")
