"""The table of hazards and cautions; local codes decide."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from mullbed.domain.spread import Evidence
from mullbed.reference.tables import toml_table


@dataclass(frozen=True, slots=True)
class Hazard:
    """One caution."""

    key: str
    word: str
    risk: str
    action: str
    evidence: Evidence
    source: str
    checked: date
    scope: str


@lru_cache(maxsize=1)
def all_hazards() -> dict[str, Hazard]:
    """Return every caution by key."""
    return {
        key: Hazard(
            key,
            row["word"],
            row["risk"],
            row["action"],
            Evidence(row["evidence"]),
            row["source"],
            row["checked"],
            row["scope"],
        )
        for key, row in toml_table("hazards.toml").items()
    }
