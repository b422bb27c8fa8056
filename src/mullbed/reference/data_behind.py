"""The table of what open data hold of each output."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from mullbed.reference.tables import toml_table


@dataclass(frozen=True, slots=True)
class DataBehind:
    """What the sets behind one output hold."""

    output: str
    sets: tuple[str, ...]
    nitrogen: tuple[float, float] | None
    """Of the residues. [% of dry matter]"""
    warmth: tuple[float, float] | None
    """Mean temperature of the sites. [°C]"""
    days: tuple[float, float] | None
    """[d]"""
    mixed: bool
    """Whether any holds soft fresh and dry together."""
    buried: bool
    covered: bool
    """Whether any holds a cover above the soil it speaks of."""
    why: str


@lru_cache(maxsize=1)
def data_behind() -> dict[str, DataBehind]:
    """Return the table by output."""
    return {
        output: DataBehind(
            output,
            tuple(row["sets"]),
            _pair(row.get("nitrogen")),
            _pair(row.get("warmth")),
            _pair(row.get("days")),
            bool(row.get("mixed", False)),
            bool(row.get("buried", False)),
            bool(row.get("covered", True)),
            row["why"],
        )
        for output, row in toml_table("data_behind.toml").items()
    }


def _pair(values: list[float] | None) -> tuple[float, float] | None:
    return None if values is None else (float(values[0]), float(values[1]))
