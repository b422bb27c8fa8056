"""A small invented garden, and the table of rules with one of them left out."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from types import MappingProxyType

import pytest

from mullbed.domain.bed import Bed, BedCrop, Near, Soil
from mullbed.domain.garden import Danger, Garden, Profile, Site, WeatherSource
from mullbed.domain.layer import Layer, Lift
from mullbed.domain.record_work import LayerLaid, LiftLaid
from mullbed.domain.spread import Evidence, Spread
from mullbed.domain.supply import Supply
from mullbed.reference.safety_rules import all_safety_rules

DAY = date(2027, 5, 3)
LOAM = Soil(0.4, 0.2, Spread(0.02, 0.03, 0.05, "1", Evidence.GUESS), "loam")


def site(profile: Profile = Profile.HOME, *dangers: Danger) -> Site:
    return Site("Mill Field", 50.0, WeatherSource(), profile=profile, dangers=dangers)


def crop(key: str, planted: date, harvested: date, sown: bool = False) -> BedCrop:
    return BedCrop(key, 1.0, planted, harvested, sown)


def bed(*crops: BedCrop, near: Near | None = None, lead: float | None = None, layers: tuple[Layer, ...] = ()) -> Bed:
    soil = Soil(LOAM.sand, LOAM.clay, LOAM.organic_matter, "loam", lead=lead)
    return Bed("Wall", 6.0, soil, crops=crops, layers=layers, near=near or Near())


def lift(residue: str, fresh: bool = False) -> Lift:
    return Lift(residue, "bucket", 1.0, 300.0, 0.3, Evidence.GUESS, 0.02, fresh, 0.0, 0.1)


def laid(*residues: str, batch: str | None = None, fresh: bool = False) -> LayerLaid:
    return LayerLaid(tuple(LiftLaid(lift(key, fresh), "1 bucket", batch) for key in residues))


def garden(where: Site, beds: tuple[Bed, ...], *supplies: Supply, **changes: object) -> Garden:
    return Garden(where, date(2027, 3, 1), date(2027, 10, 31), beds, supplies, **changes)  # type: ignore[arg-type]


def supply(residue: str, **changes: object) -> Supply:
    return Supply(residue, "bucket", 4.0, date(2027, 3, 1), name=residue, **changes)  # type: ignore[arg-type]


@contextmanager
def rules_without(key: str) -> Iterator[None]:
    """The table as it would be without one rule, everywhere it is read."""
    from mullbed.safety import bean_test, hygiene, lifting, rules, waits

    left = MappingProxyType({name: rule for name, rule in all_safety_rules().items() if name != key})
    assert len(left) == len(all_safety_rules()) - 1, f"no rule is called {key}"
    with pytest.MonkeyPatch.context() as patch:
        for module in (bean_test, hygiene, lifting, rules, waits):
            patch.setattr(module, "all_safety_rules", lambda: left)
        yield
