"""Read the invented beds as what is seen on them."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from mullbed.diagnose.bed_diagnosis import tables
from mullbed.diagnose.rank import Ranking, Seen, rank
from mullbed.diagnose.symptoms import all_facts, known_band, known_number, known_word
from mullbed.domain.diagnosis import Known
from mullbed.domain.spread import Evidence, Spread

CASES: list[dict[str, Any]] = tomllib.loads(
    (Path(__file__).parent / "data" / "invented_cases.toml").read_text(encoding="utf-8")
)["cases"]


def known(fact: str, value: Any) -> Known:
    if isinstance(value, str):
        return known_word(fact, value)
    if isinstance(value, list):
        return known_band(fact, Spread(*value, all_facts()[fact].unit, Evidence.WORKED_OUT))
    return known_number(fact, value)


def seen_in(case: dict[str, Any], *, facts: bool = True) -> Seen:
    return Seen(
        frozenset(case["signs"]),
        frozenset(case.get("not_signs", ())),
        tuple(known(fact, value) for fact, value in case["facts"].items()) if facts else (),
    )


def first_of(ranking: Ranking) -> str:
    return max(ranking.shares, key=lambda key: ranking.shares[key])


def score(*, facts: bool = True, **weights: float) -> int:
    return sum(first_of(rank(seen_in(case, facts=facts), tables(), **weights)) == case["expect"] for case in CASES)
