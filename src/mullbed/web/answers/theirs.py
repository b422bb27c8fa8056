"""Whether a bed is one the visitor may see; asked before anything else of the request is read."""

from __future__ import annotations

from fastapi import Depends

from mullbed.errors import NotFound
from mullbed.web.visitor import Asking


def seen_bed(bed: str, asking: Asking) -> None:
    """Let through whoever sees a bed; for others it is not there.

    Raises
    ------
    NotFound
        When it is not theirs.
    """
    if not asking.sees(bed):
        raise NotFound("bed", bed, ())


THEIRS = [Depends(seen_bed)]
"""Guards an address with a bed in it."""
