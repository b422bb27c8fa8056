"""Effects that others found, by measure."""

from __future__ import annotations

from functools import lru_cache

from mullbed.domain.trial_answers import ExpectedEffect
from mullbed.reference.tables import provenance, toml_table


@lru_cache(maxsize=1)
def all_trial_effects() -> tuple[ExpectedEffect, ...]:
    """Return every effect; raises InputFault when a row lacks source or evidence class."""
    found = []
    for key, row in toml_table("trial_effects.toml").items():
        evidence, source = provenance(f"trial_effects.toml, {key}", row["evidence"], row["source"])
        found.append(ExpectedEffect(row["measure"], row["low"], row["high"], row["when"], source, evidence))
    return tuple(found)


def effects_on(measure: str) -> tuple[ExpectedEffect, ...]:
    """Return what others found for a measure; empty where nobody is known to have looked."""
    return tuple(one for one in all_trial_effects() if one.measure == measure)
