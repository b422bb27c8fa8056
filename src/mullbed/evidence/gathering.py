"""Put the points of many series together into one comparison, series worked out side by side."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.validation import Comparison
from mullbed.evidence.open_tables import Row

Array = NDArray[np.float64]
Item = TypeVar("Item")
Found = TypeVar("Found")


@dataclass(frozen=True, slots=True)
class Points:
    """Points of one series."""

    group: str
    days: Array
    seen: Array
    found: Array
    """What members say, shape (members + 1, points); the first row is that of middle values."""
    drivers: dict[str, float] = field(default_factory=dict)
    """Of the whole series."""


def side_by_side(work: Callable[[Item], Found], items: Iterable[Item]) -> list[Found]:
    """Return the work done on every item, in order; compiled loops let several run at once."""
    with ThreadPoolExecutor(min(4, os.cpu_count() or 1)) as pool:
        return list(pool.map(work, items))


def by_series(rows: Iterable[Row]) -> dict[str, list[Row]]:
    """Return rows by their series, in the order they stand."""
    series: dict[str, list[Row]] = {}
    for row in rows:
        series.setdefault(row["series_id"], []).append(row)
    return series


def joined(
    key: str,
    title: str,
    grouped_by: str,
    points: list[Points],
    spread: Callable[[Array], Array],
    *,
    unit: str = "fraction of what was laid",
) -> Comparison:
    """Return the points of all series as one comparison.

    ``spread`` takes members by point, shape (points, members), and returns them with the noise of a value seen.
    """
    empty = np.empty(0)
    names = list(points[0].drivers) if points else []
    return Comparison(
        key=key,
        title=title,
        unit=unit,
        grouped_by=grouped_by,
        groups=tuple(one.group for one in points for _ in one.seen),
        days=np.concatenate([one.days for one in points]) if points else empty,
        seen=np.concatenate([one.seen for one in points]) if points else empty,
        predicted=np.concatenate([one.found[0] for one in points]) if points else empty,
        members=spread(np.concatenate([one.found[1:].T for one in points])) if points else None,
        drivers={name: np.concatenate([np.full(one.seen.size, one.drivers[name]) for one in points]) for name in names},
    )
