"""Read the data files beside this module; nothing is computed here."""

from __future__ import annotations

import csv
import tomllib
from functools import lru_cache
from importlib.resources import files
from typing import Any

from mullbed.domain.spread import Evidence
from mullbed.errors import Fault, InputFault


def toml_table(name: str) -> dict[str, Any]:
    """Return a TOML file of this room as a dictionary."""
    return tomllib.loads(files(__package__).joinpath(name).read_text(encoding="utf-8"))


def csv_table(name: str) -> list[dict[str, str]]:
    """Return a CSV file of this room as rows; lines that begin with # are remarks."""
    text = files(__package__).joinpath(name).read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


@lru_cache(maxsize=1)
def sources() -> dict[str, dict[str, Any]]:
    """Return every publication by key."""
    return toml_table("sources.toml")


def provenance(place: str, evidence: object, source: object) -> tuple[Evidence, str]:
    """Return evidence class and source key of a row.

    Raises
    ------
    InputFault
        When either is missing or unknown; both faults at once.
    """
    faults = []
    if not source or source not in sources():
        faults.append(Fault(place, f"source '{source or ''}'", "a key of sources.toml", "Name its source."))
    if evidence not in set(Evidence):
        faults.append(Fault(place, f"evidence '{evidence or ''}'", ", ".join(Evidence), "Give its class."))
    if faults:
        raise InputFault(faults)
    return Evidence(str(evidence)), str(source)
