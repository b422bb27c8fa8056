"""Whether open data stand behind an output of the model in a case like this one, or it reaches beyond them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Backing(StrEnum):
    """Class of an output."""

    DATA = "data-backed"
    BEYOND = "extrapolation"


@dataclass(frozen=True, slots=True)
class Backed:
    """One output, its class, and why."""

    output: str
    """Name of the series."""
    backing: Backing
    sets: tuple[str, ...]
    """Open data sets `mullbed validate` holds it against."""
    beyond: tuple[str, ...]
    """What of this case lies outside them, in words; empty where nothing does."""


@dataclass(frozen=True, slots=True)
class CaseFacts:
    """What of a case decides whether data reach it."""

    nitrogen: tuple[float, float] | None
    """Lowest and highest nitrogen of its residues [% of dry matter]; None on a bare bed."""
    mixed: bool
    """Whether soft fresh lies under or over dry."""
    buried: bool
    """Whether anything was dug in."""
    warmth: tuple[float, float]
    """Mean air temperature of the coolest and the warmest season. [°C]"""
    days: int
    """From the first day run to the last. [d]"""
