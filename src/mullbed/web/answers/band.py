"""A number with its doubt, as answers tell it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class AnsweredBand:
    """10th, 50th and 90th percentile; null where nothing is known."""

    low: float | None
    mid: float | None
    high: float | None
