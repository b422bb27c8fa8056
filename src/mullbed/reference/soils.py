"""The table of soil texture classes."""

from __future__ import annotations

from functools import lru_cache

from mullbed.reference.naming import find_key, index_of
from mullbed.reference.tables import provenance, toml_table


@lru_cache(maxsize=1)
def all_textures() -> dict[str, tuple[float, float]]:
    """Return sand and clay of every texture class. [fraction]

    Raises
    ------
    InputFault
        When a row lacks source or evidence class.
    """
    table: dict[str, tuple[float, float]] = {}
    for key, row in toml_table("soils.toml").items():
        provenance(f"soils.toml, {key}", row.get("evidence"), row.get("source"))
        table[key] = (row["sand"], row["clay"])
    return table


def find_texture(name: str) -> tuple[str, float, float]:
    """Return name, sand and clay of the texture class a grower means.

    Raises
    ------
    NotFound
        When none is called so.
    """
    key = find_key("soil texture", name, index_of((key, ()) for key in all_textures()))
    sand, clay = all_textures()[key]
    return key.replace("_", " "), sand, clay
