"""A link that lets anybody look at a garden or a bed, and nobody change it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class LookLink:
    """One link; its token is kept nowhere."""

    digest: str
    """Of its token; says which link is meant, opens nothing."""
    garden: str
    bed: str | None
    """None for the whole garden."""
    made_by: str
    made_at: datetime
    expires: datetime
