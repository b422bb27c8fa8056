"""What a grower wants of the next plan, whatever it finds best: beds left alone, layers kept, residues used first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class NotOn:
    """No layer on a bed from one day to another, both included."""

    bed: str
    first_day: date
    last_day: date


@dataclass(frozen=True, slots=True)
class Keep:
    """A layer of the plan so far stays where and when it is."""

    bed: str
    day: date


@dataclass(frozen=True, slots=True)
class Wishes:
    """All of them."""

    not_on: tuple[NotOn, ...] = ()
    keep: tuple[Keep, ...] = ()
    first: tuple[str, ...] = ()
    """Names of supplies to use before others."""
