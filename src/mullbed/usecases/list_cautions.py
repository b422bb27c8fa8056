"""List the rules of safety in force, for a kind of site or for a garden with what they refuse there.

Reads the garden file where one is given, writes nothing. Raises InputFault when it is at fault.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from mullbed.domain.garden import Profile, Site, WeatherSource
from mullbed.domain.refusal import Override, Refusal
from mullbed.domain.safety import Load, SafetyRule
from mullbed.domain.supply import supply_names
from mullbed.files.garden_file import read_garden
from mullbed.reference.containers import find_container
from mullbed.reference.residues import all_residues
from mullbed.safety.lifting import load_of
from mullbed.safety.limits import crop_refusals, safety_limits
from mullbed.safety.rules import in_force


@dataclass(frozen=True, slots=True)
class HeavyLoad:
    """A container of a supply that is too heavy for one person when full."""

    supply: str
    container: str
    load: Load


@dataclass(frozen=True, slots=True)
class Cautions:
    """Rules in force, and what they refuse in a garden."""

    profile: Profile
    garden: str | None
    rules: tuple[SafetyRule, ...]
    refusals: tuple[Refusal, ...] = ()
    set_aside: tuple[tuple[Refusal, Override], ...] = ()
    heavy: tuple[HeavyLoad, ...] = ()


def list_cautions(path: Path | None = None, profile: Profile | None = None) -> Cautions:
    """Return the rules in force.

    Parameters
    ----------
    path : Path, optional
        A garden file; without one, every rule of the kind of site, whatever threatens the place.
    profile : Profile, optional
        Who gardens there; that of the garden, or home, where left out.

    Raises
    ------
    InputFault
        When the garden file is at fault.
    """
    if path is None:
        site = Site("", 0.0, WeatherSource(), profile=profile or Profile.HOME)
        rules = tuple(rule for rule in in_force() if site.profile in rule.profiles)
        return Cautions(site.profile, None, rules)
    garden = read_garden(path, needs_supplies=False)
    if profile is not None:
        garden = replace(garden, site=replace(garden.site, profile=profile))
    residues, names = all_residues(), supply_names(garden.supplies)
    limits = safety_limits(garden, names, residues)
    own = {one.name: one for one in garden.containers}
    heavy = []
    for name, supply in zip(names, garden.supplies, strict=True):
        container = own.get(supply.container) or find_container(supply.container)
        load = load_of(residues[supply.residue], container, garden.containers)
        if load.parts > 1:
            heavy.append(HeavyLoad(name, supply.container, load))
    return Cautions(
        garden.site.profile,
        garden.site.name,
        in_force(garden.site),
        (*crop_refusals(garden), *dict.fromkeys(bar.refusal for bar in limits.bars)),
        limits.set_aside,
        tuple(heavy),
    )
