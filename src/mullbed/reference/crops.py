"""The crop table."""

from __future__ import annotations

from functools import lru_cache

from mullbed.domain.crop import Crop
from mullbed.domain.spread import Evidence, Spread
from mullbed.reference.naming import find_key, index_of, matching_keys
from mullbed.reference.tables import csv_table

LOW, HIGH = 0.8, 1.25  # range of the want, judgement


def _number(text: str) -> float | None:
    return float(text) if text else None


@lru_cache(maxsize=1)
def all_crops() -> dict[str, Crop]:
    """Return every crop by key."""
    table: dict[str, Crop] = {}
    for row in csv_table("crops.csv"):
        evidence, source = Evidence(row["evidence"]), row["source"]

        def around(
            text: str,
            unit: str,
            low: float = LOW,
            high: float = HIGH,
            evidence: Evidence = evidence,
            source: str = source,
        ) -> Spread:
            mid = float(text)
            return Spread(mid * low, mid, mid * high, unit, evidence, source)

        days_low, days_high = _number(row["days_low"]), _number(row["days_high"])
        table[row["crop"]] = Crop(
            key=row["crop"],
            name=row["name"],
            also_called=tuple(part for part in row["also_called"].split(";") if part),
            yield_goal=around(row["yield"], "kg m-2", 0.5, 1.3),
            nitrogen_want=around(row["nitrogen_want"], "g m-2"),
            phosphorus_removed=around(row["phosphorus_removed"], "g m-2", 0.6, 1.4),
            potassium_removed=around(row["potassium_removed"], "g m-2", 0.6, 1.4) if row["potassium_removed"] else None,
            residue_nitrogen=_number(row["residue_nitrogen"]),
            basal_at_middle=float(row["basal_middle"]),
            basal_at_end=float(row["basal_end"]),
            stage_days=(
                float(row["initial"]),
                float(row["development"]),
                float(row["middle"]),
                max(1.0, float(row["late"])),
            ),
            root_depth=_number(row["root_depth"]),
            days_to_maturity=(days_low, days_high) if days_low and days_high else None,
            sown_direct=row["direct"] == "1",
            fine_seed=row["fine"] == "1",
            timing="S-curve of the season, half of the want at half time",
            source=source,
        )
    return table


@lru_cache(maxsize=1)
def _index() -> dict[str, str]:
    table = all_crops()
    return {
        **index_of((key, (one.name,)) for key, one in table.items()),
        **index_of((key, one.also_called) for key, one in table.items()),
    }


def find_crop(name: str) -> Crop:
    """Return the crop a grower means.

    Raises
    ------
    NotFound
        When no row, or more than one, is meant; holds the candidates.
    """
    return all_crops()[find_key("crop", name, _index())]


def matching_crops(words: str) -> list[Crop]:
    """Return all crops one of whose names holds every word, best first."""
    table = all_crops()
    return [table[key] for key in matching_keys(words, _index())]
