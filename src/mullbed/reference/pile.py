"""The table of what becomes of residues in a garden pile."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from mullbed.domain.spread import Spread
from mullbed.reference.tables import provenance, toml_table


@dataclass(frozen=True, slots=True)
class Pile:
    """Losses and work of a pile, and of digging."""

    nitrogen_lost_with_dry: Spread
    """Share of nitrogen lost before it is ripe, with dry matter in it. [1]"""
    nitrogen_lost_without_dry: Spread
    """[1]"""
    mineral_share: Spread
    """Share of the ripe compost's nitrogen the next crop has at once. [1]"""
    turns: Spread
    """[1]"""
    minutes_to_turn: Spread
    """[min m-3]"""
    minutes_to_dig: Spread
    """[min m-2]"""


@lru_cache(maxsize=1)
def the_pile() -> Pile:
    """Return the table.

    Raises
    ------
    InputFault
        When a row lacks source or evidence class.
    """
    rows = {}
    for key, row in toml_table("pile.toml").items():
        evidence, source = provenance(f"pile.toml, {key}", row.get("evidence"), row.get("source"))
        rows[key] = Spread(row["low"], row["mid"], row["high"], row["unit"], evidence, source)
    return Pile(**rows)
