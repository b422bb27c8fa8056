"""A crop: what it wants through its season and how it covers the ground."""

from __future__ import annotations

from dataclasses import dataclass

from mullbed.domain.spread import Evidence, Spread


@dataclass(frozen=True, slots=True)
class Crop:
    """One row of the crop table; amounts per m2 of crop."""

    key: str
    name: str
    also_called: tuple[str, ...]
    yield_goal: Spread
    """Fresh yield. [kg m-2]"""
    nitrogen_want: Spread
    """Nitrogen the crop needs in its season, soil mineral nitrogen at the start counted in. [g m-2]"""
    phosphorus_removed: Spread
    """Carried off with the yield. [g m-2]"""
    potassium_removed: Spread | None
    """[g m-2]"""
    residue_nitrogen: float | None
    """Left in its own residues; None where unknown. [g m-2]"""
    basal_at_middle: float
    """Basal crop coefficient in mid-season. [1]"""
    basal_at_end: float
    """[1]"""
    stage_days: tuple[float, float, float, float]
    """Initial, development, middle and late stage, scaled to the real season. [d]"""
    root_depth: float | None
    """[m]"""
    days_to_maturity: tuple[float, float] | None
    """[d]"""
    sown_direct: bool
    """Usually sown where it grows."""
    fine_seed: bool
    timing: str
    """When it takes nitrogen, in words."""
    source: str
    steepest: float = 0.5
    """Share of its season at which it takes nitrogen fastest. [1]"""
    steepness: float = 10.0
    """How suddenly it takes it; near zero means evenly all season. [1]"""
    timing_evidence: Evidence = Evidence.GUESS
    timing_source: str = "mullbed_model"
    family: str = ""
    """Crops that share pests and diseases; empty where unknown."""
