"""The table of causes: how often, what each brings, what to do and to leave, and how that is known."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from mullbed.diagnose.symptoms import all_facts, all_signs
from mullbed.domain.diagnosis import Cause
from mullbed.errors import Fault, InputFault
from mullbed.reference.tables import provenance, sources, toml_table


@lru_cache(maxsize=1)
def all_causes() -> Mapping[str, Cause]:
    """Return every cause by key.

    Raises
    ------
    InputFault
        With every row that names an unknown sign, fact or class, whose chances do not sum to one, or without source.
    """
    faults: list[Fault] = []
    found: dict[str, Cause] = {}
    for key, row in toml_table("trouble_causes.toml").items():
        faults += _faults_of(key, row)
        try:
            found[key] = _cause(key, row)
        except InputFault as refused:
            faults += refused.faults
    if faults:
        raise InputFault(faults)
    return found


def _cause(key: str, row: dict[str, Any]) -> Cause:
    evidence, source = provenance(f"trouble_causes.toml, {key}", row.get("evidence"), row.get("source"))
    return Cause(
        key=key,
        name=row["name"],
        prior=float(row["prior"]),
        signs={sign: float(chance) for sign, chance in row["signs"].items()},
        facts={fact: tuple(float(one) for one in chances) for fact, chances in row.get("facts", {}).items()},
        because=row["because"],
        heading=row["heading"],
        steps=tuple(row["steps"]),
        avoid=row["avoid"],
        expect=row["expect"],
        days=_pair(row["days"]),
        change=row["change"],
        tells_apart=row["tells_apart"],
        decisive=frozenset(row["decisive"]),
        cautions=tuple(row["cautions"]),
        evidence=evidence,
        source=source,
        cover=row.get("cover"),
        coarse=row.get("coarse"),
        water=row.get("water"),
        wait=_pair(row["wait"]) if "wait" in row else None,
        wait_from_soft=_pair(row["wait_from_soft"]) if "wait_from_soft" in row else None,
        further_sources=tuple(row.get("further_sources", ())),
        quick_nitrogen=bool(row.get("quick_nitrogen", False)),
    )


def _pair(values: list[int]) -> tuple[int, int]:
    first, last = values
    return first, last


def _faults_of(key: str, row: dict[str, Any]) -> list[Fault]:
    place = f"trouble_causes.toml, {key}"
    faults = [
        Fault(place, sign, "a sign of trouble_signs.toml", "Correct it.")
        for sign in row["signs"]
        if sign not in all_signs()
    ]
    for fact, chances in row.get("facts", {}).items():
        known = all_facts().get(fact)
        if known is None or len(chances) != len(known.words) or abs(sum(chances) - 1.0) > 1e-9 or min(chances) <= 0.0:
            faults.append(Fault(place, f"{fact} {chances}", "a chance above 0 for each class, sum 1", "Correct it."))
    faults += [
        Fault(place, source, "a key of sources.toml", "Name its source.")
        for source in row.get("further_sources", ())
        if source not in sources()
    ]
    for answer in row["decisive"]:
        fact, _, word = answer.partition(".")
        if fact not in all_facts() or word not in all_facts()[fact].words:
            faults.append(Fault(place, answer, "a fact and one of its words", "Correct it."))
    return faults
