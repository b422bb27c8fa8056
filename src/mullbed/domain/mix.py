"""What a mix or a rule of thumb implies."""

from __future__ import annotations

from dataclasses import dataclass

from mullbed.domain.layer import Layer
from mullbed.domain.spread import Evidence, Spread


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing the check found, as facts; a report makes the sentence."""

    code: str
    values: dict[str, float | str]
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class MixCheck:
    """Loads, moisture and nitrogen effect of one layer and of the season's visits."""

    layer: Layer
    area: float
    """[m2]"""
    carbon_to_nitrogen: Spread
    nitrogen: Spread
    """[g m-2 per layer]"""
    phosphorus: Spread
    """[g m-2 per layer]"""
    moisture: Spread
    """As laid, with the water poured. [fraction, wet basis]"""
    dry_matter: Spread
    """[g m-2]"""
    fresh_thickness: float
    """[m]"""
    wilted_thickness: float
    """[m]"""
    water_needed_litres: float
    """To wet the dry lifts on their own dry mass. [L]"""
    visits: int
    season_nitrogen: Spread
    """[g m-2]"""
    season_phosphorus: Spread
    """[g m-2]"""
    net_nitrogen_days: tuple[int, ...]
    net_nitrogen: tuple[Spread, ...]
    """Given to the soil by day since laying, one layer; negative is taken. [g m-2]"""
    ammonia_lost: Spread
    """[g m-2 per layer, 60 d]"""
    leached: Spread
    """[g m-2 per layer]"""
    weather: str
    """Which year was assumed."""
    findings: tuple[Finding, ...]
