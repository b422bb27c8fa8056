"""The crop table."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from mullbed.domain.crop import Crop
from mullbed.domain.spread import Evidence, Spread
from mullbed.errors import Fault, InputFault, NotFound
from mullbed.reference.naming import find_key, index_of, matching_keys, plain
from mullbed.reference.tables import csv_table, provenance, toml_table


def _number(text: str) -> float | None:
    return float(text) if text else None


def _spread(mid: float, unit: str, rule: dict[str, float], known: tuple[Evidence, str], *ends: str) -> Spread:
    """Return a number of the table; a missing low or high comes from its rule."""
    low, high = ends or ("", "")
    return Spread(
        float(low) if low else mid * rule["low"],
        mid,
        float(high) if high else mid * rule["high"],
        unit,
        *known,
        Evidence.GUESS if not (low and high) else None,
    )


def crop_of(row: dict[str, str], rules: dict[str, Any]) -> Crop:
    """Return one row of the table.

    Raises
    ------
    InputFault
        When source or evidence class of a number is missing or unknown.
    """
    place = f"crops.csv, {row.get('crop')}"
    faults: list[Fault] = []
    known: dict[str, tuple[Evidence, str]] = {}
    for name in ("", "phosphorus_", "potassium_", "timing_"):
        if name == "potassium_" and not row["potassium_removed"]:
            continue
        try:
            known[name] = provenance(f"{place} {name}".rstrip(" _"), row[f"{name}evidence"], row[f"{name}source"])
        except InputFault as refused:
            faults += refused.faults
    if faults:
        raise InputFault(faults)
    days = _number(row["days_low"]), _number(row["days_high"])
    potassium = _number(row["potassium_removed"])
    return Crop(
        key=row["crop"],
        name=row["name"],
        also_called=tuple(part for part in row["also_called"].split(";") if part),
        yield_goal=_spread(float(row["yield"]), "kg m-2", rules["yield"], known[""]),
        nitrogen_want=_spread(
            float(row["nitrogen_want"]), "g m-2", rules["nitrogen_want"], known[""], row["want_low"], row["want_high"]
        ),
        phosphorus_removed=_spread(
            float(row["phosphorus_removed"]), "g m-2", rules["phosphorus_removed"], known["phosphorus_"]
        ),
        potassium_removed=None
        if potassium is None
        else _spread(potassium, "g m-2", rules["potassium_removed"], known["potassium_"]),
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
        days_to_maturity=(days[0], days[1]) if days[0] and days[1] else None,
        sown_direct=row["direct"] == "1",
        fine_seed=row["fine"] == "1",
        timing=row["timing"],
        source=known[""][1],
        steepest=float(row["steepest"]),
        steepness=float(row["steepness"]),
        timing_evidence=known["timing_"][0],
        timing_source=known["timing_"][1],
        family=row["family"],
    )


@lru_cache(maxsize=1)
def all_crops() -> dict[str, Crop]:
    """Return every crop by key.

    Raises
    ------
    InputFault
        When rows lack source or evidence class; all of them at once.
    """
    rules = toml_table("crop_rules.toml")["range"]
    table: dict[str, Crop] = {}
    faults: list[Fault] = []
    for row in csv_table("crops.csv"):
        try:
            table[row["crop"]] = crop_of(row, rules)
        except InputFault as refused:
            faults += refused.faults
    if faults:
        raise InputFault(faults)
    return table


@lru_cache(maxsize=1)
def _index() -> dict[str, str]:
    table = all_crops()
    return {
        **index_of((key, (one.name,)) for key, one in table.items()),
        **index_of((key, one.also_called) for key, one in table.items()),
    }


@lru_cache(maxsize=1)
def _families() -> dict[str, str]:
    return index_of(toml_table("crop_rules.toml")["families"].items())


def _members(words: str) -> list[str]:
    """Return the keys of all crops of the family a grower names; none if it is no family."""
    family = _families().get(plain(words))
    return [key for key, one in all_crops().items() if family is not None and one.family == family]


def find_crop(name: str) -> Crop:
    """Return the crop a grower means.

    Raises
    ------
    NotFound
        When no row, or more than one, is meant; holds the candidates.
    """
    try:
        return all_crops()[find_key("crop", name, _index())]
    except NotFound:
        if members := _members(name):
            raise NotFound("crop", name, members[:8]) from None
        raise


def matching_crops(words: str) -> list[Crop]:
    """Return all crops one of whose names holds every word, best first; for a family, its members."""
    table = all_crops()
    return [table[key] for key in matching_keys(words, _index()) or _members(words)]
