"""What to hold each score against: reference models fitted on the same data, and our own documented figures."""

from __future__ import annotations

import csv
from functools import lru_cache
from importlib.resources import files

from mullbed.domain.validation import Yardstick


@lru_cache(maxsize=1)
def yardsticks() -> dict[str, tuple[Yardstick, ...]]:
    """Return the yardsticks of every set by its key."""
    text = files(__package__).joinpath("yardsticks.csv").read_text(encoding="utf-8")
    found: dict[str, tuple[Yardstick, ...]] = {}
    for row in csv.DictReader(line for line in text.splitlines() if not line.startswith("#")):
        one = Yardstick(
            row["key"],
            row["kind"],
            row["name"],
            _number(row["rmse"]),
            _number(row["bias"]),
            int(row["n"]) if row["n"] else None,
            int(row["numbers_fitted"]) if row["numbers_fitted"] else None,
            row["source"],
            row["figure"],
        )
        found[one.key] = (*found.get(one.key, ()), one)
    return found


def _number(text: str) -> float | None:
    return float(text) if text else None
