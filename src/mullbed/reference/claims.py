"""The table of popular claims."""

from __future__ import annotations

from functools import lru_cache

from mullbed.domain.teaching import Claim, Settling, Standing
from mullbed.reference.tables import provenance, toml_table


@lru_cache(maxsize=1)
def all_claims() -> tuple[Claim, ...]:
    """Return every claim in the order of the table.

    Raises
    ------
    InputFault
        When a row lacks source or evidence class.
    """
    found = []
    for key, row in toml_table("claims.toml").items():
        known = [provenance(f"claims.toml, {key}", row["evidence"], source) for source in row["sources"]]
        settling = Settling(row["measure"], row["way"], row["against"], row["difference"], row["seasons"], row["words"])
        claim = Claim(
            key=key,
            says=row["says"],
            standing=Standing(row["standing"]),
            why=row["why"],
            evidence=known[0][0],
            sources=tuple(source for _, source in known),
            settling=settling,
        )
        found.append(claim)
    return tuple(found)
