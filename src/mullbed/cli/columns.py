"""Names of columns as they are typed: ours, an equals sign, theirs."""

from __future__ import annotations

from collections.abc import Iterable

from mullbed.errors import Fault, InputFault


def named_columns(typed: Iterable[str] | None, place: str, example: str) -> dict[str, str]:
    """Return pairs by our name; raises InputFault with every one that has no equals sign."""
    names: dict[str, str] = {}
    faults = []
    for pair in typed or ():
        ours, between, theirs = pair.partition("=")
        if not between or not ours.strip() or not theirs.strip():
            faults.append(Fault(place, pair, f"OURS=THEIRS, such as {example}", "Put = between."))
            continue
        names[ours.strip().casefold()] = theirs.strip()
    if faults:
        raise InputFault(faults)
    return names
