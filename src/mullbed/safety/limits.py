"""A garden's rules of safety as plain limits for those who plan layers, what was set aside left out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from mullbed.domain.garden import Garden
from mullbed.domain.refusal import Override, Refusal, parted
from mullbed.domain.residue import Residue
from mullbed.domain.safety import Bar, HarvestWait, SafetyLimits
from mullbed.domain.supply import Supply
from mullbed.errors import Fault, InputFault
from mullbed.safety.hygiene import held_refusals
from mullbed.safety.lead import lead_refusals
from mullbed.safety.residue_risks import is_rich, juglone_refusal, site_refusals
from mullbed.safety.rules import refused_by, rule_at
from mullbed.safety.surroundings import building_refusals, water_refusals
from mullbed.safety.waits import harvest_wait, sowing_waits

SOWING, HARVEST = "sow_after_green", "raw_manure_wait"


def safety_limits(garden: Garden, names: Sequence[str], residues: Mapping[str, Residue]) -> SafetyLimits:
    """Return the limits of safety in a garden.

    Parameters
    ----------
    garden : Garden
        With its overrides.
    names : sequence of str
        Unique name of each supply, in the garden's order.
    residues : mapping
        Residue table by key.
    """
    supplies = tuple(zip(names, garden.supplies, strict=True))
    bars: list[Bar] = []
    aside: list[tuple[Refusal, Override]] = []
    for bar in _bars(garden, supplies, residues):
        stays, left = parted((bar.refusal,), garden.overrides)
        bars += [bar] if stays else []
        aside += left
    waits = {key: rule for key in (SOWING, HARVEST) if (rule := rule_at(key, garden.site)) is not None}
    sayings = {key: refused_by(rule, "") for key, rule in waits.items()}
    waived = set()
    for key, saying in sayings.items():
        for bed in garden.beds:
            _, left = parted((replace(saying, bed=bed.name),), garden.overrides)
            waived |= {(key, bed.name)} if left else set()
            aside += left
    robust, fine = sowing_waits(garden.limits)
    return SafetyLimits(
        days_before_direct_sowing=robust,
        days_before_fine_seed=fine,
        harvest_waits=MappingProxyType(_harvest_waits(garden, supplies, residues, sayings.get(HARVEST), aside)),
        bars=tuple(bars),
        waived=frozenset(waived),
        waits=MappingProxyType(sayings),
        set_aside=tuple(dict.fromkeys(aside)),
    )


def _bars(garden: Garden, supplies: Sequence[tuple[str, Supply]], residues: Mapping[str, Residue]) -> Iterator[Bar]:
    site = garden.site
    for name, supply in supplies:
        residue = residues[supply.residue]
        if supply.held_because is not None:
            for refusal in held_refusals(name, supply.held_because, supply.held_until):
                yield Bar(refusal, supply=name, until=supply.held_until)
        for refusal in site_refusals(residue, site, name=name, brought_in=supply.bought_in, heated=supply.heated):
            yield Bar(refusal, supply=name)
        for bed in garden.beds:
            walnut = juglone_refusal(residue, bed, site, bed.crops, name)
            if walnut is not None:
                yield Bar(walnut, supply=name, bed=bed.name, until=walnut.until)
            if is_rich(residue):
                for refusal in water_refusals(bed, site):
                    yield Bar(refusal, supply=name, bed=bed.name)
    for bed in garden.beds:
        for refusal in building_refusals(bed, site):
            yield Bar(refusal, bed=bed.name)


def _harvest_waits(
    garden: Garden,
    supplies: Sequence[tuple[str, Supply]],
    residues: Mapping[str, Residue],
    saying: Refusal | None,
    aside: list[tuple[Refusal, Override]],
) -> dict[str, HarvestWait]:
    """Return the waits by supply; one set aside for a supply alone goes to what was set aside."""
    found = {}
    for name, supply in supplies:
        wait = harvest_wait(residues[supply.residue], garden.site, heated=supply.heated)
        if wait is None or saying is None:
            continue
        stays, left = parted((replace(saying, subject=name),), garden.overrides)
        aside += left
        if stays:
            found[name] = wait
    return found


def crop_refusals(garden: Garden) -> tuple[Refusal, ...]:
    """Return the crops that rules of safety keep out of the garden's beds, what was set aside left out."""
    found = [
        refusal for bed in garden.beds for crop in bed.crops for refusal in lead_refusals(bed, crop.crop, garden.site)
    ]
    return parted(dict.fromkeys(found), garden.overrides)[0]


def refuse_crops(garden: Garden) -> None:
    """Refuse to plan for crops that rules of safety keep out.

    Raises
    ------
    InputFault
        With every crop that may not grow where it stands, and the rule.
    """
    refused = crop_refusals(garden)
    if refused:
        remedy = "Grow it in other soil, or set the rule aside with a reason under [[overrides]] where it may be."
        raise InputFault(
            Fault(f"bed {one.bed}, {one.subject}", one.told(), "crops the soil is clean enough for", remedy)
            for one in refused
        )
