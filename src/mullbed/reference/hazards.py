"""The table of hazards and cautions; local codes decide."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from mullbed.domain.spread import Evidence
from mullbed.reference.tables import provenance, toml_table


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
    """Return every caution by key.

    Raises
    ------
    InputFault
        When a row lacks source or evidence class.
    """
    table: dict[str, Hazard] = {}
    for key, row in toml_table("hazards.toml").items():
        evidence, source = provenance(f"hazards.toml, {key}", row.get("evidence"), row.get("source"))
        table[key] = Hazard(
            key, row["word"], row["risk"], row["action"], evidence, source, row["checked"], row["scope"]
        )
    return table
