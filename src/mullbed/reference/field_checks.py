"""The table of field checks."""

from __future__ import annotations

from functools import lru_cache

from mullbed.domain.field_check import FieldCheck, ValueClass
from mullbed.domain.spread import Evidence
from mullbed.domain.trial import Scale
from mullbed.reference.naming import find_key, index_of
from mullbed.reference.tables import provenance, toml_table


@lru_cache(maxsize=1)
def all_field_checks() -> dict[str, FieldCheck]:
    """Return every field check by key.

    Raises
    ------
    InputFault
        When a row lacks source or evidence class.
    """
    found = {}
    for key, row in toml_table("field_checks.toml").items():
        evidence, source = provenance(f"field_checks.toml, {key}", row["classes_evidence"], row["classes_source"])
        low, high = row["variation"]
        found[key] = FieldCheck(
            key=key,
            name=row["name"],
            unit=row["unit"],
            scale=Scale(row["scale"]),
            variation_low=low,
            variation_high=high,
            variation_evidence=Evidence(row["variation_evidence"]),
            ground_stays=row["ground_stays"],
            steps=tuple(row["steps"]),
            spoils=tuple(row["spoils"]),
            repeats=row["repeats"],
            classes=tuple(ValueClass(float(below), word) for below, word in row["classes"]),
            classes_source=source,
            classes_evidence=evidence,
            note=row.get("note", ""),
        )
    return found


def find_field_check(name: str) -> FieldCheck:
    """Return the field check a grower means; raises NotFound with near names."""
    checks = all_field_checks()
    return checks[find_key("field check", name, index_of((key, (one.name,)) for key, one in checks.items()))]
