"""The table of containers; a grower's own container beats it."""

from __future__ import annotations

from functools import lru_cache

from mullbed.domain.spread import Spread
from mullbed.domain.supply import Container
from mullbed.reference.naming import find_key, index_of
from mullbed.reference.tables import provenance, toml_table


@lru_cache(maxsize=1)
def all_containers() -> dict[str, Container]:
    """Return every container by key.

    Raises
    ------
    InputFault
        When a row lacks source or evidence class.
    """
    table: dict[str, Container] = {}
    for key, row in toml_table("containers.toml").items():
        low, mid, high = (float(value) for value in row["litres"])
        litres = Spread(
            low, mid, high, "L", *provenance(f"containers.toml, {key}", row.get("evidence"), row.get("source"))
        )
        table[key] = Container(key.replace("_", " "), litres, pressed=row.get("pressed", False))
    return table


@lru_cache(maxsize=1)
def _index() -> dict[str, str]:
    return index_of((key, row["also"]) for key, row in toml_table("containers.toml").items())


def find_container(name: str) -> Container:
    """Return the container a grower means.

    Raises
    ------
    NotFound
        When none is called so.
    """
    return all_containers()[find_key("container", name, _index())]
