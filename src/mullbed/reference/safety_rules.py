"""The table of safety rules, as data; local codes decide."""

from __future__ import annotations

from functools import lru_cache
from types import MappingProxyType
from typing import Any

from mullbed.domain.garden import Danger, Profile
from mullbed.domain.refusal import Mark
from mullbed.domain.safety import Force, RuleNumber, SafetyRule
from mullbed.errors import Fault, InputFault
from mullbed.reference.hazards import all_hazards
from mullbed.reference.tables import sources, toml_table


@lru_cache(maxsize=1)
def all_safety_rules() -> MappingProxyType[str, SafetyRule]:
    """Return every rule by key.

    Raises
    ------
    InputFault
        When a rule names an unknown source or hazard, or lacks a field.
    """
    return MappingProxyType(read_rules(toml_table("safety_rules.toml")))


def read_rules(table: dict[str, Any]) -> dict[str, SafetyRule]:
    """Return the rules of a table; every fault is told at once.

    Raises
    ------
    InputFault
        When a rule names an unknown source or hazard, or lacks a field.
    """
    found: dict[str, SafetyRule] = {}
    faults: list[Fault] = []
    for key, row in table.items():
        named = {row.get("source"), *(one.get("source", row.get("source")) for one in row.get("numbers", {}).values())}
        for source in sorted(str(one) for one in named if one not in sources()):
            faults.append(
                Fault(f"safety_rules.toml, {key}", f"source '{source}'", "a key of sources.toml", "Name its source.")
            )
        if row.get("hazard") not in all_hazards():
            what = f"hazard '{row.get('hazard')}'"
            faults.append(Fault(f"safety_rules.toml, {key}", what, "a key of hazards.toml", "Name its hazard."))
        try:
            found[key] = _rule(key, row)
        except (KeyError, ValueError) as error:
            faults.append(Fault(f"safety_rules.toml, {key}", str(error), "all fields of a rule", "Complete the rule."))
    if faults:
        raise InputFault(faults)
    return found


def _rule(key: str, row: dict[str, Any]) -> SafetyRule:
    numbers = {
        name: RuleNumber(
            float(one["value"]), one["unit"], Mark(one.get("mark", row["mark"])), one.get("source", row["source"])
        )
        for name, one in row.get("numbers", {}).items()
    }
    return SafetyRule(
        key=key,
        word=row["word"],
        force=Force(row["force"]),
        says=row["says"],
        mark=Mark(row["mark"]),
        source=row["source"],
        checked=row["checked"],
        hazard=row["hazard"],
        profiles=tuple(Profile(one) for one in row.get("profiles", list(Profile))),
        place=row["place"],
        danger=Danger(row["danger"]) if "danger" in row else None,
        override_allowed=row.get("override_allowed", True),
        numbers=MappingProxyType(numbers),
        cautions=tuple(row.get("cautions", ())),
        residues=tuple(row.get("residues", ())),
        crops=tuple(row.get("crops", ())),
        words=tuple(row.get("words", ())),
    )
