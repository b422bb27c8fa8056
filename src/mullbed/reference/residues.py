"""The residue table: one :class:`Residue` a row, every number with its range, evidence and source."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from mullbed.domain.residue import Group, Residue, Texture
from mullbed.domain.spread import Evidence, Spread
from mullbed.errors import Fault, InputFault
from mullbed.reference.naming import find_key, index_of, matching_keys
from mullbed.reference.tables import csv_table, provenance, toml_table

UNITS = {
    "moisture": "fraction",
    "nitrogen": "fraction of dry matter",
    "carbon": "fraction of dry matter",
    "phosphorus": "fraction of dry matter",
    "potassium": "fraction of dry matter",
    "lignin": "fraction of dry matter",
    "loose_density": "kg m-3",
    "settled_density": "kg m-3",
}


def spread_of(row: dict[str, str], rules: dict[str, Any]) -> Spread:
    """Return one number of the table; a missing low or high comes from the rule of its property.

    Raises
    ------
    InputFault
        When source or evidence class is missing or unknown, or the value is impossible.
    """
    place = f"residues.csv, {row.get('residue')} {row.get('property')}"
    evidence, source = provenance(place, row.get("evidence"), row.get("source"))
    name = row["property"]
    mid = float(row["typical"])
    if name == "carbon" and not 0.2 <= mid <= 0.6:
        raise InputFault([Fault(place, f"carbon {mid}", "0.2 to 0.6 of dry matter", "Check the row.")])
    rule = rules["range"][name]
    if name == "moisture" and mid > 0.5:  # the rule acts on the smaller of water and dry share
        low, high = 1.0 - (1.0 - mid) * rule["high"], 1.0 - (1.0 - mid) * rule["low"]
    else:
        low, high = mid * rule["low"], mid * rule["high"]
    if row["low"] and (name == "moisture" or float(row["low"]) > 0.0):  # a printed 0 is a rounding, not a bound
        low = float(row["low"])
    high = float(row["high"]) if row["high"] else high
    if name == "carbon":
        low, high = max(0.2, low), min(0.6, high)
    low, high = max(0.0 if name == "moisture" else 1e-9, min(low, mid)), max(high, mid)
    judged = None if row["low"] and row["high"] and not row.get("range") else Evidence.GUESS
    return Spread(low, mid, high, UNITS[name], evidence, source, judged)


def _assumed(rules: dict[str, Any], group: Group, texture: Texture, name: str) -> Spread:
    kind = "leaves" if texture is Texture.LEAVES and group is Group.DRY else str(group)
    values = rules["assumed"][kind][name]
    return Spread(values["low"], values["typical"], values["high"], UNITS[name], Evidence.GUESS, "mullbed_model")


@lru_cache(maxsize=1)
def all_residues() -> dict[str, Residue]:
    """Return every residue by key.

    Raises
    ------
    InputFault
        When a row lacks source or evidence class.
    """
    rules = toml_table("residue_rules.toml")
    numbers: dict[str, dict[str, Spread]] = {}
    faults: list[Fault] = []
    for row in csv_table("residues.csv"):
        try:
            numbers.setdefault(row["residue"], {})[row["property"]] = spread_of(row, rules)
        except InputFault as refused:
            faults += refused.faults
    if faults:
        raise InputFault(faults)
    table: dict[str, Residue] = {}
    for row in csv_table("residue_kinds.csv"):
        key, group, texture = row["residue"], Group(row["group"]), Texture(row["texture"])
        own = numbers[key]
        assumed = frozenset(name for name in ("phosphorus", "lignin") if name not in own)
        for name in assumed:
            own[name] = _assumed(rules, group, texture, name)
        lying = rules["lying"][str(texture)]
        table[key] = Residue(
            key=key,
            name=row["name"],
            also_called=tuple(part for part in row["also_called"].split(";") if part),
            group=group,
            moisture=own["moisture"],
            carbon=own["carbon"],
            nitrogen=own["nitrogen"],
            phosphorus=own["phosphorus"],
            potassium=own.get("potassium"),
            lignin=own["lignin"],
            loose_density=own["loose_density"],
            settled_density=own.get("settled_density"),
            water_held=lying["water_held"],
            interception=0.4 if key.startswith("bark_") else lying["interception"],
            size_factor=float(row["size_factor"]),
            laid_density=own["loose_density"].mid * (1.0 - own["moisture"].mid),
            palatability=float(row["palatability"] or lying["palatability"]),
            fresh=row["cells"] == "intact",
            shelf_life_days=float(row["shelf_life_days"]) if row["shelf_life_days"] else None,
            texture=texture,
            assumed=assumed,
            cautions=tuple(part for part in row["cautions"].split(";") if part),
        )
    return table


@lru_cache(maxsize=1)
def _index() -> dict[str, str]:
    table = all_residues()
    everyday = [(key, one.also_called) for key, one in table.items()]
    return {**index_of((key, (one.name,)) for key, one in table.items()), **index_of(everyday)}


def find_residue(name: str) -> Residue:
    """Return the residue a grower means.

    Raises
    ------
    NotFound
        When no row, or more than one, is meant; holds the candidates' names.
    """
    return all_residues()[find_key("residue", name, _index())]


def matching_residues(words: str) -> list[Residue]:
    """Return all residues one of whose names holds every word, best first."""
    table = all_residues()
    return [table[key] for key in matching_keys(words, _index())]
