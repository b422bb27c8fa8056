"""Look the soil of a garden's beds ahead over years, under the layers of a year laid again every year.

Reads the garden file or the record, a plan and soil tests; writes nothing. Raises InputFault when one is at fault.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from mullbed.domain.bed import Bed
from mullbed.domain.doings import Doings
from mullbed.domain.doings import SoilTested as TestDone
from mullbed.domain.garden import Garden
from mullbed.domain.layer import Layer
from mullbed.domain.plain_values import from_plain
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import Document
from mullbed.domain.season_plan import SeasonPlan
from mullbed.domain.signing import Where
from mullbed.domain.soil_outlook import SoilOutlook, SoilTestValue, SoilThing
from mullbed.domain.spread import Evidence
from mullbed.errors import Fault, InputFault
from mullbed.files.garden_file import read_garden
from mullbed.files.plan_layers import read_plan_layers
from mullbed.files.record_garden import DONE_KINDS, GARDEN_KINDS, document_content, doings_in, kept_garden
from mullbed.plan.garden_as_done import garden_as_done
from mullbed.plan.soil_outlook import soil_outlook
from mullbed.plan.yearly_round import years_later
from mullbed.reference.containers import find_container
from mullbed.reference.crops import all_crops
from mullbed.reference.field_checks import all_field_checks
from mullbed.reference.residues import all_residues
from mullbed.weather.long_weather import long_weather

MOST_YEARS = 20
#: Tests longer ago are not looked back on. [a]
MOST_BACK = 15
#: Range of organic matter at the start where the tests themselves tell it: low and high over middle. Judgement.
OPEN = (0.6, 1.6)


@dataclass(frozen=True, slots=True)
class GardenOutlook:
    """Outlooks of a garden's beds."""

    garden: Garden
    outlooks: tuple[SoilOutlook, ...]
    years: int
    from_plan: str
    """Where the year's layers come from: "a plan", "the kept plan" or "the garden file"."""


@dataclass(frozen=True, slots=True)
class _Ground:
    garden: Garden
    start: Garden
    """With the soil as it was told at first, before any test."""
    planned: tuple[Layer, ...]
    doings: Doings
    station_text: str | None
    from_plan: str


def look_at_soil_ahead(
    path: Path | None,
    *,
    plan_file: Path | None = None,
    where: Where | None = None,
    bed: str | None = None,
    years: int = 10,
    members: int = 128,
    seed: int = 1,
    progress: Callable[[str], None] = lambda _: None,
) -> GardenOutlook:
    """Return the outlook of one bed or of all.

    Parameters
    ----------
    path : Path or None
        The garden file; not read where the record tells the garden.
    plan_file : Path, optional
        A plan.json whose layers are laid again every year.
    where : Where, optional
        The record: its garden, its kept plan, what was laid, and every soil test.
    bed : str, optional
        Only this bed.
    years : int
        1 to 20.
    members, seed : int

    Raises
    ------
    InputFault
        When garden, plan, weather or record are at fault, or no bed is called so.
    RecordError
        When the record cannot be read.
    """
    if not 1 <= years <= MOST_YEARS:
        raise InputFault([Fault("--years", f"{years}", f"1 to {MOST_YEARS}", "Choose within these.")])
    ground = _from_record(where) if where is not None else _from_file(path)
    residues, crops = all_residues(), all_crops()
    if plan_file is not None:
        ground = replace(ground, planned=read_plan_layers(plan_file, residues), from_plan="a plan")
    garden = ground.garden
    wanted = [one for one in garden.beds if bed is None or one.name.casefold() == bed.casefold()]
    if not wanted:
        names = ", ".join(one.name for one in garden.beds)
        raise InputFault([Fault("--bed", f"no bed is called '{bed}'", names, "Choose one of these beds.")])
    found = []
    for number, one in enumerate(wanted, start=1):
        progress(f"Looking {years} years ahead on {one.name}, bed {number} of {len(wanted)}.")
        tests = _tests(one, ground.doings.soil_tests)
        first = garden.first_day
        back = max([0, *(first.year - test.day.year + (test.day < _same_day(first, test.day)) for test in tests)])
        back = min(back, MOST_BACK)
        start, end = years_later(first, -back), years_later(first, years)
        before = ground.start.bed(one.name) or one
        weather = long_weather(garden.site, start, end, seed, station_text=ground.station_text)
        found.append(
            soil_outlook(
                _begun(one, before, tests),
                ground.planned,
                weather,
                crops,
                residues,
                last_day=max(garden.last_day, first + timedelta(days=1)),
                years=years,
                back=back,
                members=members,
                seed=seed,
                tests=tests,
            )
        )
    return GardenOutlook(garden, tuple(found), years, ground.from_plan)


