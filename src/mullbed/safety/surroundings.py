"""Buildings, drains, water and wells beside a bed."""

from __future__ import annotations

from mullbed.domain.bed import Bed
from mullbed.domain.garden import Site
from mullbed.domain.refusal import Refusal
from mullbed.safety.rules import refused_by, rule_at


def building_refusals(bed: Bed, site: Site) -> tuple[Refusal, ...]:
    """Return what keeps every layer off a bed so near a building: fire and termites."""
    found = []
    for key in ("fire_strip", "termite_gap"):
        rule, near = rule_at(key, site), bed.near.building
        if rule is not None and near is not None and near < rule.number("bare"):
            found.append(refused_by(rule, f"{bed.name} lies {near:g} m from a building", bed=bed.name))
    return tuple(found)


def water_refusals(bed: Bed, site: Site) -> tuple[Refusal, ...]:
    """Return what keeps soft fresh matter, scraps and manure off a bed so near a drain, water or a well."""
    rule = rule_at("water_setback", site)
    if rule is None:
        return ()
    named = (
        ("drain", "a drain", bed.near.drain),
        ("water", "open water", bed.near.water),
        ("well", "a well", bed.near.well),
    )
    return tuple(
        refused_by(rule, f"{bed.name} lies {near:g} m from {what}", bed=bed.name)
        for key, what, near in named
        if near is not None and near < rule.number(key)
    )
