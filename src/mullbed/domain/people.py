"""People of a garden: who they are, what they may do, which beds are theirs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

LEAST_PHRASE = 12
"""Shortest pass phrase. [letters]; NIST SP 800-63B-4 (2025) asks for 15 where it stands alone, 8 beside another: [J]"""


class Role(StrEnum):
    """What somebody may do in a garden."""

    LEAD = "lead"
    HELPER = "helper"
    VIEWER = "viewer"


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody in one garden."""

    account: str
    name: str
    garden: str
    """Empty for whichever garden the record holds."""
    role: Role
    beds: frozenset[str] | None = None
    """Beds a helper or viewer sees; None for all."""


@dataclass(frozen=True, slots=True)
class Invitation:
    """A link that lets one person in, once, for a while."""

    garden: str
    role: Role
    beds: frozenset[str] | None
    expires: datetime