def _same_day(first: date, day: date) -> date:
    return years_later(first, day.year - first.year)


def _begun(bed: Bed, before: Bed, tests: Sequence[SoilTestValue]) -> Bed:
    """Return the bed with its soil of the beginning; where tests told it, they are not counted twice."""
    matter = before.soil.organic_matter
    if matter.evidence is Evidence.MEASURED and any(one.thing is SoilThing.ORGANIC_MATTER for one in tests):
        matter = replace(matter, low=matter.mid * OPEN[0], high=matter.mid * OPEN[1], evidence=Evidence.GUESS)
    soil = replace(before.soil, organic_matter=matter, phosphorus_status=bed.soil.phosphorus_status)
    return replace(bed, soil=soil)


def _tests(bed: Bed, done: Sequence[TestDone]) -> tuple[SoilTestValue, ...]:
    checks = all_field_checks()
    matter, density = checks["organic_matter"].variation, checks["bulk_density"].variation
    found = []
    for one in sorted(done, key=lambda test: test.day):
        if one.bed != bed.name:
            continue
        if one.organic_matter is not None:
            value = one.organic_matter
            found.append(SoilTestValue(one.day, SoilThing.ORGANIC_MATTER, value, matter * value))
        if one.bulk_density is not None:
            found.append(SoilTestValue(one.day, SoilThing.BULK_DENSITY, one.bulk_density, density * one.bulk_density))
    return tuple(found)


def _from_file(path: Path | None) -> _Ground:
    if path is None:
        raise InputFault([Fault("garden", "no file", "a garden file, or --kept", "Name the garden file.")])
    garden = read_garden(path, needs_supplies=False)
    return _Ground(garden, garden, (), Doings(), None, "the garden file")


def _from_record(where: Where) -> _Ground:
    from mullbed.store.database import open_record
    from mullbed.store.journal import entries, latest
    from mullbed.store.which_garden import which_garden

    with open_record(where.record) as record, record.reading() as transaction:
        identity = which_garden(transaction, where.garden)
        told = entries(transaction, identity, kinds=(*GARDEN_KINDS, *DONE_KINDS))
        plan = latest(transaction, identity, Kind.PLAN)
    kept = kept_garden(told)
    if kept is None:
        remedy = "Begin with: mullbed garden new garden.toml"
        raise InputFault([Fault("record", f"no garden file of {identity}", "a garden", remedy)])
    doings = doings_in(told, None)
    last = max((entry.day for entry in told), default=kept.garden.last_day)
    done = garden_as_done(
        kept.garden,
        doings,
        last,
        crops=all_crops(),
        residues=all_residues(),
        container=find_container,
        from_today=False,
    )
    planned: tuple[Layer, ...] = ()
    if plan is not None and isinstance(plan.facts, Document):
        content: Any = document_content(plan.facts)
        laid = {(layer.bed, layer.day) for layer in doings.layers}
        kept_plan = from_plain(SeasonPlan, content, "plan")
        planned = tuple(one.layer for one in kept_plan.layers if (one.layer.bed, one.layer.day) not in laid)
    source = "the kept plan" if planned else "the garden file"
    return _Ground(done, kept.garden, planned, doings, kept.station_text, source)
