"""Which garden of a record is meant."""

from __future__ import annotations

from mullbed.errors import Fault, InputFault
from mullbed.store.database import Transaction
from mullbed.store.journal import gardens


def which_garden(transaction: Transaction, asked: str | None) -> str:
    """Return the id of the garden that is asked for, or of the only one there is.

    Raises
    ------
    InputFault
        When there is none, or more than one and none was asked for.
    """
    known = gardens(transaction)
    if not known:
        remedy = "Begin with: mullbed garden new garden.toml"
        raise InputFault([Fault("record", "no garden is kept in it yet", "a garden", remedy)])
    if asked is None and len(known) == 1:
        return known[0]
    if asked in known:
        return str(asked)
    found = "several gardens" if asked is None else f"no garden '{asked}'"
    raise InputFault([Fault("--garden", found, ", ".join(known[:12]), "Say which one.")])
